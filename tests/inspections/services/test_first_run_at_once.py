"""Two people on the first run at one moment: one firm is made."""

from threading import Barrier, Thread

import pytest
from django.db import connection

from inspections.models import Firm, Member
from inspections.services.members import FirmIsThere, found_firm

AT_ONCE = 6


@pytest.mark.skipif(
    connection.vendor != "postgresql",
    reason="asks for a PostgreSQL server; SQLite takes one writer at a time by itself",
)
@pytest.mark.django_db(transaction=True)
def test_many_first_runs_at_once_make_one_firm():
    start, refused = Barrier(AT_ONCE), []

    def found(number):
        start.wait()
        try:
            found_firm(
                firm_name=f"Firm {number}",
                name="A",
                email=f"a{number}@example.com",
                password="long enough it is",
            )
        except FirmIsThere:
            refused.append(number)
        finally:
            connection.close()

    threads = [Thread(target=found, args=[number]) for number in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert (Firm.objects.count(), Member.objects.count(), len(refused)) == (1, 1, AT_ONCE - 1)
