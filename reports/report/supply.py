"""The supply as found, its earthing, and the boards it feeds."""

from collections.abc import Iterator

from inspections.columns import Column, Kind
from reports import words
from reports.pdf.blocks import facts_block
from reports.pdf.page import Frame, Section
from reports.pdf.table import table
from reports.report.blocks import across, part, text_width_beside
from reports.sheets.sheet import Cell, Fact, Sheet
from reports.words import Content


def _column(name: str, heading: str, width_mm: float, kind: Kind = Kind.TEXT, unit: str = "") -> Column:
    return Column(name, heading, kind, "", heading, unit, width_mm)


_BOARDS = (
    _column("designation", "Board", 16),
    _column("location", "Where", 34),
    _column("fed_from", "Fed from", 24),
    _column("main_switch", "Main switch", 38),
    _column("surge_protection", "Surge protection", 24),
    _column("zdb_ohm", "Zs", 13, Kind.READING, "Ω"),
    _column("ipf_ka", "Ipf", 13, Kind.READING, "kA"),
    _column("polarity", "Polarity", 14, Kind.TICK),
    _column("phase_sequence", "Phase seq.", 14, Kind.TICK),
    _column("surge_indicator", "Surge ind.", 14, Kind.TICK),
)
_MEASURED = ("zdb_ohm", "ipf_ka", "polarity", "phase_sequence", "surge_indicator")


def supply(content: Content, frame: Frame) -> Section:
    """The supply as found, with its earthing."""
    place, inspection = content["installation"], content["inspection"]
    facts = (
        Fact("Earthing arrangement", place["earthing"]["words"]),
        Fact("Phases", place["phases"]["words"]),
        Fact("Nominal voltage to earth", f"{place['nominal_voltage_v']} V"),
        Fact("Frequency", f"{place['frequency_hz']} Hz"),
        Fact("Ze, earth fault loop outside", words.with_unit(inspection["ze_ohm"], "Ω")),
        Fact("Ipf, fault current at the origin", words.with_unit(inspection["ipf_ka"], "kA")),
        Fact("Supply polarity confirmed", inspection["supply_polarity"]),
        Fact("Estimated age", place["built"]),
        Fact("Signs of additions or alterations", place["alterations"]),
    )
    return part("Supply and earthing", facts_block(facts, text_width_beside(frame)), frame)


def boards(content: Content, frame: Frame) -> Section:
    """The boards, each below the one that feeds it."""
    rows = tuple(tuple(_cells(board)) for board in content["boards"])
    return across("Boards", table(Sheet("Boards", _BOARDS, rows), frame.width), frame)


def _cells(board: Content) -> Iterator[Cell]:
    indent = "– " * board["depth"]
    yield f"{indent}{board['designation']}"
    yield board["location"]
    yield board["fed_from_words"]
    yield board["main_switch"] or None
    yield board["surge_protection"] or None
    measured = board["measured"] or {}
    for name in _MEASURED:
        yield measured.get(name, "")
