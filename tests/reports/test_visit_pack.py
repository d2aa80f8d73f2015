"""The visit pack: what it gathers from the record, and what stands on its pages."""

from datetime import date
from itertools import pairwise

import pikepdf
import pytest

from fixtures.larkfield.load import load_scenario
from inspections.enums import InspectionKind, Role
from inspections.models import Installation
from inspections.services.visits import start_inspection
from reports.pdf.visit_pack import visit_pack_pdf
from reports.visit_pack import visit_pack
from tests.factories import PASSWORD
from tests.reports.pdf.reading_back import opened, page_texts, squeezed

pytestmark = pytest.mark.django_db

ON = date(2026, 11, 16)


@pytest.fixture
def pack():
    firm = load_scenario(password=PASSWORD)
    inspector = firm.members.get(role=Role.INSPECTOR)
    visit = start_inspection(
        installation=Installation.objects.get(name="Larkfield Mill"),
        kind=InspectionKind.PERIODIC,
        started_on=date(2026, 11, 17),
        inspector=inspector,
        member=inspector,
    )
    return visit_pack(visit, ON)


def test_last_readings_are_those_of_the_visit_before(pack):
    mill = Installation.objects.get(name="Larkfield Mill")
    before = mill.inspections.get(started_on=date(2024, 11, 12))
    rows = {(page.title, row.designation): row for page in pack.boards for row in page.circuits}
    assert pack.last_on == before.started_on
    for result in before.results.filter(circuit__retired_on=None).select_related("circuit__board"):
        row = rows[str(result.circuit.board), result.circuit.designation]
        assert row.last.get("zs", "") == str(result.zs)
        assert row.last.get("ir_live_live", "") == str(result.ir_live_live)


def test_every_circuit_of_every_board_has_its_row(pack):
    mill = Installation.objects.get(name="Larkfield Mill")
    for board in mill.boards.in_use():
        (page,) = [page for page in pack.boards if page.title == str(board)]
        assert [row.designation for row in page.circuits] == [
            circuit.designation for circuit in board.circuits.in_use().order_by("sort_key")
        ]


def test_standing_limitations_and_open_observations_of_earlier_visits_are_in_it(pack):
    mill = Installation.objects.get(name="Larkfield Mill")
    before = mill.inspections.get(started_on=date(2024, 11, 12))
    assert {one.reason for one in pack.to_agree} == set(
        before.limitations.filter(is_standing=True).values_list("reason", flat=True)
    )
    assert {one.stood for one in pack.to_agree} == {"Since 12 Nov 2024, 2 visits"}
    assert {one.text for one in pack.still_open} == set(
        before.observations.open().values_list("text", flat=True)
    )


def test_all_of_it_is_printed(pack):
    texts = page_texts(visit_pack_pdf(pack))
    first = squeezed(texts[0])
    for one in pack.to_agree:
        assert squeezed(one.reason) in first
    for one in pack.still_open:
        assert squeezed(one.text) in first
    assert squeezed("Agreed by (name)") in first
    for page in pack.boards:
        printed = squeezed("".join(text for text in texts if page.title in text))
        for row in page.circuits:
            assert row.designation.replace(" ", "") in printed
            for word in row.description.split():  # a long description goes over two lines of its cell
                assert word in printed
    for sheet in pack.sheets:
        assert any(text.startswith(f"Before you test {sheet.board}") for text in texts)


def test_last_readings_are_grey_and_leave_room_to_write(pack):
    with opened(visit_pack_pdf(pack)) as book:
        page = next(page for page in book.pages if page.extract_text().count(">200") > 5)
        grey = [c for c in page.chars if c["non_stroking_color"] == pytest.approx((0.42, 0.42, 0.45))]
        assert "".join(c["text"] for c in grey).count(">200") > 5
        rules = sorted({round(line["top"], 1) for line in page.lines if line["width"] > 700})
        rows = [below - above for above, below in pairwise(rules) if below - above > 20]
        assert rows
        assert min(rows) >= 22.6  # 8 mm, as feint-ruled paper, of which the last reading takes a third


def test_first_visit_says_that_nothing_is_known(pack):
    inspection = Installation.objects.get(name="Larkfield Mill").inspections.last()
    inspection.started_on = date(2000, 1, 1)
    texts = page_texts(visit_pack_pdf(visit_pack(inspection, ON)))
    assert "Nothing is known yet." in "".join(texts)
    assert "No observation is open." in texts[0]


def test_same_record_and_day_give_the_same_bytes_with_bookmarks_for_each_board(pack, tmp_path):
    pdf = visit_pack_pdf(pack)
    assert visit_pack_pdf(pack) == pdf
    path = tmp_path / "pack.pdf"
    path.write_bytes(pdf)
    with pikepdf.open(path) as book, book.open_outline() as outline:
        titles = [item.title for item in outline.root]
        assert book.check_pdf_syntax() == []
    for page in pack.boards:
        assert page.title in titles
    for sheet in pack.sheets:
        assert f"Before you test {sheet.board}" in titles
