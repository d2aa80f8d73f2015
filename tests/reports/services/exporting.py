"""Run by itself, it issues records of one firm in an empty database: a firm whose export can be killed."""

import os

RECORDS = 12


def main() -> None:
    import django

    django.setup()
    from tests.factories import ClientFactory, InstallationFactory
    from tests.reports.ready import issued, ready_visit

    client = ClientFactory()
    for _ in range(RECORDS):
        issued(ready_visit(InstallationFactory(client=client)))


if __name__ == "__main__":
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    main()
