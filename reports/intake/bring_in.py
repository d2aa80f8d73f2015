"""A record that another firm issued, brought into the record of this firm: its place as it was known, and the
inspection as a former one, which no longer changes.

Their client's address comes along, their instruments do not: those are not ours. A limitation that was lifted
no longer stands and stays behind, and so does a load whose circuit is no longer there.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, NoReturn

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import DatabaseError, transaction
from django.utils import timezone
from simple_history.utils import bulk_create_with_history

from inspections.columns import RESULTS
from inspections.enums import InspectionStatus, StandingAnswer
from inspections.models import (
    Board,
    BoardResult,
    Circuit,
    CircuitResult,
    Client,
    Inspection,
    Installation,
    Limitation,
    Member,
    Observation,
    VisualOutcome,
)
from inspections.models.installation import DEFAULT_EDITION
from inspections.rules import edition as editions
from inspections.services.record import save_record
from remedies.models import ParallelLoad
from reports import words
from reports.intake.read import ReadRecord, RecordIntakeError, read_record
from reports.intake.uploads import RecordUpload
from reports.models import IssuedRecord
from reports.words import Content

_NOT_KEPT = (DatabaseError, OverflowError)  # a number beyond its column, two rows in one place
_DECIMALS = (
    "live_csa_mm2", "cpc_csa_mm2", "length_m", "design_current_a", "disconnection_time_s", "device_rating_a",
    "breaking_capacity_ka", "max_zs_ohm", "rcd_residual_ma", "rcd_rating_a",
)  # fmt: skip
_TEXTS = (
    "description", "wiring_type", "reference_method", "device_standard", "device_type", "rcd_standard",
    "rcd_type",
)  # fmt: skip
_LOAD_DECIMALS = (
    "capacitance_uf", "resistance_ohm", "discharge_resistor_ohm", "tolerance_percent", "rated_power_w",
)  # fmt: skip
_LOAD_TEXTS = ("capacitor_class", "place", "access", "reason", "taken_out_by", "remarks")
_LOAD_CHOICES = ("kind", "connection", "state", "origin")


@dataclass
class BroughtIn:
    """What came in: the inspection, how many rows of each thing in words, and what stayed behind and why."""

    inspection: Inspection
    counts: list[tuple[str, int]] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


@transaction.atomic
def keep_upload(*, name: str, pdf: bytes, member: Member) -> RecordUpload:
    """Keep a report for its preview. Raises RecordIntakeError when it cannot be read or is here already."""
    read = read_record(pdf)
    if IssuedRecord.objects.for_firm(member.firm).filter(sha256=read.sha256).exists():
        raise RecordIntakeError(
            f"This is {words.number(read.content)} of your own firm: it is in the record already."
        )
    before = RecordUpload.objects.for_firm(member.firm).filter(sha256=read.sha256, committed_at__isnull=False)
    if before.exists():
        raise RecordIntakeError(f"{before.get()} was brought in before. Nothing was changed.")
    upload = RecordUpload(
        firm=member.firm,
        name=name[:200],
        pdf=pdf,
        record=read.record,
        sha256=read.sha256,
        issued_by_firm=read.content["firm"]["name"][:120],
        inspected_by=read.content["inspection"]["inspector"]["name"][:120],
        number=words.number(read.content)[:40],
        sent_by=member,
    )
    return save_record(upload, member=member)


def preview_record(*, upload: RecordUpload, client: str, installation: str, member: Member) -> BroughtIn:
    """What bringing the report in would do, found out by doing it and taking it back. Raises
    RecordIntakeError as ``bring_in_record`` does."""
    with transaction.atomic():
        brought = _bring_in(upload, client, installation, member, keep_photos=False)
        transaction.set_rollback(True)
    return brought


@transaction.atomic
def bring_in_record(*, upload: RecordUpload, client: str, installation: str, member: Member) -> BroughtIn:
    """Bring the report in, all at once. client: name of one of the firm's clients, or of a new one.
    installation: what it is to be called.

    Raises RecordIntakeError, and nothing is written, when the record does not fit.
    """
    upload = RecordUpload.objects.select_for_update().get(pk=upload.pk)
    if upload.is_committed:
        raise RecordIntakeError(f"{upload} is in the record already.")
    brought = _bring_in(upload, client, installation, member, keep_photos=True)
    upload.pdf, upload.committed_at, upload.inspection = None, timezone.now(), brought.inspection
    save_record(upload, member=member, reason="Brought in")
    return brought


def _bring_in(
    upload: RecordUpload, client: str, installation: str, member: Member, *, keep_photos: bool
) -> BroughtIn:
    read = read_record(bytes(upload.pdf))
    return _Rows(read, upload, member, keep_photos).write(client.strip(), installation.strip())


class _Rows:
    """The rows made of one record. boards, circuits: those made, by their numbers in the record."""

    def __init__(self, read: ReadRecord, upload: RecordUpload, member: Member, keep_photos: bool):
        self.content, self.photos = read.content, read.photos if keep_photos else {}
        self.member, self.reason = member, f"From {upload}"[:100]
        self.boards: dict[int, Board] = {}
        self.circuits: dict[int, Circuit] = {}
        self.left_out: list[str] = []

    def write(self, client: str, installation: str) -> BroughtIn:
        self.installation = self._place(self._client(client), installation)
        self.inspection = self._inspection()
        self._boards()
        counts = [
            ("Boards", len(self.boards)),
            ("Circuits", self._circuits()),
            ("Circuits with results", self._results()),
            ("Limitations", sum(1 for _ in self._limitations())),
            ("Observations", sum(1 for _ in self._observations())),
            ("Visual inspection outcomes", self._visual()),
            ("Entries of the load register", sum(1 for _ in self._loads())),
        ]
        self.inspection.status = InspectionStatus.ISSUED
        self._save(self.inspection, "the inspection")
        return BroughtIn(self.inspection, counts, self.left_out)

    def _save(self, row: Any, where: str) -> Any:
        try:
            return save_record(row, member=self.member, reason=self.reason)
        except ValidationError as error:
            _refuse(where, "; ".join(error.messages))
        except _NOT_KEPT:
            _refuse(where, "the database does not take it.")

    def _client(self, name: str) -> Client:
        firm = self.member.firm
        standing = Client.objects.for_firm(firm).filter(name=name).first()
        return standing or self._save(
            Client(firm=firm, name=name, address=self.content["client"]["address"]), "the client"
        )

    def _place(self, client: Client, name: str) -> Installation:
        if client.installations.filter(name=name).exists():
            raise RecordIntakeError(
                f"{client} already has an installation called “{name}”. Give the one that comes in another "
                "name: nothing here is overwritten."
            )
        told = self.content["installation"]
        keys = {field: told[field]["key"] for field in ("use", "earthing", "phases")}
        plain = {
            field: told[field]
            for field in (
                "address", "postcode", "built", "alterations", "nominal_voltage_v", "frequency_hz",
                "interval_months",
            )
        }  # fmt: skip
        due = _day(self.content["next_due"]["on"])
        row = Installation(
            client=client, name=name, next_due_on=due, rule_set=self._edition(), **keys, **plain
        )
        return self._save(row, "the installation")

    def _edition(self) -> str:
        told = self.content["inspection"]["edition"]
        if told["key"] in editions.available():
            return told["key"]
        self.left_out.append(
            f"The edition it was held to, “{told['title']}”, is not known here; "
            f"{editions.load(DEFAULT_EDITION)} stands in its place."
        )
        return DEFAULT_EDITION

    def _inspection(self) -> Inspection:
        told, due = self.content["inspection"], self.content["next_due"]
        row = Inspection(
            installation=self.installation,
            kind=told["kind"]["key"],
            started_on=_day(told["started_on"]),
            finished_on=_day(told["finished_on"]),
            inspector=self.member,
            edition=self.installation.rule_set,
            ze=told["ze_ohm"],
            next_due_on=_day(due["on"]),
            next_due_reason=due["reason"],
            **{
                name: told[name]
                for name in (
                    "reason", "extent", "general_condition", "ipf_ka", "supply_polarity",
                    "calibration_explanation",
                )
            },
        )  # fmt: skip
        return self._save(row, "the inspection")

    def _boards(self) -> None:
        for told in self.content["boards"]:
            feeder = self.boards.get(told["fed_from"])
            row = Board(
                installation=self.installation,
                designation=told["designation"],
                location=told["location"],
                fed_from=feeder,
                fed_from_way=_way(told["fed_from_words"], feeder),
                phases=told["phases"]["key"],
                ways=_whole(told["ways"]),
                main_switch=told["main_switch"],
                surge_protection=told["surge_protection"],
                retired_on=_day(told["retired_on"]),
            )
            self.boards[told["number"]] = self._save(row, f"board {told['designation']}")
            if measured := told["measured"]:
                result = BoardResult(inspection=self.inspection, board=row, zdb=measured["zdb_ohm"])
                for name in ("ipf_ka", "polarity", "phase_sequence", "surge_indicator"):
                    setattr(result, name, measured[name])
                self._save(result, f"board {told['designation']}")

    def _circuits(self) -> int:
        for told in self.content["boards"]:
            for circuit in told["circuits"]:
                details = circuit["details"]
                row = Circuit(
                    board=self.boards[told["number"]],
                    way=circuit["way"],
                    phase=circuit["phase"],
                    is_spare=circuit["is_spare"],
                    retired_on=_day(circuit["retired_on"]),
                    points=_whole(details["points"]),
                    nominal_voltage_v=_whole(details["nominal_voltage_v"]),
                    arrangement=circuit["arrangement"]["key"],
                    serves=circuit["serves"]["key"],
                    voltage_band=circuit["voltage_band"]["key"],
                    equipment_stays_connected=circuit["equipment_stays_connected"],
                    **{name: _decimal(details[name]) for name in _DECIMALS},
                    **{name: details[name] for name in _TEXTS},
                )
                _check(row, f"circuit {told['designation']}/{details['designation']}", exclude=["board"])
                if circuit["number"] in self.circuits:
                    raise RecordIntakeError(f"Circuit {details['designation']} stands twice in the record.")
                self.circuits[circuit["number"]] = row
        self._create(Circuit, self.circuits.values(), "circuits")
        return len(self.circuits)

    def _results(self) -> int:
        rows = []
        for told in self.content["boards"]:
            for circuit in told["circuits"]:
                if circuit["result"] is None:
                    continue
                readings = {column.name: circuit["result"][column.name] for column in RESULTS}
                readings["ir_voltage_v"] = _whole(readings["ir_voltage_v"])
                row = CircuitResult(
                    inspection=self.inspection, circuit=self.circuits[circuit["number"]], **readings
                )
                name = f"results of {told['designation']}/{circuit['details']['designation']}"
                _check(row, name, exclude=["inspection", "circuit"])
                rows.append(row)
        self._create(CircuitResult, rows, "results")
        return len(rows)

    def _create(self, model: Any, rows: Any, where: str) -> None:
        try:
            with transaction.atomic():
                bulk_create_with_history(
                    list(rows), model, default_user=self.member, default_change_reason=self.reason
                )
        except _NOT_KEPT:
            _refuse(f"the {where}", "they do not fit together.")

    def _limitations(self) -> Iterator[Limitation]:
        for told in self.content["limitations"]:
            where = f"limitation {told['number']}"
            if told["standing_answer"]["key"] == StandingAnswer.LIFTED:
                self.left_out.append(f"Limitation {told['number']} was lifted, so it no longer stands.")
                continue
            if told["visits"] > 1:
                self.left_out.append(
                    f"Limitation {told['number']} has stood since {words.day(told['since'])}; here it counts "
                    "from this inspection."
                )
            row = Limitation(
                inspection=self.inspection,
                kind=told["kind"]["key"],
                tests=told["tests"],
                scope=told["scope"]["key"],
                agreed_on=_day(told["agreed_on"]),
                **{name: told[name] for name in ("reason", "agreed_with", "agreed_how", "is_standing")},
            )
            self._save(row, where)
            row.boards.set([self._find(self.boards, number, where) for number in told["boards"]])
            row.circuits.set([self._find(self.circuits, number, where) for number in told["circuits"]])
            yield row

    def _observations(self) -> Iterator[Observation]:
        for told in self.content["observations"]:
            where = f"observation {told['number']}"
            right = told["put_right"] or {"on": None, "by": "", "evidence": ""}
            board, circuit = told["place"]["board"], told["place"]["circuit"]
            row = Observation(
                inspection=self.inspection,
                board=self._find(self.boards, board, where) if board else None,
                circuit=self._find(self.circuits, circuit, where) if circuit else None,
                place=_place_alone(told["where"], self._designation(board, circuit)),
                code=told["code"]["key"],
                client_warned_on=_day(told["client_warned_on"]),
                put_right_on=_day(right["on"]),
                put_right_by=right["by"],
                evidence=right["evidence"],
                **{name: told[name] for name in ("text", "regulation", "made_from", "action_on_day")},
            )
            self._take_photo(row, told["photo"])
            yield self._save(row, where)

    def _designation(self, board: int | None, circuit: int | None) -> str:
        if circuit:
            return str(self.circuits[circuit])
        return self.boards[board].designation if board else ""

    def _take_photo(self, row: Any, told: Content | None) -> None:
        if told and told["sha256"] in self.photos:
            row.photo.save(told["name"], ContentFile(self.photos[told["sha256"]]), save=False)

    def _visual(self) -> int:
        rows = [
            VisualOutcome(
                inspection=self.inspection, item=item["key"], outcome=item["outcome"], remark=item["remark"]
            )
            for area in self.content["visual"]
            for item in area["items"]
            if item["outcome"]
        ]
        for row in rows:
            _check(row, f"visual item {row.item}", exclude=["inspection"])
        self._create(VisualOutcome, rows, "visual outcomes")
        return len(rows)

    def _loads(self) -> Iterator[ParallelLoad]:
        for told in self.content["load_register"]:
            where = f"load {told['number']}"
            if told["circuit"] is None:
                self.left_out.append(
                    f"{told['what']}, {told['place']}: its circuit {told['circuit_words']} is there no more."
                )
                continue
            row = ParallelLoad(
                circuit=self._find(self.circuits, told["circuit"], where),
                count=told["count"],
                is_hidden=told["is_hidden"],
                resistors_in_series=_whole(told["resistors_in_series"]) or 1,
                rated_voltage_v=_whole(told["rated_voltage_v"]),
                access_minutes=_whole(told["access_minutes"]),
                **{name: _decimal(told[name]) for name in _LOAD_DECIMALS},
                **{name: told[name] for name in _LOAD_TEXTS},
                **{name: told[name]["key"] for name in _LOAD_CHOICES},
                **{name: _day(told[name]) for name in ("since", "state_since", "taken_out_on")},
            )
            self._take_photo(row, told["photo"])
            yield self._save(row, where)

    def _find(self, rows: Mapping[int, Any], number: int, where: str) -> Any:
        if number not in rows:
            raise RecordIntakeError(f"The record names a place that is not in it ({where}). Nothing came in.")
        return rows[number]


def _check(row: Any, where: str, exclude: list[str]) -> None:
    try:
        row.full_clean(exclude=exclude, validate_unique=False, validate_constraints=False)
    except ValidationError as error:
        _refuse(where, "; ".join(error.messages))


def _refuse(where: str, said: str) -> NoReturn:
    raise RecordIntakeError(
        f"The record does not hold together at {where}: {said} Nothing came in."
    ) from None


def _day(iso: str | None) -> date | None:
    try:
        return date.fromisoformat(iso) if iso else None
    except ValueError:
        raise RecordIntakeError(
            f"“{iso}” in the record is no day of the calendar. Nothing came in."
        ) from None


def _whole(text: str) -> int | None:
    return int(Decimal(text)) if text else None


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _way(fed_from_words: str, feeder: Board | None) -> str:
    """The way that feeds a board, out of ``DB1 way 3``."""
    return fed_from_words.removeprefix(f"{feeder.designation}").removeprefix(" way ") if feeder else ""


def _place_alone(where: str, designation: str) -> str:
    """The place without the board or circuit that stands before it."""
    return where.removeprefix(designation).removeprefix(", ") if designation else where
