"""Every change of every model keeps who made it, when, and what stood before."""

from datetime import UTC, datetime

import pytest
import time_machine

from inspections.enums import Role
from inspections.models import (
    Board,
    BoardResult,
    Circuit,
    CircuitResult,
    Client,
    Firm,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Member,
    Observation,
    Upload,
    VisualOutcome,
)
from remedies.models import BoardLabel, GlowWorksheet, LoadPreset, ParallelLoad
from reports.models import ClientLink, Correction, PointAnswer, RecordUpload, Review, Run, SavedFilter
from tests.architecture.models import FACTORY_OF, WITH_HISTORY
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
)

pytestmark = pytest.mark.django_db

CHANGES = {
    Board: ("location", "Meter cupboard"),
    BoardLabel: ("text", "Two capacitors"),
    BoardResult: ("zdb", "0.21"),
    Circuit: ("description", "Lights, hall"),
    CircuitResult: ("zs", "0.55"),
    Client: ("phone", "01632 960123"),
    ClientLink: ("given_to", "The landlord"),
    Correction: ("what_changed", "A name and a date"),
    Firm: ("address", "1 Mill Lane"),
    GlowWorksheet: ("complaint", "Lamps flicker when off"),
    Inspection: ("extent", "All boards"),
    Installation: ("postcode", "LF1 1AA"),
    Instrument: ("description", "Kept in the van"),
    Limitation: ("reason", "Tenant away"),
    LoadPreset: ("name", "Usual capacitor"),
    Member: ("qualification", "Level 3"),
    Observation: ("text", "Cover missing"),
    PointAnswer: ("text", "Looked at again"),
    ParallelLoad: ("remarks", "Warm to the touch"),
    RecordUpload: ("name", "theirs again.pdf"),
    Review: ("note", "Roof seen from below"),
    Run: ("state", "stopped"),
    SavedFilter: ("name", "Another"),
    Upload: ("name", "the visit again.xlsx"),
    VisualOutcome: ("remark", "Seen from the floor"),
}
VISIT_DAY = datetime(2026, 11, 3, 9, 0, tzinfo=UTC)
NEXT_DAY = datetime(2026, 11, 4, 9, 0, tzinfo=UTC)


def test_every_model_is_tried_here():
    assert set(CHANGES) == set(WITH_HISTORY)


@pytest.mark.parametrize("model", CHANGES, ids=lambda model: model.__name__)
def test_a_change_keeps_who_when_and_what_stood_before(model):
    field, after = CHANGES[model]
    with time_machine.travel(VISIT_DAY, tick=False):
        row = FACTORY_OF[model]()
        who = MemberFactory(role=Role.SUPERVISOR)
    before = str(getattr(row, field))
    with time_machine.travel(NEXT_DAY, tick=False):
        setattr(row, field, after)
        row._history_user = who
        row.save()
    changed, made = row.history.all()
    assert (made.history_type, changed.history_type) == ("+", "~")
    assert (made.history_date, changed.history_date) == (VISIT_DAY, NEXT_DAY)
    assert changed.history_user == who
    assert (str(getattr(made, field)), str(getattr(changed, field))) == (before, after)


@pytest.mark.parametrize("model", CHANGES, ids=lambda model: model.__name__)
def test_a_deletion_keeps_who_when_and_what_was_there(model):
    field, _ = CHANGES[model]
    with time_machine.travel(VISIT_DAY, tick=False):
        row, who = FACTORY_OF[model](), MemberFactory()
    key, stood = row.pk, str(getattr(row, field))
    with time_machine.travel(NEXT_DAY, tick=False):
        row._history_user = who
        row.delete()
    gone = model.history.filter(**{model._meta.pk.name: key}).latest()
    assert (gone.history_type, gone.history_user, gone.history_date) == ("-", who, NEXT_DAY)
    assert str(getattr(gone, field)) == stood


def test_instruments_of_a_visit_are_part_of_its_history():
    inspection = InspectionFactory()
    instrument = InstrumentFactory(firm=inspection.installation.firm)
    inspection.instruments.add(instrument)
    assert [row.instrument for row in inspection.history.latest().instruments.all()] == [instrument]


def test_scope_of_a_limitation_is_part_of_its_history():
    limitation = LimitationFactory()
    place = limitation.inspection.installation
    board = BoardFactory(installation=place)
    circuit = CircuitFactory(board=board)
    limitation.boards.set([board])
    limitation.circuits.set([circuit])
    latest = limitation.history.latest()
    assert [row.board for row in latest.boards.all()] == [board]
    assert [row.circuit for row in latest.circuits.all()] == [circuit]


def test_a_password_never_enters_the_history():
    historical = {field.name for field in Member.history.model._meta.fields}
    assert "password" not in historical
