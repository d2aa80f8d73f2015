"""Several issue at once, each in a thread with a connection of its own. Run by itself, it makes the visits in
a database without a row and prints what became of them."""

import json
import os
import threading

AT_ONCE = 6


def issue_at_once(inspections) -> list[str]:
    """Issue each of ``inspections`` from a thread of its own, all at one moment; what went wrong."""
    from django.db import connection

    from inspections.models import Inspection, Member
    from reports.services.issue import issue_inspection

    gate, errors = threading.Barrier(len(inspections)), []

    def issue(inspection_pk, member_pk):
        try:
            inspection, member = Inspection.objects.get(pk=inspection_pk), Member.objects.get(pk=member_pk)
            gate.wait()
            issue_inspection(inspection=inspection, member=member)
        except Exception as error:
            errors.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=issue, args=pair) for pair in inspections]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return errors


def visits_in_review() -> list[tuple[int, int]]:
    """Visits of one firm at as many places, each with the supervisor who issues it."""
    from tests.factories import ClientFactory, InstallationFactory
    from tests.reports.ready import in_review, ready_visit, supervisor_of

    client = ClientFactory()
    visits = [in_review(ready_visit(InstallationFactory(client=client))) for _ in range(AT_ONCE)]
    return [(visit.pk, supervisor_of(visit).pk) for visit in visits]


def numbers() -> list[int]:
    from reports.models import IssuedRecord

    return sorted(IssuedRecord.objects.values_list("number", flat=True))


def chain_holds() -> bool:
    from inspections.models import Firm
    from reports.verify import verify_chain

    return verify_chain(Firm.objects.get()) is None


if __name__ == "__main__":
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django

    django.setup()
    told = {"errors": issue_at_once(visits_in_review()), "numbers": numbers(), "chain_holds": chain_holds()}
    print(json.dumps(told))
