"""What is drawn of an installation: the same from the record as it stands and from a report's content."""

from dataclasses import replace
from datetime import date

import pytest

from remedies.enums import LoadState
from remedies.labels import label_words
from reports.content import content_of
from reports.installation_drawn import InstallationDrawn, Mark, as_it_stands, from_content
from tests.factories import (
    BoardFactory,
    BoardLabelFactory,
    CircuitFactory,
    InspectionFactory,
    InstallationFactory,
    MemberFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def installation():
    """A main board that feeds another; five circuits, each with something else across it, or nothing."""
    place = InstallationFactory(earthing="TT")
    main = BoardFactory(installation=place, designation="MSB", location="Intake room")
    sub = BoardFactory(installation=place, designation="DB1", fed_from=main, fed_from_way="2")
    ways = [CircuitFactory(board=board, way=way) for board, way in ((main, "1"), (main, "2"), (sub, "1"))]
    ways.append(CircuitFactory(board=sub, way="2", phase="L3"))
    CircuitFactory(board=sub, way="3", is_spare=True)
    hidden = {"place": "Above the ceiling", "is_hidden": True}
    ParallelLoadFactory(circuit=ways[0], place="On the rail", is_hidden=False)
    ParallelLoadFactory(circuit=ways[2], state=LoadState.SUSPECTED, **hidden)
    ParallelLoadFactory(circuit=ways[3], state=LoadState.DISCONNECTED, **hidden)
    ParallelLoadFactory(circuit=ways[3], **hidden)
    ParallelLoadFactory(
        circuit=ways[1], state=LoadState.TAKEN_OUT, taken_out_on=date(2026, 11, 5), taken_out_by="R. Askew"
    )
    return place


def as_labelled(drawn: InstallationDrawn) -> InstallationDrawn:
    """Without what a record does not hold: whether labels name the parts."""
    boards = (
        replace(board, circuits=tuple(replace(circuit, on_label=True) for circuit in board.circuits))
        for board in drawn.boards
    )
    return replace(drawn, boards=tuple(boards))


def test_page_and_report_draw_the_same(installation):
    content = content_of(InspectionFactory(installation=installation))
    assert as_labelled(as_it_stands(installation)) == from_content(content)


def test_every_board_stands_below_the_one_that_feeds_it(installation):
    boards = as_it_stands(installation).boards
    assert [(board.designation, board.depth, board.fed_from) for board in boards] == [
        ("MSB", 0, "the supply"),
        ("DB1", 1, "MSB way 2"),
    ]


def test_circuit_is_marked_by_the_part_to_be_warned_of_first(installation):
    main, sub = as_it_stands(installation).boards
    assert [circuit.mark for circuit in main.circuits] == [Mark.SEEN, None]
    assert [circuit.mark for circuit in sub.circuits] == [Mark.SUSPECTED, Mark.HIDDEN, None]
    assert [circuit.is_spare for circuit in sub.circuits] == [False, False, True]


def test_words_say_what_the_drawing_shows(installation):
    drawn = as_it_stands(installation)
    assert drawn.in_words == (
        "TT, single-phase, 230 V to earth, 50 Hz, feeding 2 boards with 5 circuits; parts are left across "
        "3 circuits, hidden at 1 of them."
    )
    first, *_ = drawn.boards[1].entries()
    assert first.startswith("Circuit 1: ")
    assert first.endswith(" (Above the ceiling), suspected.")


def first_entry(installation) -> str:
    return next(as_it_stands(installation).boards[0].entries())


def test_part_that_no_label_names_is_told_until_one_does(installation):
    main = installation.boards.get(designation="MSB")
    assert first_entry(installation).endswith("(On the rail), to be seen, not on the board’s label.")
    BoardLabelFactory(
        board=main,
        text=label_words(main, date(2026, 11, 3)).text,
        stuck_on=date(2026, 11, 4),
        stuck_by=MemberFactory(firm=installation.client.firm),
    )
    assert first_entry(installation).endswith("(On the rail), to be seen.")


def test_queries_do_not_grow_with_boards(django_assert_num_queries):
    for boards in (1, 3):
        place = InstallationFactory()
        for _ in range(boards):
            circuit = CircuitFactory(board=BoardFactory(installation=place))
            ParallelLoadFactory(circuit=circuit)
        with django_assert_num_queries(5):
            assert len(as_it_stands(place).boards) == boards


def test_page_of_an_installation_shows_the_drawing_and_says_it(client, installation):
    member = InspectionFactory(installation=installation).inspector
    client.force_login(member)
    page = client.get(f"/installations/{installation.pk}/").content.decode()
    assert 'role="img" aria-label="TT, single-phase' in page
    assert "(Above the ceiling), hidden, not on the board’s label." in page


def test_installation_without_boards_has_no_drawing(client):
    place = InstallationFactory()
    client.force_login(InspectionFactory(installation=place).inspector)
    assert "Drawing of the installation" not in client.get(f"/installations/{place.pk}/").content.decode()
