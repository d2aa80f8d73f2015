"""The audit's rows as they are worked out: places read together, and what was in circuit at each visit."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from remedies import services
from remedies.enums import LoadKind
from remedies.models import ParallelLoad
from reports.audit.tables import CircuitAudit
from reports.audit.work_out import bring_up_to_date
from tests.factories import CircuitResultFactory, InspectionFactory
from tests.reports.audit.conftest import make_place

TODAY = date(2026, 11, 25)


def test_the_statements_do_not_grow_with_the_places(place):
    bring_up_to_date(place.member.firm, TODAY)

    def statements_for(places: int) -> int:
        for number in range(places):
            make_place(place.member, f"Larkfield Mews {number} of {places}")
        with CaptureQueriesContext(connection) as captured:
            assert bring_up_to_date(place.member.firm, TODAY) == 0
        return len(captured)

    assert statements_for(3) == statements_for(1)


@pytest.mark.parametrize(("taken_out_on", "expected"), [(date(2024, 2, 28), [True]), (date(2024, 3, 2), [])])
def test_a_reading_is_held_beside_what_was_in_circuit_that_day(place, taken_out_on, expected):
    """A neon with 220 kΩ reads about 0.26 MΩ at 500 V: it explains what was read while it was there."""
    visit = InspectionFactory(
        installation=place.circuit.board.installation, inspector=place.member, started_on="2024-03-01"
    )
    CircuitResultFactory(inspection=visit, circuit=place.circuit, ir_live_live="0.26", ir_voltage_v=500)
    ParallelLoad.objects.filter(pk=place.load.pk).delete()
    neon = ParallelLoad(
        circuit=place.circuit,
        kind=LoadKind.NEON,
        resistance_ohm=220_000,
        place="Hall",
        since=date(2010, 5, 1),
    )
    services.record_load(load=neon, member=place.member)
    services.take_out_load(load=neon, on=taken_out_on, by="B. Weaver", member=place.member)

    bring_up_to_date(place.member.firm, TODAY)

    told = CircuitAudit.objects.filter(circuit=place.circuit, read_on__isnull=False)
    assert [row.reading == "0.26" for row in told] == expected
