"""The worksheet on paper: one page whatever is on it, with the values of the page and its drawings."""

from datetime import timedelta

import pytest

from remedies.glow import services
from remedies.physics.cause import QUESTIONS
from reports.pdf.glow import write_glow_pdf
from tests.factories import VISIT, GlowWorksheetFactory, LoadPresetFactory
from tests.reports.pdf.reading_back import all_text, page_texts, squeezed

pytestmark = pytest.mark.django_db

READINGS = [
    {"volts": 100.0, "resistance_ohm": 10e6, "capacitance_f": 100e-12},
    {"volts": 8.0, "resistance_ohm": 300e3},
]
OWN = {"kind": "resistor", "resistance_ohm": "390", "rated_power_w": "0.25"}


@pytest.fixture
def worksheet():
    worksheet = GlowWorksheetFactory(
        circuit__description="Landing lights",
        circuit__board__installation__name="Larkfield Hall",
        readings=READINGS,
        inputs={"own": OWN, "place": {"no_cpc": True}},
        answers={"switch": "two-way or intermediate", "insulation": "2 MΩ or more"},
        cause="coupling",
        conclusion="Long strappers in one trunking",
    )
    rows = services.sheet_of(worksheet).remedies
    worksheet.chosen = next(row.key for row in rows if row.brief == "X2 0.1 µF")
    worksheet.save()
    return worksheet


def test_an_open_case_prints_on_one_page_with_its_values(worksheet):
    pdf = write_glow_pdf(worksheet)
    (text,) = page_texts(pdf)
    assert "Page 1 of 1" in text
    whole = all_text(pdf)
    sheet = services.sheet_of(worksheet)
    for said in (
        "Larkfield Hall",
        "Landing lights",
        "Long strappers in one trunking",
        "Two-way or intermediate",
        "2 MΩ or more",
        "230² ÷ 390 Ω = 136 W in a 0.25 W part.",
        "Fit the missing protective conductor",
        "Chosen.",
        "no proof of isolation",
        *(value.value for value in sheet.source.values),
        *(row.lamp for row in sheet.remedies),
    ):
        assert squeezed(said) in whole


def test_the_drawings_of_the_page_stand_in_the_print_with_the_same_values(worksheet):
    whole = all_text(write_glow_pdf(worksheet))
    case = services.sheet_of(worksheet).circuit
    for value in (case.origin_value, case.lamp, case.open_circuit, case.remedy, *case.meters):
        assert squeezed(value) in whole
    assert squeezed("surely dark up to 10 V") in whole


def test_the_same_worksheet_gives_the_same_bytes(worksheet):
    assert write_glow_pdf(worksheet) == write_glow_pdf(worksheet)


def test_a_case_with_nothing_on_it_prints(db):
    (text,) = page_texts(write_glow_pdf(GlowWorksheetFactory()))
    assert "Enter two meter readings" in text.replace("\n", " ")


def test_all_that_can_be_entered_still_prints_on_one_page(worksheet):
    firm = worksheet.circuit.board.installation.client.firm
    for number in range(7):
        LoadPresetFactory(
            firm=firm, name=f"Usual part {number}", kind="capacitor", capacitance_uf=f"0.{number + 2}"
        )
    worksheet.complaint, worksheet.conclusion = "glows at night " * 13, "two-way strappers " * 27
    worksheet.answers = {question.key: question.answers[-1] for question in QUESTIONS}
    worksheet.readings = [*READINGS, {"volts": 26.1, "resistance_ohm": 1e6}]
    worksheet.inputs = {
        "own": OWN,
        "place": dict.fromkeys(
            ("spare_core", "idle_core_floating", "no_cpc", "can_reroute", "room_for_double_pole",
             "neutral_at_control", "electronic_control", "dimmer_below_minimum"), True,
        ),
        "control": {"off_current_a": 0.5e-3},
        "dimmer": {"lamp_w": 5.0, "lamp_count": 3, "minimum_w": 25.0},
        "device": {"resistance_ohm": 15e3, "on_current_a": 15e-3, "case_c": 168.0, "air_c": 20.0},
        "supply": {"price_per_kwh": 0.3},
    }  # fmt: skip
    worksheet.full_clean()
    assert len([row for row in services.sheet_of(worksheet).remedies if row.lamp]) > 10
    (text,) = page_texts(write_glow_pdf(worksheet))
    assert "Page 1 of 1" in text
    assert "more were compared; they stand in the record." in text
    assert "Chosen." in text


def test_a_fitted_case_says_what_was_done(worksheet):
    services.fit_remedy(
        worksheet=worksheet,
        chosen=worksheet.chosen,
        place="Above the landing rose",
        on=VISIT + timedelta(days=1),
        member=worksheet.opened_by,
    )
    worksheet.refresh_from_db()
    whole = all_text(write_glow_pdf(worksheet))
    assert squeezed("Fitted: Suppression capacitor X2 0.1 µF 275 V, Above the landing rose") in whole
    assert squeezed("4 Nov 2026") in whole
