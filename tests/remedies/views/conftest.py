"""One firm with one load across one circuit, its electrician signed in, and a stranger of another firm."""

from dataclasses import dataclass

import pytest
from django.test import Client as Browser

from inspections.models import Board, Circuit, Inspection, Installation, Member
from remedies.enums import LoadKind
from remedies.models import LoadPreset, ParallelLoad
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    InstallationFactory,
    LoadPresetFactory,
    MemberFactory,
    ParallelLoadFactory,
)


@dataclass(frozen=True)
class Place:
    """Everything an address of the register may name."""

    member: Member
    installation: Installation
    board: Board
    circuit: Circuit
    inspection: Inspection
    load: ParallelLoad
    preset: LoadPreset


@pytest.fixture
def place(db, time_machine) -> Place:
    time_machine.move_to("2026-11-25 12:00:00+00:00", tick=False)
    member = MemberFactory(firm__name="Tidewell Electrical", name="A. Dyer")
    installation = InstallationFactory(client__firm=member.firm, name="Larkfield Hall")
    board = BoardFactory(installation=installation, designation="DB1")
    circuit = CircuitFactory(board=board, way="3", description="Foyer lights")
    load = ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.NEON, resistance_ohm=220_000, place="Foyer switch"
    )
    return Place(
        member,
        installation,
        board,
        circuit,
        InspectionFactory(installation=installation, inspector=member),
        load,
        LoadPresetFactory(firm=member.firm, name="X2 at lamp", capacitor_class="X2", capacitance_uf="0.1"),
    )


@pytest.fixture
def browse(place) -> Browser:
    browser = Browser()
    browser.force_login(place.member)
    return browser


@pytest.fixture
def stranger(place) -> Browser:
    browser = Browser()
    browser.force_login(MemberFactory())
    return browser
