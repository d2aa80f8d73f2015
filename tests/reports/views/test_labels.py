"""What is printed for a board, as files; the QR code of a real board's label read back by another library."""

from datetime import date
from io import BytesIO

import pdfplumber
import pytest
from django.test import Client as Browser
from django.urls import reverse

from fixtures.larkfield.load import load_scenario
from inspections.models import Board
from remedies.enums import LoadKind
from remedies.labels import label_words
from remedies.models import BoardLabel
from reports.labels import sheets
from tests.factories import PASSWORD, BoardFactory, CircuitFactory, MemberFactory, ParallelLoadFactory
from tests.reports.labels.test_draw import codes
from tests.reports.pdf.reading_back import all_text, squeezed

pytestmark = pytest.mark.django_db


@pytest.fixture
def board(time_machine):
    time_machine.move_to("2026-11-25 12:00:00+00:00", tick=False)
    board = BoardFactory(designation="DB1", installation__name="Larkfield Hall")
    circuit = CircuitFactory(board=board, way="3")
    ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON, resistance_ohm=220_000, place="Foyer switch")
    return board


@pytest.fixture
def browse(board):
    browser = Browser()
    browser.force_login(MemberFactory(firm=board.installation.client.firm))
    return browser


def label_address(board, stock="single-100x50"):
    return reverse("board_label_pdf", args=[board.pk, stock])


@pytest.fixture
def larkfield(time_machine):
    """A browser of the firm of the demonstration, its electrician signed in."""
    time_machine.move_to("2026-11-25 12:00:00+00:00", tick=False)
    firm = load_scenario(password=PASSWORD)
    browser = Browser()
    browser.force_login(firm.members.get(role="electrician"))
    return browser


def test_the_code_of_a_real_boards_label_holds_the_very_text_of_the_label(larkfield, tmp_path):
    board = Board.objects.get(installation__name="Larkfield Mill", designation="DB2")
    words = label_words(board, date(2026, 11, 25))
    assert "470 kΩ" in words.text  # signs beyond ASCII go through the code too

    for key, stock in sheets.STOCKS.items():
        folder = tmp_path / key
        folder.mkdir()
        read = codes(larkfield.get(label_address(board, key)).content, stock, folder)
        if len(read) == 1:
            assert read == [words.text], key
            continue
        # On several labels each says the title and which it is; together they say every line once.
        told = [code.split("\n") for code in read]
        assert all(lines[0] == words.title[0] for lines in told), key
        assert squeezed("".join("".join(lines[1:-1]) for lines in told)) == squeezed("".join(words.lines)), (
            key
        )
        assert [lines[-1] for lines in told] == [
            f"{words.date} · {number} of {len(told)}" for number in range(1, len(told) + 1)
        ]


def test_a_label_that_fits_holds_its_whole_text_in_one_code(board, browse, tmp_path):
    pdf = browse.get(label_address(board)).content

    assert codes(pdf, sheets.STOCKS["single-100x50"], tmp_path) == [
        label_words(board, date(2026, 11, 25)).text
    ]


def test_a_label_that_waits_to_be_stuck_is_drawn_as_it_was_recorded(board, browse, time_machine):
    browse.post(reverse("board_label_print", args=[board.pk]), {"stock": "single-100x50"})
    time_machine.move_to("2026-11-28 12:00:00+00:00", tick=False)

    text = all_text(browse.get(label_address(board)).content)

    assert squeezed(BoardLabel.objects.get().text) == text
    assert squeezed("25 Nov 2026") in text


def test_making_the_same_label_again_on_other_stock_records_it_once(board, browse):
    for stock in ("single-100x50", "a4-2x4"):
        answer = browse.post(reverse("board_label_print", args=[board.pk]), {"stock": stock, "skip": "0"})
        assert label_address(board, stock) in browse.get(answer.url).text

    assert BoardLabel.objects.count() == 1


def test_the_file_comes_by_itself_and_the_next_label_goes_on_the_next_place_of_the_sheet(board, browse):
    page = reverse("board_label", args=[board.pk])
    chosen = {"stock": "a4-2x4", "skip": "7"}
    made = browse.post(reverse("board_label_print", args=[board.pk]), chosen, follow=True)
    assert made["Refresh"] == f"0; url={label_address(board, 'a4-2x4')}?skip=7"
    file = browse.get(made["Refresh"].partition("url=")[2])
    assert file["Content-Disposition"].startswith("attachment")

    again = browse.get(page)
    assert "Refresh" not in again
    form = again.context["form"]
    assert (form["stock"].value(), form["skip"].value()) == ("a4-2x4", 0)  # the sheet of eight is full

    ParallelLoadFactory(circuit=board.circuits.get(), kind=LoadKind.NEON, place="Pantry")
    assert "Refresh" not in browse.get(page, chosen)  # it would say what the label on record does not


def test_places_already_used_are_left_free(board, browse):
    answer = browse.post(reverse("board_label_print", args=[board.pk]), {"stock": "a4-2x4", "skip": "5"})
    page = browse.get(answer.url).text
    assert f"{label_address(board, 'a4-2x4')}?skip=5" in page

    pdf = browse.get(label_address(board, "a4-2x4"), {"skip": "5"}).content

    with pdfplumber.open(BytesIO(pdf)) as book:
        first = book.pages[0].chars[0]
    stock = sheets.STOCKS["a4-2x4"]
    assert first["x0"] > (stock.left_mm + stock.pitch_x_mm) / 25.4 * 72  # the right column
    assert first["top"] > (stock.top_mm + 2 * stock.pitch_y_mm) / 25.4 * 72  # the third row


@pytest.mark.parametrize(
    ("chosen", "message"),
    [
        ({"stock": "a4-2x4", "skip": "8"}, "That sheet has 8 labels: type 0 to 7."),
        ({"stock": "roll-62x29", "skip": "1"}, "This stock has one label to a page: type 0."),
        ({"stock": "a4-2x4", "skip": "two"}, "This is not a whole number."),
    ],
)
def test_a_wrong_place_is_refused_and_no_label_recorded(board, browse, chosen, message):
    page = browse.post(reverse("board_label_print", args=[board.pk]), chosen, follow=True)

    assert message in page.text
    assert f'value="{chosen["skip"]}"' in page.text
    assert not BoardLabel.objects.exists()


def test_a_title_too_long_for_the_stock_is_said_on_the_page(board, browse):
    place = board.installation
    place.name = "W" * place._meta.get_field("name").max_length
    place.save()

    page = browse.get(label_address(board, "roll-62x29"), follow=True)

    assert "the title leaves no room for circuits on 62 × 29 mm" in page.text


def test_the_before_you_test_sheet_is_one_page_for_every_board_of_larkfield(larkfield):
    for board in Board.objects.all():
        answer = larkfield.get(reverse("before_you_test_pdf", args=[board.pk]))
        assert "before-you-test.pdf" in answer["content-disposition"]
        with pdfplumber.open(BytesIO(answer.content)) as book:
            assert len(book.pages) == 1, board


def test_a_stock_that_is_not_known_is_not_found(board, browse):
    assert browse.get(reverse("board_label_pdf", args=[board.pk, "a4-9x9"])).status_code == 404


@pytest.mark.parametrize("name", ["board_label_pdf", "before_you_test_pdf"])
def test_a_stranger_finds_no_file(board, name):
    stranger = Browser()
    stranger.force_login(MemberFactory())
    stock = ["single-100x50"] if name == "board_label_pdf" else []

    assert stranger.get(reverse(name, args=[board.pk, *stock])).status_code == 404
