"""Boards form a tree within one installation."""

import pytest
from django.core.exceptions import ValidationError

from inspections.models import Board
from tests.factories import BoardFactory, InstallationFactory

pytestmark = pytest.mark.django_db


def chain(*designations):
    """Boards of one installation, each fed from the one before."""
    place, boards = InstallationFactory(), []
    for designation in designations:
        feeder = boards[-1] if boards else None
        boards.append(BoardFactory(installation=place, designation=designation, fed_from=feeder))
    return boards


def test_a_board_may_be_fed_from_another():
    *_, last = chain("MSB", "DB1", "DB2")
    last.full_clean()


def test_a_loop_is_refused_and_named():
    first, _, last = chain("MSB", "DB1", "DB2")
    first.fed_from = last
    with pytest.raises(ValidationError, match="MSB would feed itself by way of"):
        first.full_clean()


def test_a_board_does_not_feed_itself():
    board = BoardFactory()
    board.fed_from = board
    with pytest.raises(ValidationError) as refusal:
        board.full_clean()
    assert "fed_from" in refusal.value.message_dict


def test_a_feeder_in_another_installation_is_refused():
    board = Board(installation=InstallationFactory(), designation="DB1", fed_from=BoardFactory())
    with pytest.raises(ValidationError, match="is in another installation"):
        board.full_clean()


def test_retired_boards_are_out_of_use():
    board = BoardFactory()
    retired = BoardFactory(installation=board.installation, retired_on="2026-01-01")
    assert retired not in Board.objects.in_use()
    assert board in Board.objects.in_use()
