"""The schedules of an inspection as documents: rows of the record set out, nothing drawn.

One document feeds both the PDF and the workbook, so that they cannot disagree.
"""

from decimal import Decimal

from inspections.columns import BY_NAME, DETAILS, RCD, RESULTS
from inspections.models import Circuit, Inspection
from inspections.rules import edition as editions
from inspections.rules.completeness import has_rcd, wanted
from inspections.rules.loop import MaxZs
from inspections.rules.readings import BLANK
from inspections.selectors import BoardRecord, board_records
from remedies.cautions import GENERAL
from remedies.wording import plain
from reports.limitations import limitations_sheet
from reports.register import load_register_sheet
from reports.sheets.sheet import Cell, Document, Fact, Sheet

_RCD_DETAILS = frozenset(column.name for column in DETAILS if column.group == RCD)
_RESULT_COLUMNS = (BY_NAME["designation"], BY_NAME["description"], *RESULTS)


def circuit_details(inspection: Inspection) -> Document:
    """Schedule of circuit details, a sheet a board."""
    sheets = tuple(_details_sheet(record) for record in board_records(inspection))
    return _document("Schedule of circuit details", inspection, sheets)


def test_results(inspection: Inspection) -> Document:
    """Schedule of test results, a sheet a board."""
    records = board_records(inspection)
    sheets = tuple(_results_sheet(record, inspection) for record in records)
    return _document("Schedule of test results", inspection, sheets, cautions=GENERAL)


def load_register(inspection: Inspection) -> Document:
    """Load register of the installation as it stands."""
    sheet = load_register_sheet(inspection.installation)
    return _document("Load register", inspection, (sheet,), cautions=GENERAL)


def schedules(inspection: Inspection) -> Document:
    """Details, results, limitations and load register in one document."""
    records = board_records(inspection)
    sheets = [
        *(_details_sheet(record) for record in records),
        *(_results_sheet(record, inspection) for record in records),
        limitations_sheet(inspection),
        load_register_sheet(inspection.installation),
    ]
    return _document("Schedules", inspection, tuple(sheets), cautions=GENERAL)


DOCUMENTS = {
    "circuit-details": circuit_details,
    "test-results": test_results,
    "load-register": load_register,
    "schedules": schedules,
}


def _document(title, inspection, sheets, cautions=()):
    installation = inspection.installation
    firm = installation.firm
    return Document(
        title=title,
        identity=f"{installation} · {inspection} · {inspection.get_status_display().lower()}",
        facts=(
            Fact("Installation", str(installation)),
            Fact(
                "Address",
                ", ".join(f"{installation.address}\n{installation.postcode}".split("\n")).strip(", "),
            ),
            Fact("Client", installation.client.name),
            Fact("Visit", str(inspection)),
            Fact("Inspector", inspection.inspector.name),
            Fact(
                "Supply",
                f"{installation.earthing}, {installation.get_phases_display().lower()}, "
                f"{installation.nominal_voltage_v} V to earth, {installation.frequency_hz} Hz",
            ),
            Fact("Ze", _with_unit(inspection.ze, "Ω")),
            Fact("Ipf at the origin", _with_unit(inspection.ipf_ka, "kA")),
            Fact("Held to", _edition_name(inspection)),
            Fact(
                "Instruments",
                "; ".join(
                    f"{instrument.group} {instrument}".strip() for instrument in inspection.instruments.all()
                ),
            ),
        ),
        sheets=sheets,
        cautions=(" ".join(cautions),) if cautions else (),
        author=firm.name,
        made_by=f"{firm.name}, with Stillacross",
    )


def _edition_name(inspection):
    return str(editions.load(inspection.edition))


def _with_unit(reading, unit):
    return f"{reading} {unit}" if reading.is_measured else str(reading)


def _board_facts(record: BoardRecord):
    board, result = record.board, record.result
    fed_from = (
        f"{board.fed_from} way {board.fed_from_way}".removesuffix(" way ") if board.fed_from else "the supply"
    )
    measured = result or None
    return (
        Fact("Board", board.designation),
        Fact("Location", board.location),
        Fact("Fed from", fed_from),
        Fact("Main switch", board.main_switch),
        Fact("Surge protection", board.surge_protection),
        Fact("Zs at board", _with_unit(measured.zdb if measured else BLANK, "Ω")),
        Fact("Ipf at board", _with_unit(measured.ipf_ka if measured else BLANK, "kA")),
        Fact("Polarity", str(measured.polarity if measured else "")),
        Fact("Phase sequence", str(measured.phase_sequence if measured else "")),
        Fact("Surge indicator", str(measured.surge_indicator if measured else "")),
    )


def _details_sheet(record: BoardRecord) -> Sheet:
    rows, notes = [], []
    for circuit in record.circuits:
        permitted = record.max_zs(circuit)
        rcd = has_rcd(record.cases[circuit.pk])
        rows.append(tuple(_detail_cell(circuit, column.name, permitted, rcd) for column in DETAILS))
        if note := _override_note(circuit, permitted):
            notes.append(note)
    return Sheet(
        title=f"{record.board} – circuit details",
        tab=f"{record.board.designation} details",
        columns=DETAILS,
        rows=tuple(rows),
        facts=_board_facts(record),
        notes=tuple(notes),
    )


def _detail_cell(circuit: Circuit, name: str, permitted, has_rcd: bool) -> Cell:
    if name == "max_zs_ohm" and circuit.max_zs_ohm is None and isinstance(permitted, MaxZs):
        return permitted.ohm.quantize(Decimal("0.01"))
    value = getattr(circuit, name)
    if isinstance(value, Decimal):
        return Decimal(plain(value))
    if value in ("", None):
        nothing_there = circuit.is_spare or (name in _RCD_DETAILS and not has_rcd)
        return "" if nothing_there else None
    return value


def _override_note(circuit: Circuit, permitted) -> str:
    typed = circuit.max_zs_ohm
    if typed is None or not isinstance(permitted, MaxZs) or typed == permitted.ohm.quantize(Decimal("0.01")):
        return ""
    return (
        f"Circuit {circuit.designation}: Max Zs set by hand to {plain(typed)} Ω; "
        f"worked out, {permitted.working}."
    )


def _results_sheet(record: BoardRecord, inspection: Inspection) -> Sheet:
    return Sheet(
        title=f"{record.board} – test results",
        tab=f"{record.board.designation} results",
        columns=_RESULT_COLUMNS,
        rows=tuple(
            (
                circuit.designation,
                circuit.description or None,
                *_result_cells(record, circuit),
            )
            for circuit in record.circuits
        ),
        facts=_board_facts(record),
    )


def _result_cells(record: BoardRecord, circuit: Circuit):
    result, asked_for = record.results.get(circuit.pk), wanted(record.cases[circuit.pk])
    for column in RESULTS:
        value = getattr(result, column.name) if result else None
        if value is None or value == "" or value == BLANK:
            # Only what the circuit asks for can be missing; the rest has nothing to say.
            yield None if column.name in asked_for else ""
        else:
            yield value
