"""Boards as a tree, their circuits, and what was measured."""

from collections.abc import Iterable, Mapping
from typing import Any, Protocol, TypeVar

from inspections.columns import DETAILS, RESULTS
from inspections.models import Board, BoardResult, Circuit, CircuitResult, Instrument
from inspections.rules.figures import two_places, two_places_down
from inspections.rules.loop import CannotTell, MaxZs
from inspections.selectors import BoardRecord
from remedies import bridge
from remedies.enums import PRESENT
from remedies.explained import Explained
from remedies.models import ParallelLoad
from reports.content.values import Places, choice, day, source, text

VOLTS = (500, 250)
_MORE_DETAILS = ("length_m", "design_current_a", "nominal_voltage_v")


class HasBoard(Protocol):
    """Anything about one board."""

    @property
    def board(self) -> Board: ...


OfBoard = TypeVar("OfBoard", bound=HasBoard)


def in_tree_order(records: Iterable[OfBoard]) -> list[tuple[OfBoard, int]]:
    """Every board after the one that feeds it, with how deep it lies: 0 where the supply feeds it, or a board
    that is not in the record."""
    records = list(records)
    there = {record.board.pk for record in records}
    fed: dict[int | None, list[OfBoard]] = {}
    for record in records:
        feeder = record.board.fed_from_id
        fed.setdefault(feeder if feeder in there else None, []).append(record)

    def below(feeder: int | None, depth: int) -> list[tuple[OfBoard, int]]:
        found = []
        for record in fed.get(feeder, []):
            found += [(record, depth), *below(record.board.pk, depth + 1)]
        return found

    return below(None, 0)


def places_of(records: Iterable[BoardRecord]) -> Places:
    """Numbers from 1, in the order of the record."""
    records = list(records)
    circuits = (circuit.pk for record in records for circuit in record.circuits)
    return Places(
        {record.board.pk: number for number, record in enumerate(records, start=1)},
        {pk: number for number, pk in enumerate(circuits, start=1)},
    )


class BoardsContent:
    """The boards of one record. designations: of every board of the installation by its id. loads: of each
    circuit by its id. explained: readings by circuit id."""

    def __init__(
        self,
        places: Places,
        designations: Mapping[int, str],
        loads: Mapping[int, list[ParallelLoad]],
        explained: Mapping[int, Explained],
        instrument: Instrument | None,
    ):
        self.places, self.designations = places, designations
        self.loads, self.explained, self.instrument = loads, explained, instrument

    def board(self, record: BoardRecord, depth: int) -> dict[str, Any]:
        board = record.board
        return {
            "number": self.places.board[board.pk],
            "designation": board.designation,
            "location": board.location,
            "depth": depth,
            "fed_from": self.places.board.get(board.fed_from_id),
            "fed_from_words": self.fed_from(board),
            "phases": choice(board, "phases"),
            "ways": text(board.ways),
            "main_switch": board.main_switch,
            "surge_protection": board.surge_protection,
            "retired_on": day(board.retired_on),
            "measured": _measured(record.result),
            "circuits": [self.circuit(record, circuit) for circuit in record.circuits],
        }

    def fed_from(self, board: Board) -> str:
        """What feeds it, in words; also where that board is out of use and so not in the record."""
        return fed_from_words(self.designations.get(board.fed_from_id, ""), board.fed_from_way)

    def circuit(self, record: BoardRecord, circuit: Circuit) -> dict[str, Any]:
        details = {column.name: text(getattr(circuit, column.name)) for column in DETAILS}
        return {
            "number": self.places.circuit[circuit.pk],
            "way": circuit.way,
            "phase": circuit.phase,
            "is_spare": circuit.is_spare,
            "retired_on": day(circuit.retired_on),
            "details": details | {name: text(getattr(circuit, name)) for name in _MORE_DETAILS},
            "arrangement": choice(circuit, "arrangement"),
            "serves": choice(circuit, "serves"),
            "voltage_band": choice(circuit, "voltage_band"),
            "equipment_stays_connected": circuit.equipment_stays_connected,
            "max_zs": _max_zs(circuit, record.max_zs(circuit)),
            "result": _result(record.results.get(circuit.pk)),
            "expected": self.expected(circuit),
            "explained": _explained(self.explained.get(circuit.pk)),
        }

    def expected(self, circuit: Circuit) -> list[dict[str, Any]]:
        """The live-live reading with the registered loads left in, at each test voltage; none without."""
        present = [load for load in self.loads.get(circuit.pk, []) if load.state in PRESENT]
        if not present:
            return []
        return [
            {
                "test_v": volts,
                "mohm": (expected := bridge.expected_reading_for(present, volts, self.instrument)).text,
                "low_mohm": text(expected.low_mohm),
                "high_mohm": text(expected.high_mohm),
                "voltage": expected.voltage_text,
                "settles": expected.settle_text,
                "discharges": expected.discharge_text,
                "stays_charged": expected.charges,
                "reasons": list(expected.reasons),
                "assumptions": list(expected.assumptions),
                "working": list(expected.working),
            }
            for volts in VOLTS
        ]


def fed_from_words(feeder: str, way: str) -> str:
    """What feeds a board: ``the supply``, ``DB1``, ``DB1 way 3``."""
    if not feeder:
        return "the supply"
    return f"{feeder} way {way}" if way else feeder


def _measured(result: BoardResult | None) -> dict[str, str] | None:
    if result is None:
        return None
    return {
        "zdb_ohm": text(result.zdb),
        "ipf_ka": text(result.ipf_ka),
        "polarity": text(result.polarity),
        "phase_sequence": text(result.phase_sequence),
        "surge_indicator": text(result.surge_indicator),
    }


def _max_zs(circuit: Circuit, permitted: MaxZs | CannotTell) -> dict[str, Any]:
    """``ohm`` is what the schedule holds the circuit to: set by hand, or worked out."""
    by_hand = text(circuit.max_zs_ohm)
    if isinstance(permitted, CannotTell):
        worked_out = {"worked_out_ohm": "", "cold_ohm": "", "working": "", "source": None}
        return worked_out | {"ohm": by_hand, "by_hand": bool(by_hand), "cannot_tell": permitted.reason}
    return {
        "ohm": by_hand or two_places(permitted.ohm),
        "by_hand": bool(by_hand),
        "worked_out_ohm": two_places(permitted.ohm),
        "cold_ohm": "" if permitted.cold_ohm is None else two_places_down(permitted.cold_ohm),
        "working": permitted.working,
        "source": source(permitted.source),
        "cannot_tell": "",
    }


def _result(result: CircuitResult | None) -> dict[str, str] | None:
    return result and {column.name: text(getattr(result, column.name)) for column in RESULTS}


def _explained(explained: Explained | None) -> dict[str, Any] | None:
    return explained and {
        "verdict": explained.explanation.verdict.value,
        "summary": explained.summary,
        "lines": list(explained.explanation.lines),
        "next_step": explained.explanation.next_step,
    }
