"""Emptying the database, which the triggers of the record would otherwise refuse on SQLite."""

from django.core.management.commands import flush

from inspections import integrity


class Command(flush.Command):
    """Django's own, with the triggers lifted meanwhile. It asks before it empties anything, as ever."""

    def handle(self, **options):
        integrity.lift(options["database"])
        try:
            super().handle(**options)
        finally:
            integrity.install(options["database"])
