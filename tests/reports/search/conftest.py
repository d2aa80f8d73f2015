"""A firm to search in, and a stranger's that says the same."""

import pytest

from inspections.enums import Role
from inspections.models import Firm
from remedies.enums import LoadKind
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    ClientFactory,
    InstallationFactory,
    MemberFactory,
    ParallelLoadFactory,
)


def furnish(firm: Firm, client="Corrin Quarry Ltd", place="Larkfield Mill House", postcode="LF3 7QX"):
    """One of each kind in a firm; returns the load, from which the others are reached."""
    installation = InstallationFactory(
        client=ClientFactory(firm=firm, name=client, phone="01632 960123"),
        name=place,
        address="12 Weir Lane\nLarkfield",
        postcode=postcode,
    )
    board = BoardFactory(installation=installation, designation="DB1", location="Under the stairs")
    circuit = CircuitFactory(board=board, way="3", description="Café lights, ground floor")
    return ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.NEON, resistance_ohm=220_000, place="Behind the ceiling rose"
    )


@pytest.fixture
def member(db):
    return MemberFactory(firm__name="Tidewell Electrical", role=Role.OFFICE)


@pytest.fixture
def load(member):
    return furnish(member.firm)


@pytest.fixture
def strangers_load(db):
    return furnish(MemberFactory(firm__name="Another Firm").firm)
