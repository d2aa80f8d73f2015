"""Rows of a released version, kept to be migrated by every later one.

``python -m tests.released.rows NAME`` keeps what the database of DATABASE_URL holds in NAME.json.gz beside
this file: the rows by model, and the migration of each app that they were written under.
"""

import gzip
import json
import sys
from pathlib import Path

FOLDER = Path(__file__).parent
OURS = ("inspections", "remedies", "reports")


def keep(name):
    """Keep every row of the record."""
    from django.apps import apps
    from django.core.serializers.json import DjangoJSONEncoder
    from django.db.migrations.loader import MigrationLoader

    leaves = [node for node in MigrationLoader(None).graph.leaf_nodes() if node[0] in OURS]
    rows = {
        model._meta.label: [as_kept(row) for row in model._base_manager.order_by("pk")]
        for app in OURS
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
    }
    text = json.dumps({"migrations": leaves, "rows": rows}, cls=DjangoJSONEncoder, ensure_ascii=False)
    (FOLDER / f"{name}.json.gz").write_bytes(gzip.compress(text.encode(), mtime=0))


def read(name):
    return json.loads(gzip.decompress((FOLDER / f"{name}.json.gz").read_bytes()))


def as_kept(row):
    """A row's columns by name, as JSON can hold them."""
    from django.utils.encoding import is_protected_type

    def column(field):
        value = field.value_from_object(row)
        return value if is_protected_type(value) else field.value_to_string(row)

    return {field.attname: column(field) for field in row._meta.concrete_fields}


if __name__ == "__main__":
    import django

    django.setup()
    keep(sys.argv[1])
