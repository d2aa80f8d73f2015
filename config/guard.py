"""Enforcing the table of who may do what, before any view is run."""

from django.apps import apps
from django.contrib.auth import logout
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.urls import resolve
from django.utils.functional import SimpleLazyObject, cached_property
from django.views.decorators.http import require_safe

from config.permissions import (
    EVERYONE,
    GIVING_SECOND_FACTOR,
    INSPECTOR,
    OPEN,
    READ,
    SETTING_UP_SECOND_FACTOR,
    TABLE,
    WRITE,
)
from inspections.access import NO_FIRM
from inspections.enums import Role
from inspections.sample import may_stay
from inspections.sign_in import factors_of, lacks_second_factor

ADMIN = "admin"  # the namespace of Django's own admin, which asks for staff itself
NO_LINE = "Nobody may use this address: the table of who may do what has no line for it."
NOT_IN_SAMPLE = "In a sample firm nobody may {}: nobody signs in as its people."
NOT_OWN_VISIT = "Only its inspector or a supervisor may enter the results of a visit."
SECOND_FACTOR_FIRST = (
    "Your firm requires a second factor. Open this site in another tab and give yours there, then save again."
)
LOOKING = ("GET", "HEAD", "OPTIONS")

# Addresses that name a row of a visit; the others name the visit itself.
ROW_OF_VISIT = {
    "intake_preview": "Upload",
    "intake_commit": "Upload",
    "intake_drop": "Upload",
    "limitation_change": "Limitation",
    "limitation_answer": "Limitation",
    "observation_change": "Observation",
}


class GuardMiddleware:
    """Comes after LoginRequiredMiddleware, which has sent away whoever is not signed in."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        match = request.resolver_match
        if match.url_name in OPEN or (match.namespace == ADMIN and not request.user.is_authenticated):
            return None
        if getattr(request.user, "is_in_sample", False) and not may_stay(request):
            logout(request)
            return redirect("account_login")
        if lacks_second_factor(request) and (answer := _second_factor_first(request, match.url_name)):
            return answer
        if match.namespace == ADMIN:
            return None
        line = (READ if request.method in LOOKING else WRITE).get(match.url_name)
        if request.user.firm is None and (line is None or line.needs_firm):
            raise PermissionDenied(NO_FIRM)
        if line is None:
            return _not_used_so(match.url_name)
        if refused := refusal(request.user, match, line):
            raise PermissionDenied(refused)
        # A page that takes what is typed on it asks this, and offers no field where the answer is no.
        request.may_post = SimpleLazyObject(lambda: _may_post(request.user, match))
        request.why_not = lambda path: _why_not_post(request.user, path)
        return None


def _second_factor_first(request, name):
    """To where the member gives the second factor or sets it up; nothing where this is the place."""
    has_one = factors_of(request.user).exists()
    if name in (GIVING_SECOND_FACTOR if has_one else SETTING_UP_SECOND_FACTOR):
        return None
    if request.method not in LOOKING:
        raise PermissionDenied(SECOND_FACTOR_FIRST)
    return redirect("mfa_reauthenticate" if has_one else "mfa_index")


def _may_post(member, match):
    line = WRITE.get(match.url_name)
    return line is not None and not refusal(member, match, line)


def _why_not_post(member, path):
    """Why the member may not post to an address of the table, or nothing."""
    match = resolve(path)
    return refusal(member, match, WRITE[match.url_name])


def refusal(member, match, line):
    """Why the member may not do this, or nothing."""
    if member.role not in line.who:
        return who_may(line)
    if member.is_in_sample and not line.in_sample:
        return NOT_IN_SAMPLE.format(_within_a_sentence(line.what))
    if line.own_visit and member.role == INSPECTOR and not _is_own(member, match):
        return NOT_OWN_VISIT
    return ""


def _not_used_so(name):
    """The answer where the table does not let anyone use the address in the way it was used."""
    if name in READ:
        return HttpResponseNotAllowed(LOOKING)
    if name in WRITE:
        return HttpResponseNotAllowed(["POST"])
    raise PermissionDenied(NO_LINE)


def _is_about_a_visit(match):
    return match.route.startswith("inspections/") or match.url_name in ROW_OF_VISIT


def _is_own(member, match):
    """Whether the visit that an address is about is the member's. One that the firm has not got counts as
    own: the view answers that it is not found."""
    model = apps.get_model("inspections", ROW_OF_VISIT.get(match.url_name, "Inspection"))
    column = "inspector" if model.__name__ == "Inspection" else "inspection__inspector"
    key = next(match.kwargs[name] for name in ("inspection_pk", "upload_pk", "pk") if name in match.kwargs)
    inspector = model.objects.for_firm(member.firm).filter(pk=key).values_list(column, flat=True).first()
    return inspector in (None, member.pk)


def who_may(line):
    """A refusal that says who may."""
    if line.who == EVERYONE:
        return f"{line.what}: everyone in the firm."
    roles = [role.label.lower() for role in Role if role in line.who]
    words = f"{', '.join(roles[:-1])} or {roles[-1]}" if len(roles) > 1 else roles[0]
    return f"Only the {words} may {_within_a_sentence(line.what)}."


def _within_a_sentence(what):
    return f"{what[0].lower()}{what[1:]}"


class May:
    """``may.client_add`` in a template: whether whoever asks may use that address. What an inspector does at
    own visits alone is asked about the visit of the page."""

    def __init__(self, member, match=None):
        self.member, self.match = member, match

    def __getitem__(self, name):
        line = WRITE.get(name) or READ[name]
        if getattr(self.member, "role", None) not in line.who:
            return False
        if self.member.is_in_sample and not line.in_sample:
            return False
        return not line.own_visit or self._is_own_visit

    @cached_property
    def _is_own_visit(self):
        about_no_visit = self.match is None or not _is_about_a_visit(self.match)
        return about_no_visit or self.member.role != INSPECTOR or _is_own(self.member, self.match)


def may(request):
    """Context processor. A page that nobody signed in for offers nothing."""
    return {"may": May(getattr(request, "user", None), getattr(request, "resolver_match", None))}


@require_safe
def who_may_do_what(request):
    """The table as a page."""
    rows = [(line.what, [(role.label, line.in_words(role)) for role in Role]) for line in TABLE]
    return render(request, "who_may.html", {"roles": [role.label for role in Role], "rows": rows})


def as_markdown():
    """The table as it stands in DEVELOPERS.md."""
    rows = [
        ["", *(role.label.lower() for role in Role)],
        ["---"] * (len(Role) + 1),
        *([line.what, *(line.in_words(role) for role in Role)] for line in TABLE),
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)
