"""What works without a connection: the service worker, and the page that says what is at hand."""

import hashlib
import json
from functools import lru_cache

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles.finders import get_finders
from django.http import HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from config.static_files import OWN

BORROWED = "js-lib-bootstrap5/css/bootstrap.min.css"
LIMITS = {"most": 40, "days": 14}  # pages kept on a device, and for how long
PATIENCE_MS = 4000  # how long an answer may take before the kept copy is shown


@require_safe
@login_not_required
@cache_control(no_cache=True)
def service_worker(request):
    """The service worker. It changes with any of the files it keeps, so that a release replaces it."""
    return HttpResponse(_script(), content_type="text/javascript")


@require_safe
@login_not_required
def at_hand(request):
    """What this device has without a connection. The service worker keeps it as shown to nobody."""
    return render(request, "at_hand.html", LIMITS)


@lru_cache(maxsize=1)
def _script():
    version, files = hashlib.sha256(render_to_string("at_hand.html", LIMITS).encode()), []
    for finder in get_finders():
        for path, storage in finder.list([]):
            if path.startswith(OWN) or path == BORROWED:
                files.append(static(path))
                with storage.open(path) as file:
                    version.update(file.read())
    context = {
        "version": version.hexdigest()[:16],
        "files": json.dumps(sorted(set(files))),
        "static": settings.STATIC_URL,
        "at_hand": reverse("at_hand"),
        "patience_ms": PATIENCE_MS,
    }
    return render_to_string("service_worker.js", context | LIMITS)
