"""What is done with a worksheet: opened, filled in, ended by a remedy or without one."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from remedies.before_test import before_test
from remedies.enums import Connection, GlowStatus, LoadKind, LoadState, Origin
from remedies.glow import services
from remedies.labels import confirm_stuck, label_status, print_label
from remedies.models import ParallelLoad
from tests.factories import VISIT, CircuitFactory, MemberFactory
from tests.remedies.glow.conftest import COUPLED, LIVE

LATER = VISIT + timedelta(days=1)


def key_of(worksheet, words) -> str:
    return next(row.key for row in services.sheet_of(worksheet).remedies if words in row.title)


def fit(worksheet, words="X2 0.1 µF 275 V", **kwargs) -> ParallelLoad:
    return services.fit_remedy(
        worksheet=worksheet,
        chosen=kwargs.pop("chosen", None) or key_of(worksheet, words),
        place="Above the landing rose",
        on=LATER,
        member=worksheet.opened_by,
        **kwargs,
    )


def test_a_worksheet_is_opened_for_a_circuit(db):
    circuit, member = CircuitFactory(), MemberFactory()
    opened = services.open_worksheet(circuit=circuit, complaint="Glows", on=VISIT, member=member)
    opened.refresh_from_db()
    assert (opened.status, opened.complaint, opened.opened_by) == (GlowStatus.OPEN, "Glows", member)
    assert opened.history.get().history_user == member


def test_what_was_entered_is_kept_section_by_section(worksheet):
    for entered in (
        {"readings": COUPLED, "answers": {"fades": "it stays steady"}},
        {"inputs": {"control": {"off_current_a": 0.5e-3}}},
        {"inputs": {"place": {"run_m": 12.0}}},
    ):
        services.record_worksheet(worksheet=worksheet, entered=entered, member=worksheet.opened_by)
    worksheet.refresh_from_db()
    assert worksheet.readings == COUPLED
    assert worksheet.inputs == {"control": {"off_current_a": 0.5e-3}, "place": {"run_m": 12.0}}
    assert worksheet.answers == {"fades": "it stays steady"}


@pytest.mark.parametrize(
    ("entered", "why"),
    [
        ({"answers": {"fades": "perhaps"}}, "is not an answer"),
        ({"answers": {"weather": "wet"}}, "is not an answer"),
        ({"readings": [{"volts": -5.0, "resistance_ohm": 10e6}]}, "outside 0 V to 1 kV"),
        ({"readings": [{"volts": 10e3, "resistance_ohm": 10e6}]}, "10 kV is outside"),
        ({"readings": [{"volts": 100.0, "resistance_ohm": None}]}, "nothing was given"),
        ({"inputs": {"control": {"off_current_a": 0.0}}}, "off-state current"),
        ({"inputs": {"supply": {"supply_v": 10e3}}}, "10 kV is outside 20 V to 1 kV"),
        ({"inputs": {"supply": {"glow_low_v": 40.0, "glow_high_v": 10.0}}}, "glow threshold"),
        ({"inputs": {"place": {"run_m": -1.0}}}, "parallel run"),
        ({"inputs": {"device": {"shows_open": True, "resistance_ohm": 5.0}}}, "Give one of the two"),
        ({"inputs": {"own": {"kind": "capacitor", "capacitance_uf": "0.0000001"}}}, "capacitor"),
        ({"cause": "weather"}, "not a valid choice"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason_and_nothing_is_kept(worksheet, entered, why):
    with pytest.raises(ValidationError) as raised:
        services.record_worksheet(worksheet=worksheet, entered=entered, member=worksheet.opened_by)
    assert why in " ".join(raised.value.messages)
    worksheet.refresh_from_db()
    assert (worksheet.readings, worksheet.inputs, worksheet.answers) == ([], {}, {})


def test_a_fitted_remedy_stands_in_the_register_with_the_worksheet_behind_it(coupled):
    load = fit(coupled, access="Two screws", access_minutes=4, is_hidden=True)
    load.refresh_from_db()
    assert (load.kind, load.capacitor_class) == (LoadKind.CAPACITOR, "X2")
    assert (str(load.capacitance_uf), load.rated_voltage_v) == ("0.1000", 275)
    assert (load.state, load.origin, load.since) == (LoadState.IN_PLACE, Origin.FITTED, LATER)
    assert (load.connection, load.place, load.access_minutes) == (
        Connection.SWITCHED_L_N, "Above the landing rose", 4,
    )  # fmt: skip
    assert load.circuit == coupled.circuit
    assert "coupled from a neighbouring live conductor" in load.reason
    assert load.glow_worksheet == coupled
    coupled.refresh_from_db()
    assert (coupled.status, coupled.load, coupled.ended_on) == (GlowStatus.FITTED, load, LATER)
    assert coupled.ended_by == coupled.opened_by
    assert "Above the landing rose" in coupled.outcome


def test_what_was_compared_is_kept_as_it_stood(coupled):
    before = services.sheet_of(coupled).remedies
    fit(coupled)
    coupled.refresh_from_db()
    sheet = services.sheet_of(coupled)
    assert sheet.remedies == before
    assert "X2 0.1 µF" in sheet.chosen.title
    assert sheet.circuit.remedy == "X2 0.1 µF"


def test_the_board_label_is_out_of_date_and_the_before_you_test_sheet_gains_a_line(coupled):
    board = coupled.circuit.board
    label = print_label(board=board, at=timezone.now(), on=VISIT, member=coupled.opened_by)
    confirm_stuck(label=label, on=timezone.localdate(), member=coupled.opened_by)
    assert not label_status(board).is_out_of_date
    assert before_test(board, on=LATER).circuits == ()
    fit(coupled)
    assert label_status(board).is_out_of_date
    (circuit,) = before_test(board, on=LATER).circuits
    assert [(load.what, load.place) for load in circuit.loads] == [("X2 0.1 µF", "Above the landing rose")]
    assert circuit.loads[0].holds_charge


def test_a_refused_part_is_not_fitted(coupled):
    coupled.inputs = {"own": {"kind": "resistor", "resistance_ohm": "390", "rated_power_w": "0.25"}}
    coupled.save()
    with pytest.raises(ValidationError, match=r"136 W in a 0\.25 W part"):
        fit(coupled, "390 Ω")
    assert not ParallelLoad.objects.exists()


def test_a_part_that_leaves_the_lamp_glowing_is_not_fitted(coupled):
    with pytest.raises(ValidationError, match="does not serve"):
        fit(coupled, "Neon")
    assert not ParallelLoad.objects.exists()


def test_nothing_is_fitted_before_a_cause_is_concluded(coupled):
    coupled.cause = ""
    coupled.save()
    with pytest.raises(ValidationError, match="which cause you found"):
        fit(coupled)


def test_nothing_is_fitted_across_a_live_conductor(coupled):
    chosen = key_of(coupled, "X2 0.1 µF 275 V")
    coupled.readings = LIVE
    coupled.save()
    with pytest.raises(ValidationError, match="Stop"):
        fit(coupled, chosen=chosen)
    assert not ParallelLoad.objects.exists()


def test_a_choice_that_is_no_longer_calculated_is_chosen_again(coupled):
    with pytest.raises(ValidationError, match="Choose the remedy again"):
        fit(coupled, chosen="something else")


def test_a_part_is_not_fitted_before_the_case_was_opened(coupled):
    with pytest.raises(ValidationError, match="ended before it was opened"):
        services.fit_remedy(
            worksheet=coupled,
            chosen=key_of(coupled, "X2 0.1 µF 275 V"),
            place="Rose",
            on=VISIT - timedelta(days=1),
            member=coupled.opened_by,
        )
    assert not ParallelLoad.objects.exists()


def test_a_case_ends_without_a_part(worksheet):
    worksheet.cause = "switched_neutral"
    worksheet.save()
    services.close_worksheet(
        worksheet=worksheet, outcome="Switch put in the line", on=LATER, member=worksheet.opened_by
    )
    worksheet.refresh_from_db()
    assert (worksheet.status, worksheet.outcome, worksheet.load) == (
        GlowStatus.CLOSED, "Switch put in the line", None,
    )  # fmt: skip


def test_an_ended_case_is_changed_and_ended_no_more(coupled):
    fit(coupled)
    ways = (
        lambda: services.record_worksheet(
            worksheet=coupled, entered={"conclusion": "x"}, member=coupled.opened_by
        ),
        lambda: services.close_worksheet(worksheet=coupled, outcome="x", on=LATER, member=coupled.opened_by),
        lambda: services.fit_remedy(
            worksheet=coupled, chosen="x", place="x", on=LATER, member=coupled.opened_by
        ),
    )
    for way in ways:
        with pytest.raises(ValidationError, match="is ended"):
            way()
    assert ParallelLoad.objects.count() == 1
