"""“Undo”, beside the message that says what was done."""

from django.apps import apps
from django.contrib import messages
from django.core import signing
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from inspections.services.undo import take_back

FOR_SECONDS = 15 * 60
TOO_LATE = "It is too late to take that back here. Open it and change it as it should be."


def say_with_undo(request, words, model, pk):
    """Say what was just done to the row ``pk``, with a button that takes it back.

    The button carries the act, sealed, and works for whoever did it.
    """
    own = model.history.filter(id=pk, history_user=request.user)
    act = own.order_by("-history_id").values_list("history_id", flat=True).first()
    sealed = signing.dumps([model._meta.label, act, request.user.pk], salt=__name__, compress=True)
    messages.success(request, words, extra_tags=sealed)


@require_POST
def undo(request):
    back = request.POST.get("back", "")
    if not url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure()):
        back = reverse("today")
    try:
        label, act, member = signing.loads(request.POST.get("act", ""), salt=__name__, max_age=FOR_SECONDS)
        if member != request.user.pk:
            raise signing.BadSignature
        take_back(model=apps.get_model(label), act=act, member=request.user)
    except (signing.BadSignature, ObjectDoesNotExist):
        messages.warning(request, TOO_LATE)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "Taken back.")
    return redirect(back)
