"""Which pages a browser keeps, to show them again without a connection."""

from collections.abc import Callable
from functools import wraps

KEPT_FOR = "X-Kept-For"


def kept_on_device(view: Callable) -> Callable:
    """The page may be kept on the device of the member who opened it, and shown to no one else. The service
    worker keeps what carries this header and nothing more; the page itself knows by ``request.is_kept``."""

    @wraps(view)
    def marked(request, *args, **kwargs):
        request.is_kept = True
        response = view(request, *args, **kwargs)
        if request.method == "GET":
            response.headers[KEPT_FOR] = str(request.user.pk)
        return response

    return marked
