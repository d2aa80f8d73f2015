"""One firm with one place and one visit, its inspector signed in, and a stranger of another firm."""

from dataclasses import dataclass

import pytest
from django.test import Client as Browser

from inspections.models import (
    Board,
    Circuit,
    Client,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Member,
    Observation,
)
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    ClientFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
)


@dataclass(frozen=True)
class Place:
    """Everything an address of the site may name."""

    member: Member
    client: Client
    installation: Installation
    board: Board
    circuit: Circuit
    instrument: Instrument
    inspection: Inspection
    limitation: Limitation
    observation: Observation


@pytest.fixture
def place(db) -> Place:
    member = MemberFactory(firm__name="Tidewell Electrical")
    client = ClientFactory(firm=member.firm, name="Larkfield Estate")
    installation = InstallationFactory(client=client, name="Larkfield Hall", postcode="LK1 2AB")
    board = BoardFactory(installation=installation, designation="DB1")
    inspection = InspectionFactory(installation=installation, inspector=member)
    return Place(
        member,
        client,
        installation,
        board,
        CircuitFactory(board=board, way="3", description="Foyer lights"),
        InstrumentFactory(firm=member.firm, serial="TW-0412"),
        inspection,
        LimitationFactory(inspection=inspection),
        ObservationFactory(inspection=inspection, board=board),
    )


@pytest.fixture
def browser_of():
    """A browser in which the given member is signed in."""

    def sign_in(member) -> Browser:
        browser = Browser()
        browser.force_login(member)
        return browser

    return sign_in


@pytest.fixture
def inside(place, browser_of) -> Browser:
    """The inspector of the place, signed in."""
    return browser_of(place.member)


@pytest.fixture
def errors_of():
    """The errors on the form of a page, by field, each as its texts."""

    def errors(response) -> dict[str, list[str]]:
        return {
            name: [str(text) for text in texts] for name, texts in response.context["form"].errors.items()
        }

    return errors
