"""Whether the site can serve: for whatever watches over it. Says nothing of the record."""

from functools import cache

from django.contrib.auth.decorators import login_not_required
from django.db import Error, connection
from django.db.migrations.recorder import MigrationRecorder
from django.http import JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from reports.backup.tables import known_migrations

NOT_NOW = 503
_known = cache(known_migrations)


@never_cache
@login_not_required
@require_safe
def healthz(request):
    """200 where the database answers and every migration is applied, else 503 and which of the two it is."""
    try:
        applied = MigrationRecorder(connection).applied_migrations()
    except Error:
        return JsonResponse({"database": "does not answer"}, status=NOT_NOW)
    if _known() - applied.keys():
        return JsonResponse({"database": "answers", "migrations": "waiting"}, status=NOT_NOW)
    return JsonResponse({"database": "answers", "migrations": "applied"})
