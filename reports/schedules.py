"""The schedules of a record as documents: its values set out, nothing drawn.

One document feeds both the PDF and the workbook, so that they cannot disagree.
"""

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal

from inspections.columns import BY_NAME, DETAILS, RCD, RESULTS, Column, Kind
from inspections.rules.finding import Code
from inspections.rules.readings import Reading
from remedies.cautions import GENERAL
from remedies.physics.explanation import Verdict
from reports import words
from reports.limitations import limitations_sheet
from reports.register import load_register_sheet
from reports.sheets.sheet import Cell, Document, Fact, Sheet
from reports.words import Content

_RCD_DETAILS = frozenset(column.name for column in DETAILS if column.group == RCD)
_RESULT_COLUMNS = (BY_NAME["designation"], BY_NAME["description"], *RESULTS)
_MISSING = (Code.MISSING_READING, Code.MISSING_DETAIL)


def circuit_details(content: Content) -> Document:
    """Schedule of circuit details, a sheet a board."""
    return _document("Schedule of circuit details", content, details_sheets(content))


def test_results(content: Content) -> Document:
    """Schedule of test results, a sheet a board."""
    return _document("Schedule of test results", content, results_sheets(content), cautions=GENERAL)


def load_register(content: Content) -> Document:
    """Load register of the installation as it stood."""
    return _document("Load register", content, (load_register_sheet(content),), cautions=GENERAL)


def schedules(content: Content) -> Document:
    """Details, results, limitations and load register in one document."""
    sheets = (
        *details_sheets(content),
        *results_sheets(content),
        limitations_sheet(content),
        load_register_sheet(content),
    )
    return _document("Schedules", content, sheets, cautions=GENERAL)


DOCUMENTS: dict[str, Callable[[Content], Document]] = {
    "circuit-details": circuit_details,
    "test-results": test_results,
    "load-register": load_register,
    "schedules": schedules,
}


def _document(
    title: str, content: Content, sheets: Sequence[Sheet], cautions: Sequence[str] = ()
) -> Document:
    inspection = content["inspection"]
    instruments = content["instruments"]
    return Document(
        title=title,
        identity=words.identity(content),
        facts=(
            Fact("Installation", content["installation"]["name"]),
            Fact("Address", words.address(content)),
            Fact("Client", content["client"]["name"]),
            Fact("Visit", words.visit(content)),
            Fact("Inspector", inspection["inspector"]["name"]),
            Fact("Supply", words.supply(content)),
            Fact("Ze", words.with_unit(inspection["ze_ohm"], "Ω")),
            Fact("Ipf at the origin", words.with_unit(inspection["ipf_ka"], "kA")),
            Fact("Held to", inspection["edition"]["title"]),
            Fact("Instruments", "; ".join(map(_instrument, instruments))),
        ),
        sheets=tuple(sheets),
        cautions=(" ".join(cautions),) if cautions else (),
        author=content["firm"]["name"],
        notice=words.notice(content),
        made_by=words.made_by(content),
    )


def _instrument(instrument: Content) -> str:
    return f"{instrument['group']} {instrument['measures']['words']}, {instrument['serial']}".strip()


def board_name(board: Content) -> str:
    """Designation and location."""
    return f"{board['designation']} {board['location']}".strip()


def board_facts(board: Content) -> tuple[Fact, ...]:
    """What stands above the schedules of a board."""
    measured = board["measured"] or dict.fromkeys(
        ("zdb_ohm", "ipf_ka", "polarity", "phase_sequence", "surge_indicator"), ""
    )
    return (
        Fact("Board", board["designation"]),
        Fact("Location", board["location"]),
        Fact("Fed from", board["fed_from_words"]),
        Fact("Main switch", board["main_switch"]),
        Fact("Surge protection", board["surge_protection"]),
        Fact("Zs at board", words.with_unit(measured["zdb_ohm"], "Ω")),
        Fact("Ipf at board", words.with_unit(measured["ipf_ka"], "kA")),
        Fact("Polarity", measured["polarity"]),
        Fact("Phase sequence", measured["phase_sequence"]),
        Fact("Surge indicator", measured["surge_indicator"]),
    )


def details_sheets(content: Content) -> tuple[Sheet, ...]:
    """The schedule of circuit details, board by board."""
    missing = _missing(content)
    return tuple(
        Sheet(
            title=f"{board_name(board)} – circuit details",
            tab=f"{board['designation']} details",
            columns=DETAILS,
            rows=tuple(
                tuple(_detail_cell(circuit, column, missing) for column in DETAILS)
                for circuit in board["circuits"]
            ),
            facts=board_facts(board),
            notes=tuple(filter(None, map(_override_note, board["circuits"]))),
        )
        for board in content["boards"]
    )


def results_sheets(content: Content) -> tuple[Sheet, ...]:
    """The schedule of test results, board by board, with what explains a low reading below it."""
    missing = _missing(content)
    return tuple(
        Sheet(
            title=f"{board_name(board)} – test results",
            tab=f"{board['designation']} results",
            columns=_RESULT_COLUMNS,
            rows=tuple(
                (
                    _details(circuit)["designation"],
                    _details(circuit)["description"] or None,
                    *_result_cells(circuit, missing),
                )
                for circuit in board["circuits"]
            ),
            facts=board_facts(board),
            notes=tuple(filter(None, map(_explanation, board["circuits"]))),
        )
        for board in content["boards"]
    )


def _explanation(circuit: Content) -> str:
    """What the register says to the live-live reading, where it has something to say."""
    explained = circuit["explained"]
    if not explained or (explained["verdict"] == Verdict.EXPLAINED and not circuit["expected"]):
        return ""
    return f"Circuit {_details(circuit)['designation']}, live-live: {explained['summary']}"


def _details(circuit: Content) -> dict[str, str]:
    return circuit["details"]


def _missing(content: Content) -> frozenset[tuple[int, str]]:
    """(circuit, column) of each cell that the checks found missing."""
    return frozenset(
        (finding["place"]["circuit"], finding["column"])
        for finding in content["findings"]
        if finding["code"] in _MISSING
    )


def _detail_cell(circuit: Content, column: Column, missing: frozenset[tuple[int, str]]) -> Cell:
    name, details = column.name, _details(circuit)
    text = circuit["max_zs"]["ohm"] if name == "max_zs_ohm" else details[name]
    if text:
        return _cell(column, text)
    if (circuit["number"], name) in missing:
        return None
    names_rcd = any(details[rcd] for rcd in _RCD_DETAILS)
    return "" if circuit["is_spare"] or (name in _RCD_DETAILS and not names_rcd) else None


def _result_cells(circuit: Content, missing: frozenset[tuple[int, str]]) -> Iterator[Cell]:
    result = circuit["result"] or {}
    for column in RESULTS:
        text = result.get(column.name, "")
        # Only what the circuit asks for can be missing; the rest has nothing to say.
        nothing = None if (circuit["number"], column.name) in missing else ""
        yield _cell(column, text) if text else nothing


def _cell(column: Column, text: str) -> Cell:
    if column.kind in (Kind.READING, Kind.TICK):
        return Reading.parse(text)
    if column.kind is Kind.DECIMAL:
        return Decimal(text)
    return int(text) if column.kind is Kind.WHOLE else text


def _override_note(circuit: Content) -> str:
    limit = circuit["max_zs"]
    if not limit["by_hand"] or limit["ohm"] == limit["worked_out_ohm"] or not limit["working"]:
        return ""
    return (
        f"Circuit {_details(circuit)['designation']}: Max Zs set by hand to {limit['ohm']} Ω; "
        f"worked out, {limit['working']}."
    )
