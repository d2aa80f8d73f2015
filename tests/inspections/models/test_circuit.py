"""Ways and phases of circuits."""

import pytest
from django.core.exceptions import ValidationError

from inspections.models import Circuit
from tests.factories import VISIT, BoardFactory, CircuitFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("there", "new"), [("L123", "L1"), ("L1", "L123"), ("L123", "")])
def test_a_three_phase_circuit_has_its_way_to_itself(there, new):
    board = BoardFactory(phases="3")
    CircuitFactory(board=board, way="1", phase=there)
    with pytest.raises(ValidationError, match="cannot hold a three-phase circuit and another one at once"):
        Circuit(board=board, way="1", phase=new).full_clean()


def test_a_retired_circuit_does_not_hold_its_way():
    board = BoardFactory(phases="3")
    CircuitFactory(board=board, way="1", phase="L123", retired_on=VISIT)
    Circuit(board=board, way="1", phase="L1").full_clean()


def test_a_taken_way_is_said_in_plain_words():
    circuit = CircuitFactory()
    with pytest.raises(ValidationError, match="That way and phase of this board already has a circuit"):
        Circuit(board=circuit.board, way=circuit.way).full_clean()


@pytest.mark.parametrize("figure", ["live_csa_mm2", "device_rating_a", "max_zs_ohm", "rcd_residual_ma"])
def test_a_figure_is_above_zero(figure):
    circuit = CircuitFactory()
    setattr(circuit, figure, 0)
    with pytest.raises(ValidationError) as refusal:
        circuit.full_clean()
    assert figure in refusal.value.message_dict


@pytest.mark.parametrize(("way", "phase", "designation"), [("3", "", "DB1/3"), ("3", "L2", "DB1/3 L2")])
def test_a_circuit_is_called_by_board_way_and_phase(way, phase, designation):
    circuit = CircuitFactory(board__designation="DB1", way=way, phase=phase)
    assert str(circuit) == designation
