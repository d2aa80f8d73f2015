"""No migration loses anything: what a released version kept is all there after every later one."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import migrations
from django.db.migrations.loader import MigrationLoader

from tests.released.rows import FOLDER, OURS, read

ROOT = Path(__file__).parents[2]
RELEASED = sorted(path.name.removesuffix(".json.gz") for path in FOLDER.glob("*.json.gz"))

# Removals that lose nothing, "app.migration": what is removed, each with where its data went. There is none.
LOSES_NOTHING: dict[str, str] = {}


@pytest.mark.parametrize("release", RELEASED)
def test_every_row_of_a_release_is_as_it_was_after_all_later_migrations(release, own_database):
    command = [sys.executable, "-m", "tests.released.migrated", release]

    run = subprocess.run(command, cwd=ROOT, env=own_database, capture_output=True, text=True, check=False)

    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout) == []


@pytest.mark.parametrize("release", RELEASED)
def test_a_release_is_kept_with_an_issued_record_and_rows_of_every_kind(release):
    rows = read(release)["rows"]

    empty = {label for label, kept in rows.items() if not kept}

    assert len(rows["reports.IssuedRecord"]) == 1
    assert {label for label in empty if label.startswith("inspections.")} == {
        "inspections.Member_groups",  # Django's own; the record gives roles
        "inspections.Member_user_permissions",
    }


def removals(operations):
    for operation in operations:
        if isinstance(operation, migrations.SeparateDatabaseAndState):
            yield from removals(operation.database_operations)
        if isinstance(operation, migrations.RemoveField | migrations.DeleteModel):
            yield operation.describe()
        if isinstance(operation, migrations.RunSQL) and "drop " in str(operation.sql).lower():
            yield operation.describe()


def test_no_migration_removes_a_column_or_a_table():
    found = {
        f"{app}.{name}": list(removals(migration.operations))
        for (app, name), migration in MigrationLoader(None).disk_migrations.items()
        if app in OURS
    }
    assert {name for name, removed in found.items() if removed} == set(LOSES_NOTHING)
