"""What one row must hold is held by the database, past every form. Each constraint is broken once."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, models
from django.db.models import F

from inspections.enums import Code, LimitationKind, StandingAnswer
from inspections.models import (
    Board,
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
from remedies.enums import GlowStatus, LoadState
from remedies.models import BoardLabel, GlowWorksheet, LoadPreset, ParallelLoad
from remedies.physics.cause import CAUSES
from reports.models import (
    ClientLink,
    Correction,
    LinkOpening,
    PointAnswer,
    RecordUpload,
    Review,
    ReviewOutcome,
    Run,
    RunItem,
    SavedFilter,
)
from reports.runs.tables import RunOutcome, RunState
from tests.architecture.models import FACTORY_OF, MODELS
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    ClientFactory,
    InspectionFactory,
    IssuedRecordFactory,
    LimitationFactory,
    MemberFactory,
    ParallelLoadFactory,
    RecordUploadFactory,
    RunItemFactory,
)
from tests.factories.reports import AT, SHA256

pytestmark = pytest.mark.django_db

UNKNOWN = "x"  # a choice that is not one

# A glow worksheet ended as it should be, with nothing fitted.
ENDED = {
    "status": GlowStatus.CLOSED,
    "cause": CAUSES[0].key,
    "ended_on": VISIT,
    "ended_by": F("opened_by"),
    "outcome": "Neutral made good",
}

# constraint: its model, and the change that breaks it in an otherwise good row
BROKEN_BY = {
    "board_has_a_designation": (Board, {"designation": ""}),
    "board_phases_known": (Board, {"phases": "2"}),
    "board_not_fed_from_itself": (Board, {"fed_from": F("id")}),
    "board_label_says_something": (BoardLabel, {"text": ""}),
    "board_label_stuck_says_when_and_by_whom": (BoardLabel, {"stuck_on": VISIT}),
    "circuit_has_a_way": (Circuit, {"way": ""}),
    "circuit_phase_known": (Circuit, {"phase": "L4"}),
    "circuit_arrangement_known": (Circuit, {"arrangement": UNKNOWN}),
    "circuit_serves_known": (Circuit, {"serves": UNKNOWN}),
    "circuit_insulation_known": (Circuit, {"conductor_insulation": UNKNOWN}),
    "circuit_residual_current_known": (Circuit, {"residual_current": UNKNOWN}),
    "circuit_voltage_band_known": (Circuit, {"voltage_band": "HV"}),
    "circuit_live_csa_mm2_positive": (Circuit, {"live_csa_mm2": 0}),
    "circuit_cpc_csa_mm2_positive": (Circuit, {"cpc_csa_mm2": -1}),
    "circuit_length_m_positive": (Circuit, {"length_m": 0}),
    "circuit_design_current_a_positive": (Circuit, {"design_current_a": 0}),
    "circuit_disconnection_time_s_positive": (Circuit, {"disconnection_time_s": 0}),
    "circuit_device_rating_a_positive": (Circuit, {"device_rating_a": 0}),
    "circuit_breaking_capacity_ka_positive": (Circuit, {"breaking_capacity_ka": -6}),
    "circuit_max_zs_ohm_positive": (Circuit, {"max_zs_ohm": 0}),
    "circuit_rcd_residual_ma_positive": (Circuit, {"rcd_residual_ma": 0}),
    "circuit_rcd_rating_a_positive": (Circuit, {"rcd_rating_a": 0}),
    "client_has_a_name": (Client, {"name": ""}),
    "firm_has_a_name": (Firm, {"name": ""}),
    "glow_status_known": (GlowWorksheet, ENDED | {"status": UNKNOWN}),
    "glow_cause_known": (GlowWorksheet, {"cause": UNKNOWN}),
    "glow_fitted_has_its_load": (GlowWorksheet, ENDED | {"status": GlowStatus.FITTED, "chosen": "capacitor"}),
    "glow_ended_says_what_when_and_by_whom": (GlowWorksheet, ENDED | {"outcome": ""}),
    "glow_ended_names_a_cause": (GlowWorksheet, ENDED | {"cause": ""}),
    "glow_ended_after_it_was_opened": (GlowWorksheet, ENDED | {"ended_on": VISIT - timedelta(days=1)}),
    "inspection_kind_known": (Inspection, {"kind": UNKNOWN}),
    "inspection_status_known": (Inspection, {"status": UNKNOWN}),
    "inspection_ends_after_it_begins": (Inspection, {"finished_on": VISIT - timedelta(days=1)}),
    "inspection_has_an_edition": (Inspection, {"edition": ""}),
    "inspection_next_due_after_the_visit": (Inspection, {"next_due_on": VISIT}),
    "installation_has_a_name": (Installation, {"name": ""}),
    "installation_use_known": (Installation, {"use": UNKNOWN}),
    "installation_earthing_known": (Installation, {"earthing": "IT"}),
    "installation_phases_known": (Installation, {"phases": "2"}),
    "installation_voltage_sensible": (Installation, {"nominal_voltage_v": 23000}),
    "installation_frequency_sensible": (Installation, {"frequency_hz": 0}),
    "instrument_has_a_serial": (Instrument, {"serial": ""}),
    "instrument_measures_known": (Instrument, {"measures": UNKNOWN}),
    "instrument_insulation_current_1_to_15_ma": (Instrument, {"insulation_current_ma": 16}),
    "limitation_kind_known": (Limitation, {"kind": UNKNOWN}),
    "limitation_scope_known": (Limitation, {"scope": UNKNOWN}),
    "limitation_known_elsewhere_says_since_when": (Limitation, {"visits_elsewhere": 1}),
    "limitation_has_a_reason": (Limitation, {"reason": ""}),
    "carried_limitation_has_an_answer_or_waits_for_one": (Limitation, {"carried_from": F("id")}),
    "agreed_limitation_says_with_whom_and_when": (
        Limitation,
        {"kind": LimitationKind.AGREED, "agreed_with": "The manager"},
    ),
    "load_preset_kind_known": (LoadPreset, {"kind": UNKNOWN}),
    "member_role_known": (Member, {"role": UNKNOWN}),
    "member_has_a_firm": (Member, {"firm": None}),
    "member_email_lower_case": (Member, {"email": "Inspector@example.com"}),
    "observation_code_known": (Observation, {"code": "C4"}),
    "observation_has_a_text": (Observation, {"text": ""}),
    "c1_says_what_was_done_and_that_the_client_was_warned": (
        Observation,
        {"code": Code.C1, "action_on_day": "Isolated"},
    ),
    "observation_put_right_says_by_whom": (Observation, {"put_right_on": VISIT}),
    "load_kind_known": (ParallelLoad, {"kind": UNKNOWN}),
    "load_connection_known": (ParallelLoad, {"connection": UNKNOWN}),
    "load_state_known": (ParallelLoad, {"state": UNKNOWN}),
    "load_origin_known": (ParallelLoad, {"origin": UNKNOWN}),
    "load_counts_at_least_one": (ParallelLoad, {"count": 0}),
    "load_has_a_place": (ParallelLoad, {"place": ""}),
    "load_taken_out_says_when_and_by_whom": (
        ParallelLoad,
        {"state": LoadState.TAKEN_OUT, "taken_out_on": VISIT},
    ),
    "load_taken_out_after_it_was_there": (
        ParallelLoad,
        {"state": LoadState.TAKEN_OUT, "taken_out_by": "A member", "taken_out_on": VISIT - timedelta(days=1)},
    ),
    "review_outcome_known": (
        Review,
        {"outcome": UNKNOWN, "closed_at": AT, "closed_by": F("sent_by")},
    ),
    "review_closed_says_when_and_by_whom": (Review, {"closed_at": AT}),
    "review_returned_says_why": (
        Review,
        {"outcome": ReviewOutcome.RETURNED, "closed_at": AT, "closed_by": F("sent_by")},
    ),
    "point_answer_says_something": (PointAnswer, {"text": ""}),
    "correction_says_what": (Correction, {"what_changed": ""}),
    "correction_dropped_says_why_when_and_by_whom": (Correction, {"dropped_at": AT}),
    "record_upload_holds_its_file_until_committed": (RecordUpload, {"pdf": None}),
    "saved_filter_has_a_name": (SavedFilter, {"name": ""}),
    "client_link_says_to_whom": (ClientLink, {"given_to": ""}),
    "client_link_ended_says_when_and_by_whom": (ClientLink, {"ended_at": AT}),
    "link_opening_part_known": (LinkOpening, {"part": UNKNOWN}),
    "run_kind_known": (Run, {"kind": UNKNOWN}),
    "run_state_known": (Run, {"state": UNKNOWN}),
    "run_finished_says_when": (Run, {"state": RunState.FINISHED}),
    "run_outcome_known": (RunItem, {"outcome": UNKNOWN}),
    "run_left_out_says_why": (RunItem, {"outcome": RunOutcome.LEFT_OUT}),
    "run_done_has_its_record": (RunItem, {"outcome": RunOutcome.DONE}),
    "result_test_voltage_known": (CircuitResult, {"ir_voltage_v": 400}),
    "upload_holds_its_file_until_committed": (Upload, {"content": None}),
    "visual_outcome_known": (VisualOutcome, {"outcome": UNKNOWN}),
}

UNIQUE = {
    constraint.name: (model, constraint.fields)
    for model in MODELS
    for constraint in model._meta.constraints
    if isinstance(constraint, models.UniqueConstraint)
}


def carried_limitation():
    before = LimitationFactory(is_standing=True)
    now = InspectionFactory(installation=before.inspection.installation, based_on=before.inspection)
    return LimitationFactory(inspection=now, carried_from=before, standing_answer=StandingAnswer.PENDING)


def brought_in():
    visit = InspectionFactory()
    return RecordUploadFactory(firm=visit.installation.firm, inspection=visit, committed_at=AT)


def run_item_of_a_record():
    record = IssuedRecordFactory()
    return RunItemFactory(inspection=record.inspection, record=record)


# Rows that a unique constraint speaks of only when filled in so.
ROW_FOR = {
    "limitation_carried_once": carried_limitation,
    "record_brought_in_once_by_a_firm": brought_in,
    "run_has_a_record_once": run_item_of_a_record,
}


def second_revision(correction):
    record = correction.corrects
    return IssuedRecordFactory(
        inspection=record.inspection, revision=2, what_changed="A name", previous_sha256=SHA256
    )


# How the second row differs, where a mere copy would break other constraints too.
SECOND_DIFFERS = {
    "record_number_once_in_firm": lambda row: {
        "inspection": InspectionFactory(installation=row.inspection.installation), "previous_sha256": SHA256,
    },
    "record_brought_in_once_by_a_firm": lambda row: {
        "inspection": InspectionFactory(installation=row.inspection.installation)
    },
    "record_chain_never_forks": lambda row: {"number": 2, "revision": 2, "what_changed": "A name"},
    "record_revision_once": lambda row: {"number": 2, "previous_sha256": SHA256},
    "correction_waits_once": lambda row: {"corrects": second_revision(row)},
    "record_corrected_once": lambda row: {"issued_as": second_revision(row)},
}  # fmt: skip


# A record never changes, so what its constraints refuse is tried on new ones, in tests/reports/models.
NEVER_CHANGED = {
    "record_numbers_begin_at_1", "record_revision_says_what_changed", "record_pdf_has_its_hash",
}  # fmt: skip


def test_every_check_is_broken_here():
    checks = {
        constraint.name
        for model in MODELS
        for constraint in model._meta.constraints
        if isinstance(constraint, models.CheckConstraint)
    }
    assert checks == set(BROKEN_BY) | NEVER_CHANGED


@pytest.mark.parametrize("name", BROKEN_BY)
def test_a_row_that_breaks_a_check_is_refused(name):
    model, change = BROKEN_BY[name]
    row = FACTORY_OF[model]()
    with pytest.raises(IntegrityError, match=rf"\b{name}\b"):
        model.objects.filter(pk=row.pk).update(**change)


@pytest.mark.parametrize("name", UNIQUE)
def test_what_must_be_single_is_refused_twice(name):
    model, fields = UNIQUE[name]
    row = ROW_FOR.get(name, FACTORY_OF[model])()
    second = {
        field.name: getattr(row, field.name) for field in model._meta.concrete_fields if not field.primary_key
    }
    second |= SECOND_DIFFERS.get(name, lambda row: {})(row)
    single = name if connection.vendor == "postgresql" else ".*".join(fields)
    with pytest.raises(IntegrityError, match=rf"(?i){name}|unique.*{single}"):
        model.objects.bulk_create([model(**second)])


# What the constraints must leave free


def test_another_firm_may_use_the_same_names():
    client = ClientFactory()
    assert ClientFactory(name=client.name).firm != client.firm


def test_another_place_may_use_the_same_board_designation():
    board = BoardFactory()
    assert BoardFactory(designation=board.designation).installation != board.installation


def test_a_way_holds_one_circuit_on_each_phase():
    board = BoardFactory()
    for phase in ("L1", "L2", "L3"):
        CircuitFactory(board=board, way="1", phase=phase)
    assert board.circuits.count() == 3


def test_the_way_of_a_retired_circuit_is_free_again():
    old = CircuitFactory(retired_on=VISIT)
    new = CircuitFactory(board=old.board, way=old.way, phase=old.phase)
    assert set(old.board.circuits.all()) == {old, new}
    assert list(old.board.circuits.in_use()) == [new]


def test_a_circuit_has_one_result_at_each_inspection():
    first = CircuitResultFactory()
    later = InspectionFactory(installation=first.inspection.installation)
    CircuitResultFactory(circuit=first.circuit, inspection=later)
    assert first.circuit.results.count() == 2


def test_one_email_signs_in_one_member_whatever_the_firm():
    member = MemberFactory()
    with pytest.raises(IntegrityError):
        MemberFactory(email=member.email)


def test_only_whoever_runs_the_service_has_no_firm():
    assert MemberFactory(firm=None, is_superuser=True).firm is None
    with pytest.raises(IntegrityError, match="member_has_a_firm"):
        MemberFactory(firm=None)


def test_a_load_is_replaced_by_one_other_and_that_one_replaces_no_more():
    new = ParallelLoadFactory()
    ParallelLoadFactory(circuit=new.circuit, replaced_by=new)
    with pytest.raises(IntegrityError):
        ParallelLoadFactory(circuit=new.circuit, replaced_by=new)


@pytest.mark.parametrize("model", [Client, Installation, Board, Circuit, Inspection, Member])
def test_what_others_rest_on_is_not_deleted(model):
    result = CircuitResultFactory()
    place = result.inspection.installation
    rests = {
        Client: place.client,
        Installation: place,
        Board: result.circuit.board,
        Circuit: result.circuit,
        Inspection: result.inspection,
        Member: result.inspection.inspector,
    }
    with pytest.raises(models.ProtectedError):
        rests[model].delete()
