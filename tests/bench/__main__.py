"""``make bench``: everything measured, on an empty database made for it."""

import os
import sys

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
os.environ["DATABASE_URL"] = "sqlite://:memory:"
os.environ["SECRET_KEY"] = os.urandom(40).hex()  # also of the site that is served on a copy

import django

django.setup()

from django.test.utils import setup_databases, teardown_databases  # noqa: E402 - after setup

from tests.bench import audit, grid, phone, physics, reports, search, sheets  # noqa: E402


def main() -> None:
    print(
        f"Python {sys.version.split()[0]}, Django {django.__version__}. Columns: ours, floor, ratio, target."
    )
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        for part in (grid, phone, audit, search, sheets, reports, physics):
            for told in part.report():
                print(told, flush=True)
    finally:
        teardown_databases(databases, verbosity=0)


main()
