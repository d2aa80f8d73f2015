"""The first run, and who works at the firm."""

from allauth.account.utils import perform_login
from allauth.mfa.models import Authenticator
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.core.mail import send_mail
from django.db.models import Exists, OuterRef
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.access import fetch, firm_of, own
from inspections.forms.layout import saved
from inspections.forms.members import FirmForm, FirstRunForm, InviteForm, JoinForm, RoleForm
from inspections.models import Firm, Member
from inspections.services import members as services
from inspections.services.record import save_record
from inspections.sign_in import FACTORS
from inspections.views.form_page import form_page, posted

MAILED, NOT_MAILED = "mailed", "could not be mailed"


@login_not_required
@require_http_methods(["GET", "POST"])
def first_run(request):
    """The firm and its first supervisor, made once; nothing is here afterwards."""
    if Firm.objects.exists():
        raise Http404
    form = FirstRunForm(posted(request))
    made = []

    def found():
        typed = form.cleaned_data
        made.append(
            services.found_firm(
                firm_name=typed["firm_name"],
                name=typed["name"],
                email=typed["email"],
                password=typed["password1"],
            )
        )

    try:
        if request.method == "POST" and saved(form, found):
            return perform_login(request, made[0])
    except services.FirmIsThere:
        raise Http404 from None
    return render(request, "inspections/first_run.html", {"form": form})


@require_safe
def members(request):
    factors = Authenticator.objects.filter(user=OuterRef("pk"), type__in=FACTORS)
    rows = own(request, Member.objects).order_by("-is_active", "name")
    rows = rows.annotate(has_second_factor=Exists(factors))
    return render(request, "inspections/members.html", {"members": rows})


@require_http_methods(["GET", "POST"])
def member_invite(request):
    row = Member(firm=firm_of(request))
    form = InviteForm(posted(request), instance=row)
    token = []
    if request.method == "POST" and saved(
        form, lambda: token.append(services.invite(row=row, member=request.user))
    ):
        return _invited(request, row, token[0])
    context = {
        "form": form,
        "heading": "Invite a member",
        "back": reverse("members"),
        "button": "Invite",
        "trail": "members",
    }
    return render(request, "inspections/form.html", context)


@require_POST
def member_invite_again(request, pk):
    """Another link for one who has not joined, or who left and comes back. An earlier link ends."""
    row = fetch(request, Member.objects, pk)
    try:
        token = services.invite(row=row, member=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("members")
    return _invited(request, row, token)


def _invited(request, row, token):
    link = request.build_absolute_uri(reverse("join", args=[row.pk, token]))
    context = {"invited": row, "link": link, "mail": _mail(row, link)}
    response = render(request, "inspections/invited.html", context)
    response["Cache-Control"] = "no-store"
    return response


def _mail(row, link):
    """Send the link, where mail is set. What became of it."""
    if not settings.MAIL_IS_SET:
        return ""
    text = (
        f"{row.firm} invites you to its inspection record.\n\n{link}\n\n"
        "Follow the link within three days and choose a password. It can be used once."
    )
    try:
        send_mail(f"Your sign-in at {row.firm}", text, None, [row.email])
    except OSError:
        return NOT_MAILED
    return MAILED


@login_not_required
@require_http_methods(["GET", "POST"])
def join(request, pk, token):
    """Where the link of an invitation leads: a name, a password, and in."""
    row = services.invited(pk, token)
    if row is None:
        return render(request, "inspections/join_ended.html", {"said": services.LINK_ENDED}, status=410)
    form = JoinForm(posted(request), initial={"name": row.name, "email": row.email})
    joined = []

    def take_up():
        typed = form.cleaned_data
        joined.append(services.join_firm(pk=pk, token=token, name=typed["name"], password=typed["password1"]))

    if request.method == "POST" and saved(form, take_up):
        return perform_login(request, joined[0])
    return render(request, "inspections/join.html", {"form": form, "invited": row})


@require_http_methods(["GET", "POST"])
def member_role(request, pk):
    row = fetch(request, Member.objects, pk)
    form = RoleForm(posted(request), instance=row)
    return form_page(
        request,
        form,
        lambda: services.change_role(row=row, role=form.cleaned_data["role"], member=request.user),
        done=lambda: reverse("members"),
        said=lambda: f"{row} is {row.get_role_display().lower()} now.",
        undo=row != request.user,  # whoever gave up being a supervisor may change no role
        heading=f"Role of {row}",
        back=reverse("members"),
        trail="members",
    )


@require_http_methods(["GET", "POST"])
def member_leave(request, pk):
    row = fetch(request, Member.objects, pk)
    problem = ""
    if request.method == "POST":
        try:
            services.leave_firm(row=row, member=request.user)
        except ValidationError as error:
            problem = " ".join(error.messages)
        else:
            messages.success(request, f"{row} has left, and is signed out everywhere.")
            return redirect("members")
    return render(request, "inspections/member_leave.html", {"leaving": row, "problem": problem})


@require_http_methods(["GET", "POST"])
def member_second_factor(request, pk):
    """Take off the second factor of a member who has lost it."""
    row = fetch(request, Member.objects, pk)
    if request.method == "POST":
        services.remove_second_factor(row=row, member=request.user)
        messages.success(request, f"{row} signs in with the password alone until another is set up.")
        return redirect("members")
    return render(request, "inspections/member_second_factor.html", {"losing": row})


@require_http_methods(["GET", "POST"])
def firm_change(request):
    firm = firm_of(request)
    form = FirmForm(posted(request), instance=firm)
    return form_page(
        request,
        form,
        lambda: save_record(firm, member=request.user),
        done=lambda: reverse("members"),
        said="The firm is saved.",
        heading="The firm",
        back=reverse("members"),
        trail="members",
    )
