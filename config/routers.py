"""The audit of a large service read from a copy of the database, where ``REPLICA_URL`` names one.

A copy lags. So it answers only pages that look at the audit, and nobody who has just changed something:
whoever posted, or had a page work the audit out, reads the database itself until the copy has followed.
"""

from contextvars import ContextVar

from django.db import DEFAULT_DB_ALIAS

REPLICA = "replica"
AUDIT = {"placeaudit", "loadaudit", "circuitaudit", "dueaudit", "yearaudit", "trendaudit"}
WROTE, FOLLOWS_WITHIN_S = "wrote", 60  # the cookie, and the longest that the copy is let lag behind [s]
LOOKING = ("GET", "HEAD")

_may_lag: ContextVar[bool] = ContextVar("may_lag", default=False)


class ReplicaMiddleware:
    """Says of each request whether it may be answered by what was true a moment ago."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        may_lag = request.method in LOOKING and WROTE not in request.COOKIES
        # It holds until the next request: a file is read from the database while it is sent.
        _may_lag.set(may_lag)
        response = self.get_response(request)
        if request.method not in LOOKING or (may_lag and not _may_lag.get()):
            response.set_cookie(
                WROTE,
                "1",
                max_age=FOLLOWS_WITHIN_S,
                secure=request.is_secure(),
                httponly=True,
                samesite="Lax",
            )
        return response


class AuditFromReplica:
    """Sends the audit's reads to the copy; everything else, and every write, to the database itself."""

    def db_for_read(self, model, **hints):
        is_audit = model._meta.app_label == "reports" and model._meta.model_name in AUDIT
        return REPLICA if is_audit and _may_lag.get() else DEFAULT_DB_ALIAS

    def db_for_write(self, model, **hints):
        if model._meta.app_label != "sessions":
            _may_lag.set(False)
        return DEFAULT_DB_ALIAS

    def allow_relation(self, one, other, **hints):
        return True  # both are the same record

    def allow_migrate(self, db, app_label, **hints):
        return db != REPLICA
