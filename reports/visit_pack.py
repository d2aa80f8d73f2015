"""What an inspector takes to a visit, gathered from the record as it stands: plain values, nothing drawn."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from inspections.columns import RESULTS
from inspections.enums import StandingAnswer
from inspections.models import Board, Circuit, CircuitResult, Inspection, Observation
from inspections.words import on_one_line
from remedies.before_test import BeforeTest, before_test
from remedies.cautions import GENERAL
from reports.content.said import Standing
from reports.content.said import where as limitation_where
from reports.sheets.sheet import Fact
from reports.words import counted

_CARRIED = tuple(column.name for column in RESULTS if column.name not in ("remarks", "instrument_group"))


@dataclass(frozen=True, slots=True)
class CircuitRow:
    """One circuit with room for its readings. protection: its devices in brief. last: by result column, what
    was read last, as written. remark: the last one. is_spare: nothing to test."""

    designation: str
    description: str
    protection: str
    last: Mapping[str, str]
    remark: str
    is_spare: bool


@dataclass(frozen=True, slots=True)
class BoardPages:
    """A board with its circuits in the order of ways."""

    title: str
    facts: tuple[Fact, ...]
    circuits: tuple[CircuitRow, ...]


@dataclass(frozen=True, slots=True)
class ToAgree:
    """A standing limitation, to be kept, changed or lifted: what, where, why, and for how long it stood."""

    tests: str
    where: str
    reason: str
    stood: str


@dataclass(frozen=True, slots=True)
class StillOpen:
    """An observation of an earlier visit that nobody recorded as put right."""

    code: str
    where: str
    text: str
    seen_on: date


@dataclass(frozen=True, slots=True)
class VisitPack:
    """last_on: day of the inspection before, None for the first. sheets: one for each board with something
    to know before testing."""

    installation: str
    visit: str
    firm: str
    notice: str
    facts: tuple[Fact, ...]
    last_on: date | None
    to_agree: tuple[ToAgree, ...]
    still_open: tuple[StillOpen, ...]
    boards: tuple[BoardPages, ...]
    sheets: tuple[BeforeTest, ...]
    cautions: tuple[str, ...]


def visit_pack(inspection: Inspection, on: date) -> VisitPack:
    """The pack of a visit. on: the day it is prepared."""
    installation = inspection.installation
    boards = list(installation.boards.in_use().select_related("installation", "fed_from"))
    before = Inspection.objects.before(inspection).first()
    sheets = (before_test(board, on) for board in boards)
    return VisitPack(
        installation=installation.name,
        visit=str(inspection),
        firm=installation.firm.name,
        notice=installation.firm.notice,
        facts=_facts(inspection),
        last_on=before.started_on if before else None,
        to_agree=tuple(_to_agree(inspection)),
        still_open=tuple(_still_open(inspection)),
        boards=tuple(_pages(inspection, boards)),
        sheets=tuple(sheet for sheet in sheets if sheet.circuits or sheet.untested),
        cautions=GENERAL,
    )


def _facts(inspection: Inspection) -> tuple[Fact, ...]:
    place, client = inspection.installation, inspection.installation.client
    return (
        Fact("Client", client.name),
        Fact("Telephone", client.phone),
        Fact("E-mail", client.email),
        Fact("Address", on_one_line(f"{place.address}\n{place.postcode}")),
        Fact("Use", place.get_use_display()),
        Fact("Estimated age", place.built),
        Fact(
            "Supply", f"{place.earthing}, {place.get_phases_display().lower()}, {place.nominal_voltage_v} V"
        ),
        Fact("Inspector", inspection.inspector.name),
        Fact("Why", inspection.reason),
        Fact("Extent", inspection.extent),
        Fact("Additions or alterations seen", place.alterations),
    )


def _to_agree(inspection: Inspection) -> Iterable[ToAgree]:
    standing = Standing(inspection)
    rows = inspection.limitations.filter(is_standing=True).exclude(standing_answer=StandingAnswer.LIFTED)
    for row in rows.prefetch_related("boards", "circuits__board"):
        since, visits = standing.of(row)
        yield ToAgree(
            tests=", ".join(row.test_headings),
            where=limitation_where(row),
            reason=row.reason,
            stood=f"Since {since:%-d %b %Y}, {counted(visits, 'visit')}",
        )


def _still_open(inspection: Inspection) -> Iterable[StillOpen]:
    rows = (
        Observation.objects.open()
        .filter(inspection__in=Inspection.objects.before(inspection))
        .select_related("board", "circuit__board", "inspection")
        .order_by("-inspection__started_on", "code", "pk")
    )
    for row in rows:
        on = str(row.circuit) if row.circuit else row.board.designation if row.board else ""
        where = ", ".join(filter(None, (on, row.place)))
        yield StillOpen(row.code or "–", where, row.text, row.inspection.started_on)


def _pages(inspection: Inspection, boards: Iterable[Board]) -> Iterable[BoardPages]:
    last, remarks = _last_readings(inspection)
    circuits = Circuit.objects.in_use().filter(board__in=boards).select_related("board").order_by("sort_key")
    of_board = defaultdict(list)
    for circuit in circuits:
        of_board[circuit.board_id].append(circuit)
    for board in boards:
        yield BoardPages(
            title=str(board),
            facts=(
                Fact("Fed from", _fed_from(board)),
                Fact("Main switch", board.main_switch),
                Fact("Surge protection", board.surge_protection),
                Fact("Zs at board (Ω)", "____________"),
                Fact("Ipf at board (kA)", "____________"),
                Fact("Polarity", "____"),
                Fact("Phase sequence", "____"),
                Fact("Surge indicator", "____"),
            ),
            circuits=tuple(
                CircuitRow(
                    designation=circuit.designation,
                    description=circuit.description,
                    protection=_protection(circuit),
                    last=last.get(circuit.pk, {}),
                    remark=remarks.get(circuit.pk, ""),
                    is_spare=circuit.is_spare,
                )
                for circuit in of_board[board.pk]
            ),
        )


def _last_readings(inspection: Inspection) -> tuple[dict[int, dict[str, str]], dict[int, str]]:
    """By circuit, what was last entered in each column at an earlier visit, and the last remark."""
    last: dict[int, dict[str, str]] = defaultdict(dict)
    remarks: dict[int, str] = {}
    results = CircuitResult.objects.filter(inspection__in=Inspection.objects.before(inspection))
    for result in results.order_by("inspection__started_on", "inspection_id"):
        for name in _CARRIED:
            value = getattr(result, name)
            if value not in (None, "") and str(value):
                last[result.circuit_id][name] = str(value)
        if result.remarks:
            remarks[result.circuit_id] = result.remarks
    return last, remarks


def _fed_from(board: Board) -> str:
    if board.fed_from is None:
        return "the supply"
    return f"{board.fed_from.designation} way {board.fed_from_way}".removesuffix(" way ")


def _protection(circuit: Circuit) -> str:
    """The protective device and the RCD as briefly as they are said: ``B 32 A, 30 mA``."""
    rating = f"{circuit.device_rating_a.normalize():f} A" if circuit.device_rating_a else ""
    residual = f"{circuit.rcd_residual_ma.normalize():f} mA" if circuit.rcd_residual_ma else ""
    return ", ".join(filter(None, (f"{circuit.device_type} {rating}".strip(), residual)))
