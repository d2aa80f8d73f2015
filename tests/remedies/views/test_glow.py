"""The pages of the glow worksheet: what they show, what they keep, who may see them."""

from html.parser import HTMLParser

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import Measures
from remedies.enums import GlowStatus
from remedies.glow.services import ENDED, sheet_of
from remedies.models import GlowWorksheet, ParallelLoad
from tests.factories import GlowWorksheetFactory, InstrumentFactory, MemberFactory

TYPED = {
    "reading0-volts": "100",
    "reading0-resistance_ohm": "10M",
    "reading0-capacitance_f": "100p",
    "reading1-volts": "8 V",
    "reading1-resistance_ohm": "300k",
    "supply-supply_v": "230",
    "supply-highest_v": "253",
    "supply-frequency_hz": "50",
    "supply-glow_low_v": "10",
    "supply-glow_high_v": "40",
    "supply-hours_on": "1500",
    "supply-rcd_rated_a": "30",
    "supply-standing_a": "0",
    "supply-ambient_c": "25",
    "case-complaint": "Landing lamps glow",
}


@pytest.fixture
def worksheet(place) -> GlowWorksheet:
    return GlowWorksheetFactory(circuit=place.circuit, opened_by=place.member, complaint="Landing lamps glow")


OF_ONE = ("glow", "glow_part", "glow_fit", "glow_close", "glow_pdf")


def addresses(worksheet):
    return {
        "glow_start": reverse("glow_start", args=[worksheet.circuit_id]),
        "installation_glow_worksheets": reverse(
            "installation_glow_worksheets", args=[worksheet.circuit.board.installation_id]
        ),
        **{name: reverse(name, args=[worksheet.pk]) for name in OF_ONE},
    }


POSTED_ONLY = ("glow_part", "glow_fit", "glow_close")


def ask(browser, name, address):
    return browser.post(address, TYPED) if name in POSTED_ONLY else browser.get(address)


def test_a_stranger_finds_nothing(worksheet, stranger):
    before = GlowWorksheet.history.count()
    answers = {name: ask(stranger, name, address) for name, address in addresses(worksheet).items()}
    assert {name: answer.status_code for name, answer in answers.items()} == dict.fromkeys(answers, 404)
    assert stranger.post(reverse("glow", args=[worksheet.pk]), TYPED).status_code == 404
    assert GlowWorksheet.history.count() == before


def test_a_stranger_does_not_see_the_worksheets_of_another_firm(worksheet, stranger):
    page = stranger.get(reverse("glow_worksheets"))
    assert page.status_code == 200
    assert "Landing lamps glow" not in page.text


def test_whoever_is_not_signed_in_is_asked_to(worksheet):
    for name, address in addresses(worksheet).items():
        answer = ask(Browser(), name, address)
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("account_login"))


def test_fragments_and_endings_come_by_post_alone(worksheet, browse):
    assert {browse.get(addresses(worksheet)[name]).status_code for name in POSTED_ONLY} == {405}


class Markup(HTMLParser):
    """Fields without a label, ids that stand twice, and styles or scripts in the page itself."""

    def __init__(self, page):
        super().__init__()
        self.fields, self.labelled, self.ids, self.inline = [], set(), [], []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "label":
            self.labelled.add(given.get("for"))
        if tag in ("input", "select", "textarea") and given.get("type") != "hidden":
            self.fields.append(given.get("id"))
        if "id" in given:
            self.ids.append(given["id"])
        if tag == "style" or (tag == "script" and "src" not in given):
            self.inline.append(tag)
        self.inline += [name for name in given if name == "style" or name.startswith("on")]


@pytest.mark.parametrize("ended", [False, True])
def test_the_page_has_labels_for_all_fields_and_no_id_twice(worksheet, browse, ended):
    browse.post(reverse("glow", args=[worksheet.pk]), {**TYPED, "case-cause": "coupling"})
    if ended:
        browse.post(
            reverse("glow_close", args=[worksheet.pk]),
            {**TYPED, "case-cause": "coupling", "close-outcome": "Rerouted", "close-on": "2026-11-25"},
        )
        worksheet.refresh_from_db()
        assert worksheet.status == GlowStatus.CLOSED
    page = Markup(browse.get(reverse("glow", args=[worksheet.pk])).text)
    assert [field for field in page.fields if field not in page.labelled] == []
    assert len(set(page.ids)) == len(page.ids)
    assert page.inline == []


def test_a_worksheet_is_opened_from_the_circuit(place, browse):
    assert (
        reverse("glow_start", args=[place.circuit.pk])
        in browse.get(reverse("circuit", args=[place.circuit.pk])).text
    )
    answer = browse.post(
        reverse("glow_start", args=[place.circuit.pk]),
        {"complaint": "Stairs glow", "opened_on": "2026-11-25"},
    )
    opened = GlowWorksheet.objects.get()
    assert answer.url == reverse("glow", args=[opened.pk])
    assert (opened.circuit, opened.complaint, opened.opened_by) == (
        place.circuit,
        "Stairs glow",
        place.member,
    )


def test_the_list_names_the_worksheets_with_the_same_queries_for_one_and_for_three(
    worksheet, browse, django_assert_num_queries
):
    def ask_list():
        with django_assert_num_queries(5):
            return browse.get(reverse("glow_worksheets")).text

    assert "Landing lamps glow" in ask_list()
    for number in range(2):
        GlowWorksheetFactory(circuit=worksheet.circuit, complaint=f"Case {number}")
    assert "Case 1" in ask_list()


def test_what_was_typed_is_kept_and_shown_again(worksheet, browse):
    answer = browse.post(reverse("glow", args=[worksheet.pk]), {**TYPED, "case-cause": "coupling"})
    assert answer.status_code == 302
    worksheet.refresh_from_db()
    assert [entry["volts"] for entry in worksheet.readings] == [100.0, 8.0]
    assert worksheet.cause == "coupling"
    page = browse.get(reverse("glow", args=[worksheet.pk])).text
    assert 'value="10 MΩ"' in page
    assert "Coupled, as far as these readings go" in page
    assert "X2 0.1 µF" in page


def test_an_instrument_brings_its_own_input(worksheet, place, browse):
    meter = InstrumentFactory(
        firm=place.member.firm,
        measures=Measures.VOLTAGE,
        serial="TW-1",
        input_resistance_ohm=10_000_000,
        input_capacitance_pf=100,
    )
    browse.post(
        reverse("glow", args=[worksheet.pk]),
        {
            **TYPED,
            "reading0-instrument": meter.pk,
            "reading0-resistance_ohm": "",
            "reading0-capacitance_f": "",
        },
    )
    worksheet.refresh_from_db()
    assert worksheet.readings[0]["resistance_ohm"] == 10e6
    assert worksheet.readings[0]["capacitance_f"] == pytest.approx(100e-12)


def test_an_instrument_of_another_firm_cannot_be_chosen(worksheet, browse):
    meter = InstrumentFactory(input_resistance_ohm=10_000_000)
    answer = browse.post(reverse("glow", args=[worksheet.pk]), {**TYPED, "reading0-instrument": meter.pk})
    assert answer.status_code == 200
    worksheet.refresh_from_db()
    assert worksheet.readings == []


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("reading0-volts", "-5", "-5 V is outside 0 V to 1 kV. Type it like 100."),
        ("reading0-volts", "10 kV", "10 kV is outside 0 V to 1 kV. Type it like 100."),
        ("reading0-volts", "a lot", "“a lot” is not understood here. Type it like 100."),
        ("reading0-volts", "", "nothing was given. Type it like 100."),
        ("reading1-resistance_ohm", "0", "0 Ω is outside 100 Ω to 1000 GΩ. Type it like 10M or 300k."),
        ("reading1-resistance_ohm", "", "nothing was given. Type it like 10M or 300k."),
        ("supply-supply_v", "10 kV", "10 kV is outside 20 V to 1 kV. Type it like 230."),
        ("supply-supply_v", "", "nothing was given. Type it like 230."),
        ("supply-glow_low_v", "0", "0 V is outside 100 mV to 1 kV. Type it like 10."),
        ("supply-glow_low_v", "50", "the lamp is dark below 50 V and glows above 40 V."),
        ("supply-hours_on", "9000", "9000 h is outside 0 h to 8784 h. Type it like 1500."),
        ("place-run_m", "0", "0 m is outside 0.5 m to 100 m. Type it like 20."),
        ("control-off_current_a", "-1", "-1 mA is outside 100 nA to 50 mA. Type it like 0.5."),
        ("device-capacitance_f", "-1", "-1 µF is outside 0 F to 1 mF. Type it like 0.1."),
        ("dimmer-lamp_w", "5", "nothing was given. Type it like 3."),
        ("own-resistance_ohm", "minus one", "“minus one” is not understood here. Type it like 220k or 2.2M."),
    ],
)
def test_nonsense_is_told_beside_its_field_and_stays_as_typed(worksheet, browse, field, typed, says):
    answer = browse.post(
        reverse("glow", args=[worksheet.pk]),
        {**TYPED, "own-kind": "resistor", "own-resistance_ohm": "47k", field: typed},
    )
    assert answer.status_code == 200
    assert says in answer.text
    if typed:
        assert f'name="{field}" value="{typed}"' in answer.text
    worksheet.refresh_from_db()
    assert worksheet.complaint == "Landing lamps glow"


def test_what_holds_is_kept_beside_what_does_not(worksheet, browse):
    browse.post(
        reverse("glow", args=[worksheet.pk]),
        {**TYPED, "place-no_cpc": "on", "control-off_current_a": "lots", "case-conclusion": "Long strappers"},
    )
    worksheet.refresh_from_db()
    assert [entry["volts"] for entry in worksheet.readings] == [100.0, 8.0]
    assert worksheet.inputs["place"]["no_cpc"] is True
    assert worksheet.conclusion == "Long strappers"
    assert "control" not in worksheet.inputs


def test_fragments_follow_what_is_typed_and_keep_nothing(worksheet, browse):
    before = GlowWorksheet.history.count()
    answer = browse.post(
        reverse("glow_part", args=[worksheet.pk]),
        {
            **TYPED,
            "own-kind": "resistor",
            "own-resistance_ohm": "390",
            "own-rated_power_w": "0.25",
            "dimmer-lamp_w": "x",
        },
    )
    assert "230² ÷ 390 Ω = 136 W in a 0.25 W part." in answer.text
    assert "Coupled, as far as these readings go" in answer.text
    assert "“x” is not understood here" in answer.text
    assert answer.text.count("<svg") == 2
    worksheet.refresh_from_db()
    assert worksheet.readings == []
    assert GlowWorksheet.history.count() == before


def test_a_live_conductor_is_shouted_about(worksheet, browse):
    typed = {**TYPED, "reading0-volts": "230", "reading1-volts": "228"}
    answer = browse.post(reverse("glow_part", args=[worksheet.pk]), typed)
    assert 'class="loud" role="alert"' in answer.text
    assert "Stop. Treat it as live. Find the fault." in answer.text
    assert "No part is calculated." in answer.text
    assert 'name="chosen"' not in answer.text


def test_a_row_that_does_not_hold_never_brings_back_what_older_readings_said(worksheet, browse):
    browse.post(reverse("glow", args=[worksheet.pk]), TYPED)
    live = {**TYPED, "reading0-volts": "230", "reading1-volts": "228", "reading2-volts": "10 kV"}
    assert "Stop. Treat it as live." in browse.post(reverse("glow_part", args=[worksheet.pk]), live).text
    one_alone = {**TYPED, "reading0-volts": "-230"}
    assert "One reading cannot tell" in browse.post(reverse("glow_part", args=[worksheet.pk]), one_alone).text


def test_an_answer_is_kept_at_once_and_may_be_changed_or_taken_back(worksheet, browse):
    part = reverse("glow_part", args=[worksheet.pk])
    for typed, kept in (
        ({"answer": "switch=dimmer"}, {"switch": "dimmer"}),
        ({"answer": "fades=?", "answer.switch": "dimmer"}, {"fades": "", "switch": "dimmer"}),
        (
            {"answer.switch": "plain one-way switch", "answer.fades": "?"},
            {"fades": "", "switch": "plain one-way switch"},
        ),
        ({"answer.switch": "", "answer.fades": ""}, {}),
        ({"answer": "switch=witchcraft"}, {}),
        ({"answer": "weather=wet"}, {}),
    ):
        assert browse.post(part, {**TYPED, **typed}).status_code == 200
        worksheet.refresh_from_db()
        assert worksheet.answers == kept


def test_without_a_script_an_answer_saves_the_page_and_asks_the_next(worksheet, browse):
    answer = browse.post(reverse("glow", args=[worksheet.pk]), {**TYPED, "answer": "switch=dimmer"})
    assert answer.url.endswith("#cause")
    worksheet.refresh_from_db()
    assert worksheet.answers == {"switch": "dimmer"}
    assert worksheet.readings


def test_a_neon_is_calculated_when_asked_for(worksheet, browse):
    part = reverse("glow_part", args=[worksheet.pk])
    assert "Calculate it" in browse.post(part, TYPED).text
    assert "Calculate it" not in browse.post(part, {**TYPED, "slow": "1"}).text
    answer = browse.post(reverse("glow", args=[worksheet.pk]), {**TYPED, "slow": "1"})
    assert answer.url.endswith("?slow=1#remedies")
    assert "Calculate it" not in browse.get(answer.url).text


def fitting(worksheet, **changes):
    worksheet.readings = [
        {"volts": 100.0, "resistance_ohm": 10e6, "capacitance_f": 100e-12},
        {"volts": 8.0, "resistance_ohm": 300e3},
    ]
    key = next(row.key for row in sheet_of(worksheet).remedies if row.brief == "X2 0.1 µF")
    return {
        **TYPED,
        "case-cause": "coupling",
        "chosen": key,
        "fit-place": "Above the landing rose",
        "fit-on": "2026-11-25",
        "fit-is_hidden": "on",
        **changes,
    }


def test_one_action_fits_the_chosen_remedy(worksheet, browse):
    answer = browse.post(reverse("glow_fit", args=[worksheet.pk]), fitting(worksheet))
    load = ParallelLoad.objects.get(glow_worksheet=worksheet)
    assert answer.url == reverse("load", args=[load.pk])
    assert (load.in_brief(), load.place, load.is_hidden) == ("X2 0.1 µF", "Above the landing rose", True)
    assert reverse("glow", args=[worksheet.pk]) in browse.get(answer.url).text
    ended = browse.get(reverse("glow", args=[worksheet.pk])).text
    assert "Kept as it was then" in ended
    assert "<form" not in ended.split("<main")[1].split("</main>")[0]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"fit-place": ""}, "Say where it is"),
        ({"fit-on": "2027-01-01"}, "still to come"),
        ({"case-cause": ""}, "Say first which cause you found"),
        ({"chosen": ""}, "Choose the remedy again"),
        ({"case-cause": "leakage"}, "A fault, and no nuisance"),
        ({"reading0-volts": "-1"}, "-1 V is outside"),
    ],
)
def test_what_stands_against_fitting_is_told_and_what_was_typed_stays(worksheet, browse, changes, says):
    answer = browse.post(
        reverse("glow_fit", args=[worksheet.pk]),
        fitting(worksheet, **{"fit-access": "Two screws", **changes}),
    )
    assert answer.status_code == 200
    assert says in answer.text
    assert 'value="Two screws"' in answer.text
    assert ParallelLoad.objects.filter(glow_worksheet=worksheet).count() == 0


def test_a_case_ends_without_a_part(worksheet, browse):
    typed = {**TYPED, "case-cause": "afterglow", "close-outcome": "Nothing to cure", "close-on": "2026-11-25"}
    answer = browse.post(reverse("glow_close", args=[worksheet.pk]), typed)
    assert answer.url == reverse("glow", args=[worksheet.pk])
    worksheet.refresh_from_db()
    assert (worksheet.status, worksheet.outcome) == (GlowStatus.CLOSED, "Nothing to cure")


def test_an_ended_worksheet_takes_nothing_more(worksheet, browse):
    typed = {**TYPED, "case-cause": "afterglow", "close-outcome": "Nothing to cure", "close-on": "2026-11-25"}
    browse.post(reverse("glow_close", args=[worksheet.pk]), typed)
    later = {**typed, "case-conclusion": "later", "answer": "switch=dimmer"}
    for name in ("glow", "glow_close", "glow_fit"):
        answer = browse.post(addresses(worksheet)[name], later, follow=True)
        assert ENDED in answer.text
    # Whoever still has the page open in another window is shown how the case ended.
    assert browse.post(addresses(worksheet)["glow_part"], later)["HX-Refresh"] == "true"
    worksheet.refresh_from_db()
    assert (worksheet.conclusion, worksheet.answers) == ("", {})


def test_a_text_that_is_too_long_does_not_keep_the_rest_from_being_kept(worksheet, browse):
    answer = browse.post(reverse("glow", args=[worksheet.pk]), {**TYPED, "case-conclusion": "x" * 501})
    assert "at most 500 characters" in answer.text
    worksheet.refresh_from_db()
    assert len(worksheet.readings) == 2


def test_the_print_comes_as_a_pdf(worksheet, browse):
    answer = browse.get(reverse("glow_pdf", args=[worksheet.pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert "larkfield-hall-db13-glow.pdf" in answer["Content-Disposition"]


def test_a_member_of_the_firm_other_than_the_opener_may_go_on(worksheet, place):
    other = Browser()
    other.force_login(MemberFactory(firm=place.member.firm))
    assert other.post(reverse("glow", args=[worksheet.pk]), TYPED).status_code == 302
    assert worksheet.history.first().history_user != place.member
