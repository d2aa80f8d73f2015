"""Light or dark, as this device is told. Kept in a cookie and put into the page by the server, so that a page
never flashes in the other look first."""

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from inspections.views.back import back_to
from inspections.views.on_device import keep_on_device

COOKIE = "look"
CHOICES = ("light", "dark")


@login_not_required
@require_POST
def choose_look(request):
    """Keep to the look that is asked for; to any other word, follow the device's own setting again."""
    back = back_to(request, request.POST.get("back", ""), reverse("today"))
    response = redirect(back)
    if (look := request.POST.get("look")) in CHOICES:
        keep_on_device(request, response, COOKIE, look)
    else:
        response.delete_cookie(COOKIE)
    return response
