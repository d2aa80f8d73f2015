"""What is shown when the program fails, or its database does."""

import sqlite3
import sys

from django.db import InterfaceError, InternalError, OperationalError
from django.http import HttpResponse
from django.template.loader import render_to_string

RETRY_AFTER_S = 10
POSTGRESQL_READ_ONLY = "25006"


def server_error(request):
    """Django's ``handler500``, called while the error is handled. The pages ask nothing of the database."""
    if is_unavailable(sys.exc_info()[1]):
        return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": RETRY_AFTER_S})
    return HttpResponse(render_to_string("500.html"), status=500)


def is_unavailable(error: BaseException | None) -> bool:
    """Whether the database is gone, full, locked or read-only, and no statement of ours is to blame."""
    cause = getattr(error, "__cause__", None)
    if isinstance(error, OperationalError | InterfaceError):
        return getattr(cause, "sqlite_errorcode", None) != sqlite3.SQLITE_ERROR
    return isinstance(error, InternalError) and getattr(cause, "sqlstate", None) == POSTGRESQL_READ_ONLY
