# ruff: noqa: E501  the rows read best as the lines they are
"""An invented document of schedules for the tests of both writers: Tidewell Electrical at Larkfield."""

from decimal import Decimal

from inspections.columns import BY_NAME, DETAILS, RESULTS, Kind
from inspections.rules.readings import Reading
from reports.sheets.sheet import Cell, Document, Fact, Sheet

RESULT_COLUMNS = (BY_NAME["designation"], BY_NAME["description"], *RESULTS)

CAUTIONS = (
    "For competent persons only. Isolate, lock off and prove dead with a proved two-pole detector before work.",
    "Disconnect or bridge out electronics and surge protection before a 500 V test, and put back what was "
    "disconnected. Local codes and licensed practice come first.",
)

_DETAILS = """
1|Ring final circuit, ground floor sockets, kitchen excepted|A|C|14|2.5|1.5|0.4|BS EN 61009|B|32|6|1.37|BS EN 61009|A|30|32
2|Lights, hall, stairs and landing|A|C|9|1.5|1.0|0.4|BS EN 61009|B|6|6|7.28|BS EN 61009|A|30|6
3|Cooker|A|C|1|6.0|2.5|0.4|BS EN 60898|B|32|6|1.37|N/A|N/A||
4|Immersion heater|A|100|1|2.5|1.5|0.4|BS EN 60898|B|16|6|2.73|N/A|N/A||
5|Smoke alarms, interlinked, all floors|A|C|5|1.5|1.0|0.4|BS EN 61009|B|6|6|7.28|BS EN 61009|A|30|6
6|Spare|||||||||||||||
"""
_RESULTS = """
1|Ring final circuit, ground floor sockets, kitchen excepted|0.48|0.49|0.80|0.32|N/A|500|0.19|>200|✓|0.55|28|✓|N/A|1|Reads low line to neutral with the suppression capacitor at the hall light left in: see the load register
2|Lights, hall, stairs and landing|N/A|N/A|N/A|1.12|N/A|250|LIM|185|✓|1.31|24|✓|N/A|1|Luminaires in the stairwell not taken down, agreed with the manager
3|Cooker|N/A|N/A|N/A|0.31|N/A|500|>200|>200|✓|0.52|N/A|N/A|N/A|1|
4|Immersion heater|N/A|N/A|N/A|0.55|N/A|500|>200|98.5|✓|0.76|N/A|N/A|N/A|1|
5|Smoke alarms, interlinked, all floors|N/A|N/A|N/A|0.98|N/A|500|0.22|150|✗|1.19|>300|✓|N/A|1|RCD did not trip within 300 ms
6|Spare|||||||||||||||
"""
_PLACES = ("Workshop", "Annexe", "Sluice house", "Weir room", "Boat shed", "Ferryman’s flat")


def cell(column_kind: Kind, text: str) -> Cell:
    """The cell a column of this kind holds, from the text of the lists above."""
    if column_kind is Kind.TEXT:
        return text
    if column_kind in (Kind.READING, Kind.TICK):
        return Reading.parse(text)
    if not text:
        return None
    return int(text) if column_kind is Kind.WHOLE else Decimal(text)


def _rows(columns, lines: str, repeat: int):
    rows = [
        tuple(cell(column.kind, text) for column, text in zip(columns, line.split("|"), strict=True))
        for line in lines.strip().splitlines()
    ]
    numbered = ((str(n + 1), *rows[n % len(rows)][1:]) for n in range(repeat))
    return tuple(numbered)


def board_facts(board: str) -> tuple[Fact, ...]:
    return (
        Fact("Board", board),
        Fact("Location", "Meter cupboard, north wall"),
        Fact("Fed from", "Main intake switch-fuse"),
        Fact("Main switch", "100 A, two-pole"),
        Fact("Zs at board (Ω)", "0.21"),
        Fact("Ipf at board (kA)", "1.15"),
        Fact("Surge protection", "Type 2, indicator in order"),
        Fact("Supply polarity confirmed", "✓"),
    )


def board_sheets(board: str, ways: int) -> tuple[Sheet, Sheet]:
    """The two schedules of one board."""
    notes = ("RCD tests made at the rated residual current.",)
    return (
        Sheet(
            f"{board}: circuit details",
            DETAILS,
            _rows(DETAILS, _DETAILS, ways),
            board_facts(board),
            tab=f"{board} details",
        ),
        Sheet(
            f"{board}: test results",
            RESULT_COLUMNS,
            _rows(RESULT_COLUMNS, _RESULTS, ways),
            board_facts(board),
            notes,
            tab=f"{board} results",
        ),
    )


def larkfield(ways: int = 18, boards: int = 2) -> Document:
    """Schedules of the mill house at Larkfield."""
    return Document(
        title="Schedules of circuits and test results",
        subtitle="Attached to the condition report of the fixed installation",
        identity="TE-2026-0041 revision 1 · Larkfield Mill House · 3 Nov 2026",
        facts=(
            Fact("Client", "Larkfield Estates Trust"),
            Fact("Installation", "Larkfield Mill House"),
            Fact("Address", "Mill Lane, Larkfield, Wealdshire WE1 4QZ"),
            Fact("Inspected on", "2026-11-03"),
            Fact("Number", "TE-2026-0041 revision 1"),
            Fact("Earthing", "TN-C-S"),
            Fact("U₀ (V)", "230"),
            Fact("Ze (Ω)", "0.19"),
            Fact("Held to", "BS 7671:2018+A2:2022"),
            Fact("Inspector", "R. Askew"),
            Fact("Supervisor", ""),
        ),
        sheets=tuple(
            sheet
            for n in range(boards)
            for sheet in board_sheets(f"DB{n + 1} {('Main intake', *_PLACES)[n % 7]}", ways)
        ),
        cautions=CAUTIONS,
        made_by="Stillacross, for Tidewell Electrical, office@tidewell.example.com, 01632 960 114",
        author="Tidewell Electrical",
    )
