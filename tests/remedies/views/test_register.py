"""The register, one entry, the sheet and the label, as pages; and the tags other pages use."""

from datetime import date

import pytest
from django.template import Context, Template
from django.urls import reverse

from config.guard import May
from inspections.services.record import save_record
from remedies.enums import LoadKind, LoadState
from remedies.models import BoardLabel
from tests.factories import CircuitFactory, CircuitResultFactory, LimitationFactory, ParallelLoadFactory


def render(source, **context):
    return Template("{% load loads %}" + source).render(Context(context))


def disconnect(place):
    place.load.state = LoadState.DISCONNECTED
    save_record(place.load, member=place.member)


# --- register -----------------------------------------------------------------------------------------------


def test_the_register_shows_the_loads_and_how_the_label_stands(place, browse):
    page = browse.get(reverse("loads", args=[place.installation.pk])).text

    assert "neon 220 kΩ" in page
    assert "Foyer switch" in page
    assert "There is no label at this board yet: print one." in page


def test_the_firm_register_names_the_installation(place, browse):
    page = browse.get(reverse("firm_loads")).text

    assert "Larkfield Hall" in page
    assert "1 entry across circuits" in page


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ({"kind": "neon"}, True),
        ({"kind": "timer"}, False),
        ({"hidden": "yes"}, True),
        ({"hidden": "no"}, False),
        ({"seen_at_v": "500"}, True),
        ({"state": "taken_out"}, False),
        ({"state": "all"}, True),
        ({"unlabelled": "on"}, True),
        ({"kind": "nonsense", "seen_at_v": "9e9"}, True),
    ],
)
def test_the_register_is_filtered(place, browse, asked, shown):
    page = browse.get(reverse("loads", args=[place.installation.pk]), asked)

    assert (place.load in page.context["page"].object_list) == shown


@pytest.mark.parametrize("name", ["loads", "firm_loads"])
def test_an_empty_register_says_what_to_do_and_leads_to_what_was_taken_out(place, browse, name):
    where = reverse(name, args=[place.installation.pk] if name == "loads" else [])
    place.load.state, place.load.taken_out_by = LoadState.TAKEN_OUT, place.member.name
    place.load.taken_out_on = place.load.since
    save_record(place.load, member=place.member)

    page = browse.get(where)
    assert "what was is taken out" in page.text
    assert place.load in browse.get(where, {"state": "all"}).context["page"].object_list

    place.load.delete()
    page = browse.get(where)
    assert "Open" in page.text
    assert "record what is left across it" in page.text
    assert 'name="kind"' not in page.text


@pytest.mark.parametrize("number", [1, 3])
def test_the_firm_register_takes_the_same_queries_however_many_loads(
    place, browse, number, django_assert_num_queries
):
    for _ in range(number - 1):
        ParallelLoadFactory(circuit=place.circuit)

    with django_assert_num_queries(7):  # session, member, firm, count, rows, loads of boards, labels
        browse.get(reverse("firm_loads"))


def test_an_entry_shows_what_it_does_to_a_reading_with_the_working(place, browse):
    page = browse.get(reverse("load", args=[place.load.pk])).text

    assert "with only this left in and the cable sound" in page
    assert "÷ 220 kΩ" in page
    assert "Disconnect first" in page


# --- sheet --------------------------------------------------------------------------------------------------


def test_the_sheet_names_each_load_with_boxes_and_cautions(place, browse):
    page = browse.get(reverse("before_you_test", args=[place.board.pk])).text

    assert "neon 220 kΩ</a>, Foyer switch" in page
    assert page.count('class="box"') == 2
    assert "prove dead with a proved two-pole" in page


def test_a_load_is_ticked_as_disconnected_and_put_back_on_the_sheet(place, browse):
    sheet = reverse("before_you_test", args=[place.board.pk])
    for name, state, offered in (
        ("load_disconnect", LoadState.DISCONNECTED, "It is put back"),
        ("load_put_back", LoadState.IN_PLACE, "It is disconnected"),
    ):
        answer = browse.post(reverse(name, args=[place.load.pk]) + "?from=sheet", {"on": "2026-11-25"})

        place.load.refresh_from_db()
        assert answer.url == f"{sheet}#load-{place.load.pk}"
        assert place.load.state == state
        assert offered in browse.get(sheet).text


def test_the_sheet_of_a_board_without_loads_promises_nothing(place, browse):
    place.load.delete()

    page = browse.get(reverse("before_you_test", args=[place.board.pk])).text

    assert "That does not prove there is nothing" in page


# --- label --------------------------------------------------------------------------------------------------


def test_a_label_is_printed_and_stuck(place, browse):
    address = reverse("board_label", args=[place.board.pk])
    assert "3: neon 220 kΩ, Foyer switch" in browse.get(address).text

    browse.post(reverse("board_label_print", args=[place.board.pk]), {"stock": "single-100x50"})
    assert "waits to be stuck" in browse.get(address).text
    browse.post(reverse("board_label_stuck", args=[place.board.pk]))

    label = BoardLabel.objects.get()
    assert (label.printed_by, label.stuck_by, label.stuck_on) == (
        place.member,
        place.member,
        date(2026, 11, 25),
    )
    assert "is up to date" in browse.get(address).text


def test_a_label_that_was_never_printed_is_not_stuck(place, browse):
    page = browse.post(reverse("board_label_stuck", args=[place.board.pk]), follow=True)

    assert "No printed label waits to be stuck. Print one first." in page.text


def test_a_label_is_not_stuck_once_the_loads_changed(place, browse):
    browse.post(reverse("board_label_print", args=[place.board.pk]), {"stock": "single-100x50"})
    ParallelLoadFactory(circuit=place.circuit, kind=LoadKind.TIMER)

    page = browse.post(reverse("board_label_stuck", args=[place.board.pk]), follow=True)

    assert "The loads of this board have changed since the label was printed." in page.text
    assert BoardLabel.objects.get().stuck_on is None


# --- tags ---------------------------------------------------------------------------------------------------


OF_CIRCUIT = (
    "{% loads_by_circuit board as loads %}{% include partial with loads=loads|for_circuit:circuit.pk %}"
)


def test_a_cell_counts_what_is_across_and_the_row_names_it(place):
    ParallelLoadFactory(
        circuit=place.circuit, capacitor_class="X2", capacitance_uf="0.1", place="pantry ceiling", count=2
    )
    here = {"board": place.board, "circuit": place.circuit}

    assert "2 loads across" in render(OF_CIRCUIT, partial="remedies/_loads_in_cell.html", **here)
    assert "Across: neon 220 kΩ, Foyer switch; 2 × X2 0.1 µF, pantry ceiling." in render(
        OF_CIRCUIT, partial="remedies/_loads_in_brief.html", **here
    )


def test_suspected_and_disconnected_are_said_in_words(place):
    disconnect(place)
    ParallelLoadFactory(circuit=place.circuit, kind=LoadKind.TIMER, state=LoadState.SUSPECTED, place="Loft")

    told = render(
        OF_CIRCUIT, partial="remedies/_loads_in_brief.html", board=place.board, circuit=place.circuit
    )

    assert "(disconnected)" in told
    assert "suspected timer, Loft" in told


def test_a_cell_of_a_circuit_without_loads_stays_empty(place):
    other = CircuitFactory(board=place.board)

    cell = render(OF_CIRCUIT, partial="remedies/_loads_in_cell.html", board=place.board, circuit=other)

    assert cell.strip() == ""


def test_the_loads_of_a_circuit_are_listed_with_a_way_to_add(place):
    page = render("{% loads_of circuit %}", circuit=place.circuit, may=May(place.member))

    assert reverse("load", args=[place.load.pk]) in page
    assert reverse("load_add", args=[place.circuit.pk]) in page


def test_what_was_not_put_back_is_shouted_about_until_it_is(place):
    shown = {"installation": place.installation, "may": May(place.member)}
    assert render("{% not_put_back installation %}", **shown).strip() == ""

    disconnect(place)

    shouted = render("{% not_put_back installation %}", **shown)
    assert "Not put back: 1 load disconnected for a test" in shouted
    assert reverse("load_put_back", args=[place.load.pk]) in shouted


# --- what pages of the record show --------------------------------------------------------------------------


def test_the_board_shouts_about_what_was_not_put_back(place, browse):
    disconnect(place)

    assert "Not put back: 1 load" in browse.get(reverse("board", args=[place.board.pk])).text


@pytest.mark.parametrize(
    ("stuck", "words"), [(False, "There is no label at this board yet"), (True, "is up to date")]
)
def test_the_board_says_how_its_label_stands(place, browse, stuck, words):
    if stuck:
        browse.post(reverse("board_label_print", args=[place.board.pk]), {"stock": "single-100x50"})
        browse.post(reverse("board_label_stuck", args=[place.board.pk]))

    page = browse.get(reverse("board", args=[place.board.pk])).text

    assert words in page
    assert reverse("board_label", args=[place.board.pk]) in page


def test_the_firm_register_says_how_the_label_of_each_board_stands(place, browse):
    browse.post(reverse("board_label_print", args=[place.board.pk]), {"stock": "single-100x50"})
    browse.post(reverse("board_label_stuck", args=[place.board.pk]))
    assert "up to date" in browse.get(reverse("firm_loads")).text

    ParallelLoadFactory(circuit=place.circuit, kind=LoadKind.TIMER)

    assert '<strong class="attention">out of date</strong>' in browse.get(reverse("firm_loads")).text


def test_a_standing_limitation_names_what_would_lift_it_on_the_visit(place, browse):
    place.load.access_minutes = 5
    save_record(place.load, member=place.member)
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, ir_live_live="LIM")
    LimitationFactory(inspection=place.inspection, circuits=[place.circuit], is_standing=True)

    page = browse.get(reverse("inspection", args=[place.inspection.pk])).text

    assert "DB1/3: 1 inspection on record, none with a full line-neutral test." in page
    assert "Lifting it would take neon 220 kΩ, Foyer switch: 5 minutes to disconnect." in page


def test_the_circuit_says_how_long_it_went_without_a_full_test(place, browse):
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, ir_live_live="LIM")

    page = browse.get(reverse("circuit", args=[place.circuit.pk])).text

    assert "1 inspection on record, none with a full line-neutral test." in page
    assert reverse("reading_explained", args=[place.circuit.pk]) in page
    assert reverse("where_to_look", args=[place.circuit.pk]) in page
