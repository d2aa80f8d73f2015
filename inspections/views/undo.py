"""“Undo”, beside the message that says what was done."""

from django.contrib import messages
from django.core import signing
from django.core.exceptions import ValidationError
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from inspections.services.acts import Act, acting
from inspections.services.undo import MAY_BE_TAKEN_BACK_FOR, take_back
from inspections.views.back import back_to

TOO_LATE = "It is too late to undo that here. Open it and correct it."


class ActMiddleware:
    """``request.act``: all that the request writes to the record."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        with acting() as request.act:
            return self.get_response(request)


def say_with_undo(request, words, instead=""):
    """Say what this request did, with a button that takes all of it back. The first sentence says what was
    done; others, what comes next.

    The button carries the act, sealed, and works for whoever did it, while he or she may still post where it
    was done. instead: where taking it back leads, if not to the page that the button is on.
    """
    act = request.act
    if not act.runs:
        messages.success(request, words)
        return
    done = words.partition(". ")[0].rstrip(".")
    sealed = [act.as_values(), request.user.pk, request.path_info, done, instead]
    messages.success(request, words, extra_tags=signing.dumps(sealed, salt=__name__, compress=True))


@require_POST
def undo(request):
    back = back_to(request, request.POST.get("back", ""), reverse("today"))
    try:
        act, member, where, done, instead = signing.loads(
            request.POST.get("act", ""), salt=__name__, max_age=MAY_BE_TAKEN_BACK_FOR
        )
        if member != request.user.pk:
            raise signing.BadSignature
    except signing.BadSignature:
        messages.warning(request, TOO_LATE)
        return redirect(back)
    if refused := request.why_not(where):
        messages.error(request, refused)
        return redirect(back)
    try:
        take_back(act=Act.of_values(act), member=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(back)
    messages.success(request, f"Undone: “{done}”.")
    return redirect(instead or back)
