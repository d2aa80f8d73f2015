"""An invented firm of any size, to measure on."""

import random
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.core.management.color import no_style
from django.db import connection, transaction

from inspections.enums import Code, InspectionStatus, Measures, Role
from inspections.models import (
    Board,
    Circuit,
    CircuitResult,
    Client,
    Firm,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Member,
    Observation,
)
from inspections.models.fields import natural_sort_key
from inspections.models.installation import DEFAULT_EDITION
from remedies.enums import Connection, LoadKind, LoadState, Origin
from remedies.labels import ADVICE, HEADING
from remedies.models import BoardLabel, ParallelLoad
from remedies.wording import in_brief
from reports.audit.work_out import mark_everything
from reports.bulk_rows import BulkRows
from reports.search.work_out import forget_everything
from reports.triggers import put_aside

PASSWORD = "larkfield-demo"
WAYS, MOST_BOARDS = 12, 3
PLACES_A_CLIENT = 18
PLACES_A_CHUNK = 250
LOADED = 0.3  # circuits with a load across them
TODAY = date(2026, 11, 25)  # the record ends here, whenever it is made

STREETS = ("Weir Lane", "Mill Street", "Ferry Road", "Tannery Row", "Ropewalk", "Chapel Hill", "Quay Street")
PLACES = (
    "Lights, ground floor",
    "Lights, first floor",
    "Sockets, kitchen",
    "Sockets, office",
    "Heating",
    "Lift",
)
REASONS = ("Ceiling is fixed", "Could not be switched off", "Alarm left connected", "Servers may not stop")
WHERE = (
    "Behind the ceiling rose",
    "At the foot of the stairs",
    "Above the ceiling grid",
    "In the switch box",
)
PARTS: tuple[tuple[int, dict[str, Any]], ...] = (
    (30, {"kind": LoadKind.DRIVER}),
    (15, {"kind": LoadKind.NEON, "resistance_ohm": Decimal(220_000)}),
    (15, {"kind": LoadKind.INDICATOR, "resistance_ohm": Decimal(470_000)}),
    (
        12,
        {
            "kind": LoadKind.CAPACITOR,
            "capacitor_class": "X2",
            "capacitance_uf": Decimal("0.1"),
            "rated_voltage_v": 275,
            "discharge_resistor_ohm": Decimal(1_000_000),
        },
    ),
    (8, {"kind": LoadKind.DIMMER}),
    (6, {"kind": LoadKind.TRANSFORMER, "rated_power_w": Decimal(50)}),
    (6, {"kind": LoadKind.SENSOR}),
    (4, {"kind": LoadKind.LOAD_MODULE, "resistance_ohm": Decimal(330_000), "rated_power_w": Decimal(1)}),
    (2, {"kind": LoadKind.RESISTOR, "resistance_ohm": Decimal(390), "rated_power_w": Decimal("0.25")}),
    (2, {"kind": LoadKind.SURGE, "rated_voltage_v": 275}),
)  # fmt: skip
_SOUND = {"ir_live_live": ">200", "ir_live_earth": ">200", "polarity": "✓", "r1_r2": "0.61", "zs": "0.84"}
RESULTS: tuple[tuple[int, dict[str, Any]], ...] = (
    (70, _SOUND | {"ir_voltage_v": 500}),
    (12, _SOUND | {"ir_voltage_v": 500, "ir_live_live": "LIM"}),
    (8, _SOUND | {"ir_voltage_v": 250}),
    (7, _SOUND | {"ir_voltage_v": 500, "ir_live_live": "N/V"}),
    (3, _SOUND | {"ir_voltage_v": 500, "ir_live_live": "0.35"}),
)
WITH_LOADS: tuple[tuple[int, dict[str, Any]], ...] = (
    (70, _SOUND | {"ir_voltage_v": 500, "ir_live_live": "LIM"}),
    (25, _SOUND | {"ir_voltage_v": 250, "ir_live_live": "N/V"}),
    (5, _SOUND | {"ir_voltage_v": 500}),
)


# Of the places visited four times, circuits whose insulation falls and whose Zs rises from visit to visit.
OFTEN, AGEING = 0.1, 0.1
AGED = tuple(
    {"ir_live_earth": earth, "zs": zs}
    for earth, zs in ((">200", "0.84"), ("120", "0.95"), ("31", "1.04"), ("9.2", "1.16"))
)


_TABLES = (
    Client, Installation, Board, Circuit, Inspection, CircuitResult, Limitation, Limitation.circuits.through,
    Observation, ParallelLoad, ParallelLoad.history.model, BoardLabel,
)  # fmt: skip


class InventedFirm:
    """The same name and seed give the same record. Of its history, that of the loads alone is written."""

    def __init__(self, name: str, seed: int):
        self.random = random.Random(seed)
        self.firm = Firm.objects.create(name=name)
        self.office = self._member("office", Role.OFFICE, seed)
        self.inspectors = [self._member(f"inspector{n}-", Role.INSPECTOR, seed) for n in range(1, 6)]
        for number in range(20):
            Instrument.objects.create(
                firm=self.firm,
                measures=Measures.MULTIFUNCTION,
                serial=f"S{number:03}",
                calibrated_until=TODAY + timedelta(days=self.random.randrange(-60, 300)),
            )
        self.rows = {model: BulkRows(model) for model in _TABLES}
        self.client = 0

    def _member(self, name, role, seed):
        return Member.objects.create_user(
            f"{name}{seed}@example.com", PASSWORD, firm=self.firm, name=name.title(), role=role
        )

    def make(self, circuits: int) -> Iterator[int]:
        """Write the places, so many at once; yields how many circuits there are by then."""
        made = number = 0
        while made < circuits:
            with transaction.atomic():
                for _ in range(PLACES_A_CHUNK):
                    if made < circuits:
                        made += self._place(number)
                        number += 1
                with put_aside([model._meta.db_table for model in _TABLES]):
                    for model in _TABLES:
                        self.rows[model].write()
            yield made
        with connection.cursor() as cursor:
            for sql in connection.ops.sequence_reset_sql(no_style(), _TABLES):
                cursor.execute(sql)
        mark_everything(self.firm)
        forget_everything(self.firm)

    def _pick(self, weighted: Sequence[tuple[int, dict[str, Any]]]) -> dict[str, Any]:
        weights = [weight for weight, _ in weighted]
        return self.random.choices(weighted, weights)[0][1]

    def _day(self, earliest: date, latest: date) -> date:
        return earliest + timedelta(days=self.random.randrange((latest - earliest).days + 1))

    def _place(self, number: int) -> int:
        if number % PLACES_A_CLIENT == 0:
            self.client = self.rows[Client].add(
                firm_id=self.firm.pk, name=f"Larkfield client {number // PLACES_A_CLIENT + 1}"
            )
        name = f"{number + 1} {STREETS[number % len(STREETS)]}"
        installation = self.rows[Installation].add(
            client_id=self.client,
            name=name,
            next_due_on=self._day(date(2025, 6, 1), date(2031, 1, 1)),
        )
        years = (2006, 2011, 2016, 2021) if self.random.random() < OFTEN else (2016, 2021)
        visits = [self._visit(installation, year) for year in years]
        made = 0
        for board in range(1, self.random.randrange(1, MOST_BOARDS + 1) + 1):
            made += self._board(installation, name, f"DB{board}", visits)
        return made

    def _visit(self, installation: int, year: int) -> tuple[int, date]:
        day = self._day(date(year, 1, 1), date(year + 3, 12, 31))
        inspector = self.random.choice(self.inspectors)
        visit = self.rows[Inspection].add(
            installation_id=installation,
            started_on=day,
            inspector_id=inspector.pk,
            edition=DEFAULT_EDITION,
            status=InspectionStatus.ISSUED,
        )
        if self.random.random() < 0.5:
            self.rows[Observation].add(
                inspection_id=visit,
                text="Cover loose",
                code=self.random.choice([Code.C2, Code.C3, Code.FI]),
                put_right_on=None if self.random.random() < 0.3 else day + timedelta(days=30),
                put_right_by="J. Marlow",
            )
        return visit, day

    def _board(self, installation: int, place: str, designation: str, visits) -> int:
        board = self.rows[Board].add(
            installation_id=installation,
            designation=designation,
            location="Under the stairs",
            sort_key=natural_sort_key(designation),
        )
        lines, limited = [], {visit: [] for visit, _ in visits}
        for way in range(1, WAYS + 1):
            circuit = self.rows[Circuit].add(
                board_id=board,
                way=str(way),
                description=self.random.choice(PLACES),
                sort_key=natural_sort_key(str(way), ""),
                device_standard="60898",
                device_type="B",
                device_rating_a=32,
            )
            loaded = self.random.random() < LOADED
            is_ageing = self.random.random() < AGEING
            for number, (visit, _) in enumerate(visits):
                aged = AGED[number] if is_ageing else {}
                readings = self._pick(WITH_LOADS if loaded else RESULTS) | aged
                self.rows[CircuitResult].add(inspection_id=visit, circuit_id=circuit, **readings)
                if readings["ir_live_live"] == "LIM":
                    limited[visit].append(circuit)
            if loaded:
                lines += self._load(circuit, str(way))
        for visit, circuits in limited.items():
            if circuits:
                limitation = self.rows[Limitation].add(
                    inspection_id=visit,
                    tests=["ir_live_live"],
                    reason=self.random.choice(REASONS),
                    is_standing=True,
                )
                for circuit in circuits:
                    self.rows[Limitation.circuits.through].add(limitation_id=limitation, circuit_id=circuit)
        if lines and self.random.random() < 0.6:
            self._label(board, f"{designation}, {place}", lines)
        return WAYS

    def _load(self, circuit: int, way: str) -> list[str]:
        since = self._day(date(2005, 1, 1), TODAY)
        state = self.random.choices(
            [LoadState.IN_PLACE, LoadState.SUSPECTED, LoadState.DISCONNECTED], [92, 6, 2]
        )[0]
        values = self._pick(PARTS) | {
            "circuit_id": circuit,
            "connection": Connection.SWITCHED_L_N,
            "place": self.random.choice(WHERE),
            "access_minutes": self.random.choice([None, 5, 10, 20]),
            "is_hidden": self.random.random() < 0.7,
            "state": state,
            "origin": Origin.FITTED if self.random.random() < 0.3 else Origin.FOUND,
            "since": since,
            "state_since": since,
        }
        load = self.rows[ParallelLoad].add(**values)
        self.rows[ParallelLoad.history.model].add(
            id=load,
            **values,
            history_type="+",
            history_date=datetime(since.year, since.month, since.day, 17, tzinfo=UTC),
            history_user_id=self.random.choice(self.inspectors).pk,
        )
        if state == LoadState.SUSPECTED:
            return []
        return [f"{way}: {in_brief(ParallelLoad(**values))}, {values['place']}"]

    def _label(self, board: int, title: str, lines: list[str]) -> None:
        if self.random.random() < 0.2:
            lines = lines[:-1] or ["none"]  # out of date: one load came since
        self.rows[BoardLabel].add(
            board_id=board,
            text="\n".join([title, HEADING, *lines, ADVICE, "1 Nov 2026"]),
            printed_at=datetime(2026, 11, 1, 9, tzinfo=UTC),
            printed_by_id=self.office.pk,
            stuck_on=date(2026, 11, 3),
            stuck_by_id=self.office.pk,
        )
