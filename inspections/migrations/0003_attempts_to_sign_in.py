"""The table in which attempts to sign in are counted."""

from django.core.management import call_command
from django.db import migrations


def make_table(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


class Migration(migrations.Migration):
    dependencies = [("inspections", "0002_firm_requires_second_factor")]
    operations = [migrations.RunPython(make_table, migrations.RunPython.noop)]
