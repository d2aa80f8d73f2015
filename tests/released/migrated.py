"""``python -m tests.released.migrated NAME``: put kept rows into the empty database of DATABASE_URL under the
migrations they were kept under, migrate it to the newest, and print what is no longer as it was (JSON)."""

import json
import sys

import django
from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor

from tests.released.rows import as_kept, read


def put(kept):
    executor = MigrationExecutor(connection)
    then = executor.migrate([tuple(node) for node in kept["migrations"]]).apps
    with transaction.atomic():
        for label, rows in kept["rows"].items():
            model = then.get_model(label)
            fields = {field.attname: field for field in model._meta.concrete_fields}
            for field in fields.values():
                field.auto_now = field.auto_now_add = False  # the moment is the one kept
            model._base_manager.bulk_create(
                model(**{name: fields[name].to_python(value) for name, value in row.items()}) for row in rows
            )
    models = [then.get_model(label) for label in kept["rows"]]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)


def differences(kept):
    """What of the kept rows is gone or changed, and what does not hold among them."""
    from inspections.models import Firm
    from reports.verify import verify_chain

    for label, rows in kept["rows"].items():
        model = apps.get_model(label)
        now = {
            row.pk: json.loads(json.dumps(as_kept(row), cls=DjangoJSONEncoder))
            for row in model._base_manager.all()
        }
        for row in rows:
            found = now.get(row[model._meta.pk.attname])
            if found is None:
                yield f"{label} {row}: gone"
            elif changed := {name for name, value in row.items() if found.get(name, "gone") != value}:
                yield f"{label} {found}: {sorted(changed)} changed"
    for firm in Firm.objects.all():
        if failure := verify_chain(firm):
            yield f"{firm}, {failure.record}: {failure.reason}"
    connection.check_constraints()


if __name__ == "__main__":
    django.setup()
    kept = read(sys.argv[1])
    put(kept)
    call_command("migrate", verbosity=0)
    print(json.dumps(list(differences(kept))))
