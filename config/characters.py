"""The one character that no database keeps is refused before any page reads it."""

from itertools import chain

from django.shortcuts import render

NUL = "\0"


class NoNulMiddleware:
    """No keyboard types it; a request that holds it is a fault on the way, or an attack."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        if any(NUL in text for given in (request.GET, request.POST) for text in _texts(given)):
            return render(request, "400.html", status=400)
        return None


def _texts(given):
    return chain(given, *(texts for _, texts in given.lists()))
