"""A firm with one load in the way, its office signed in, and a stranger whose firm has the same."""

from dataclasses import dataclass

import pytest
from django.test import Client as Browser

from inspections.enums import InspectionKind, Role
from inspections.models import Circuit, Member
from remedies.enums import LoadKind
from remedies.models import ParallelLoad
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
)


@dataclass(frozen=True)
class Place:
    member: Member
    circuit: Circuit
    load: ParallelLoad


def make_place(member, name, **load) -> Place:
    """A place that every question finds something of."""
    installation = InstallationFactory(client__firm=member.firm, name=name, next_due_on="2026-11-01")
    circuit = CircuitFactory(
        board=BoardFactory(installation=installation), way="3", description=f"{name} lights"
    )
    other = CircuitFactory(board=circuit.board, way="4", description=f"{name} sockets")
    called = InspectionFactory(
        installation=installation, inspector=member, started_on="2019-03-01", kind=InspectionKind.FAULT
    )
    CircuitResultFactory(inspection=called, circuit=other, zs="0.50")
    visit = InspectionFactory(installation=installation, inspector=member, started_on="2024-03-01")
    CircuitResultFactory(inspection=visit, circuit=circuit, ir_live_live="LIM")
    CircuitResultFactory(inspection=visit, circuit=other, ir_live_live="0.35", ir_voltage_v=500, zs="0.90")
    LimitationFactory(inspection=visit, circuits=[circuit], reason=f"{name} ceiling fixed", is_standing=True)
    ObservationFactory(inspection=visit, code="C2", text=f"{name} cover loose")
    load = ParallelLoadFactory(
        **{
            "circuit": circuit,
            "kind": LoadKind.NEON,
            "resistance_ohm": 220_000,
            "place": f"{name} switch",
            "since": "2010-05-01",
            "access_minutes": 10,
            **load,
        }
    )
    return Place(member, circuit, load)


@pytest.fixture
def place(db, time_machine) -> Place:
    time_machine.move_to("2026-11-25 12:00:00+00:00", tick=False)
    member = MemberFactory(firm__name="Tidewell Electrical", name="B. Calloway", role=Role.OFFICE)
    InstrumentFactory(firm=member.firm, serial="TW-1", calibrated_until="2026-12-01")
    return make_place(member, "Larkfield Hall")


@pytest.fixture
def browse(place) -> Browser:
    browser = Browser()
    browser.force_login(place.member)
    return browser


@pytest.fixture
def other(place) -> Place:
    """Another firm's place, in every answer of its own."""
    member = MemberFactory(firm__name="Another Firm", name="N. Stranger")
    InstrumentFactory(firm=member.firm, serial="XX-9", calibrated_until="2026-12-01")
    return make_place(member, "Elsewhere")


@pytest.fixture
def stranger(other) -> Browser:
    browser = Browser()
    browser.force_login(other.member)
    return browser
