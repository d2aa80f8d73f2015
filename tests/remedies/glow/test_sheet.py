"""What a worksheet says: on what it is calculated, when no part may be, and what stands in the table."""

import dataclasses

import pytest

from remedies.enums import LoadKind
from remedies.glow import table
from remedies.glow.services import sheet_of
from remedies.physics.cause import CAUSES, QUESTIONS
from tests.factories import LoadPresetFactory
from tests.remedies.glow.conftest import COUPLED, LIVE

OWN = {"kind": "resistor", "resistance_ohm": "390", "rated_power_w": "0.25"}


def row(sheet, words) -> table.Remedy:
    return next(one for one in sheet.remedies if words in one.title)


def test_without_readings_no_part_is_calculated_and_it_is_said_what_to_enter(worksheet):
    sheet = sheet_of(worksheet)
    assert sheet.remedies == ()
    assert "Enter two meter readings" in sheet.no_part[0]
    assert sheet.plot is None


def test_one_reading_alone_does_not_tell_a_coupled_voltage_from_a_live_conductor(worksheet):
    worksheet.readings = COUPLED[:1]
    worksheet.inputs = {"control": {"off_current_a": 0.5e-3}}
    assert "One reading cannot tell" in sheet_of(worksheet).no_part[0]


def test_a_live_conductor_is_told_loudly_and_no_part_is_calculated(worksheet):
    worksheet.readings = LIVE
    # Even where something else could be calculated on.
    worksheet.inputs = {"control": {"off_current_a": 0.5e-3}, "place": {"run_m": 20.0}}
    sheet = sheet_of(worksheet)
    assert sheet.source.verdict == "stiff"
    assert sheet.source.loud
    assert sheet.source.text.startswith("Stop.")
    assert sheet.no_part == (sheet.source.text,)
    assert not sheet.can_fit


@pytest.mark.parametrize("cause", [cause for cause in CAUSES if cause.dangerous], ids=lambda cause: cause.key)
def test_a_dangerous_fault_is_put_right_and_never_covered_by_a_part(worksheet, cause):
    worksheet.readings, worksheet.cause = COUPLED, cause.key
    sheet = sheet_of(worksheet)
    assert "A fault, and no nuisance" in sheet.no_part[0]
    assert cause.next_step in sheet.no_part[0]
    assert not sheet.can_fit


def test_a_leak_shown_by_a_third_reading_is_found_first_unless_its_current_is_known(worksheet):
    # 500 kΩ of leak from 230 V and nothing to earth: each meter R reads 230·R/(R + 500 kΩ).
    worksheet.readings = [
        {"volts": 230 * ohm / (ohm + 500e3), "resistance_ohm": ohm, "gain_error": 0.005}
        for ohm in (10e6, 1e6, 100e3)
    ]
    assert "Find which" in sheet_of(worksheet).no_part[0]
    worksheet.cause = "indicator"
    assert sheet_of(worksheet).no_part == ()


def test_readings_count_before_a_controls_data_and_those_before_a_length_of_run(worksheet):
    worksheet.inputs = {"place": {"run_m": 20.0}}
    assert "20 m of parallel run" in sheet_of(worksheet).basis
    worksheet.inputs["control"] = {"off_current_a": 0.5e-3}
    assert "off-state current" in sheet_of(worksheet).basis
    worksheet.readings = COUPLED
    assert sheet_of(worksheet).basis == "Calculated on the meter readings."


def test_remedies_that_leave_nothing_stand_first_and_refused_parts_last_with_the_working(worksheet):
    worksheet.readings = COUPLED
    worksheet.inputs = {"place": {"no_cpc": True, "can_reroute": True}, "own": OWN}
    sheet = sheet_of(worksheet)
    assert [one.state for one in sheet.remedies[:2]] == [table.NO_PART] * 2
    refused = sheet.remedies[-1]
    assert refused.title == "Resistor 390 Ω 0.25 W"
    assert refused.state == table.REFUSED
    assert refused.reasons[0] == "230² ÷ 390 Ω = 136 W in a 0.25 W part."  # common arithmetic, V²/R
    assert not refused.can_be_fitted


def test_a_row_tells_what_common_practice_would_work_out_by_hand(worksheet):
    worksheet.readings = COUPLED
    worksheet.inputs = {"own": {"kind": "resistor", "resistance_ohm": "560000", "rated_power_w": "1"}}
    found = row(sheet_of(worksheet), "560 kΩ")
    # 230 V across 560 kΩ: 0.41 mA and 94 mW (common practice, no source); in 1500 h 142 Wh.
    assert (found.current, found.power, found.energy) == ("411 µA", "94.5 mW", "142 Wh")
    assert found.peak == "358 V"  # √2 · 253 V
    assert found.at_500.endswith("MΩ")
    assert found.before == "Disconnect first"
    assert found.failure


def test_a_capacitor_without_a_resistor_may_stay_in_for_the_test_and_keeps_its_charge(worksheet):
    worksheet.readings = COUPLED
    found = row(sheet_of(worksheet), "X2 0.1 µF 275 V")
    assert found.state == "Stays dark"
    assert (found.before, found.discharge) == ("May stay in", "never by itself")
    assert found.current == "7.23 mA"  # 230 V · 2π · 50 Hz · 0.1 µF


def test_the_cost_of_a_year_is_told_where_a_price_is_given(worksheet):
    worksheet.readings = COUPLED
    worksheet.inputs = {
        "own": {"kind": "load_module", "resistance_ohm": "15000"},
        "supply": {"price_per_kwh": 0.30},
    }
    # 3.53 W · 1500 h = 5.29 kWh
    assert row(sheet_of(worksheet), "15 kΩ").cost == "1.59"


def test_the_firms_usual_parts_are_compared_and_none_twice(worksheet):
    firm = worksheet.circuit.board.installation.client.firm
    for name, kind in (("X2 at the lamp", LoadKind.CAPACITOR), ("Dimmer", LoadKind.DIMMER)):
        LoadPresetFactory(
            firm=firm, name=name, kind=kind, capacitor_class="X2", capacitance_uf="0.1", rated_voltage_v=275
        )
    LoadPresetFactory(name="Of another firm", kind=LoadKind.LOAD_MODULE, resistance_ohm=7500)
    worksheet.readings = COUPLED
    rows = sheet_of(worksheet).remedies
    usual = [one for one in rows if one.whose]
    assert [one.whose for one in usual] == ["your usual part: X2 at the lamp"]
    assert [one.brief for one in rows].count("X2 0.1 µF") == 1
    assert not any("7.5 kΩ" in one.title for one in rows)


def test_a_neon_that_strikes_waits_until_it_is_asked_for(worksheet):
    worksheet.readings = COUPLED
    quick = sheet_of(worksheet, with_slow=False).remedies[-1]
    assert (quick.brief, quick.state) == ("neon 220 kΩ", table.NOT_CALCULATED)
    assert not quick.can_be_fitted
    assert row(sheet_of(worksheet), "Neon").lamp


def test_a_neon_that_the_stray_voltage_does_not_strike_is_told_at_once(worksheet):
    worksheet.readings = [{**COUPLED[0], "volts": 12.0}, {**COUPLED[1], "volts": 3.0}]
    neon = row(sheet_of(worksheet, with_slow=False), "Neon")
    assert any("does not strike" in caution for caution in neon.cautions)


def test_the_chosen_remedy_is_marked_in_the_drawing_and_the_plot(worksheet):
    worksheet.readings = COUPLED
    worksheet.chosen = row(sheet_of(worksheet), "X2 0.1 µF 275 V").key
    sheet = sheet_of(worksheet)
    assert (sheet.circuit.remedy, sheet.circuit.remedy_kind) == ("X2 0.1 µF", LoadKind.CAPACITOR)
    assert sheet.plot.chosen[0] == pytest.approx(0.1e-6)
    assert f"{sheet.chosen.lamp} when off" == sheet.circuit.lamp
    assert sheet.plot.unit == "F"


def test_the_plot_runs_over_resistance_when_a_resistor_is_chosen(worksheet):
    worksheet.readings = COUPLED
    worksheet.chosen = row(sheet_of(worksheet), "Resistor 2 ×").key
    plot = sheet_of(worksheet).plot
    assert plot.unit == "Ω"
    volts = [typical for _, _, typical, _ in plot.points]
    assert volts == sorted(volts)  # more resistance, more voltage
    assert plot.chosen[0] == pytest.approx(320e3)


def test_a_key_names_its_part_by_value_so_that_a_choice_never_turns_into_another(worksheet):
    worksheet.readings = COUPLED
    sheet = sheet_of(worksheet)
    keys = [one.key for one in sheet.remedies]
    assert len(set(keys)) == len(keys)
    worksheet.chosen = sheet.remedies[0].key
    worksheet.readings = [{**COUPLED[0], "volts": 150.0}, {**COUPLED[1], "volts": 40.0}]
    later = sheet_of(worksheet)
    assert later.chosen is None or later.chosen.title == sheet.remedies[0].title


def test_belief_is_never_certain_and_dangers_not_ruled_out_are_named(worksheet):
    worksheet.answers = {question.key: question.answers[0] for question in QUESTIONS}
    beliefs = sheet_of(worksheet).beliefs
    assert {1 <= belief.percent <= 99 for belief in beliefs} == {True}
    worksheet.answers = {}
    assert {belief.key for belief in sheet_of(worksheet).not_excluded} == {
        cause.key for cause in CAUSES if cause.dangerous
    }


def test_a_question_that_cannot_be_answered_there_is_not_asked_again(worksheet):
    first = sheet_of(worksheet).next_question
    worksheet.answers = {first.key: ""}
    sheet = sheet_of(worksheet)
    assert sheet.next_question.key != first.key
    assert [one.key for one in sheet.asked] == [first.key]


def test_every_question_that_touches_conductors_carries_its_caution(worksheet):
    asked = []
    while (one := sheet_of(worksheet).next_question) is not None:
        asked.append(one)
        worksheet.answers = {**worksheet.answers, one.key: one.answers[-1]}
    measured = {
        one.key: one.caution for one in asked if one.key in ("two_meters", "line_at_lamp", "insulation")
    }
    assert measured
    assert all("ompetent" in caution or "prove dead" in caution for caution in measured.values())


def test_the_supply_is_that_of_the_record_until_it_is_changed(worksheet):
    worksheet.circuit.board.installation.nominal_voltage_v = 240
    assert sheet_of(worksheet).circuit.supply == "240 V 50 Hz"
    worksheet.inputs = {"supply": {"supply_v": 220.0, "highest_v": 242.0}}
    assert sheet_of(worksheet).circuit.supply == "220 V 50 Hz"


def test_control_dimmer_and_device_say_their_part(worksheet):
    worksheet.inputs = {
        "control": {"off_current_a": 0.5e-3, "nature": "capacitive"},
        "dimmer": {"lamp_w": 5.0, "lamp_count": 3, "minimum_w": 25.0},
        "device": {"resistance_ohm": 15e3, "on_current_a": 15e-3, "case_c": 68.0, "air_c": 20.0},
    }
    sheet = sheet_of(worksheet)
    told = {
        result.heading: {v.label: v.value for v in result.values}
        for result in (sheet.control, sheet.dimmer, sheet.device)
    }
    assert told["What must pass beside the lamp"]["A resistor of at most"] == "20 kΩ"  # 10 V / 0.5 mA
    assert told["Whether the load is enough"]["Short of the minimum by"] == "10 W"  # 25 − 3 · 5
    assert told["What it probably is"]["Inside, probably"] == "resistive"
    assert told["What it probably is"]["Dissipates when on"] == "3.45 W"  # 230 V · 15 mA


def test_rows_kept_with_an_ended_case_come_back_as_they_were(worksheet):
    worksheet.readings = COUPLED
    rows = sheet_of(worksheet).remedies
    assert table.from_record([dataclasses.asdict(one) for one in rows]) == rows
