"""Random records of a firm, and the answers to the audit's questions worked out from them one row at a time.

The answers here read the record as people do and know nothing of how the audit stores or asks: loops over
every row of every firm, with the firm looked up along the way.
"""

import random
from collections import defaultdict
from datetime import UTC, date, datetime, timedelta

from inspections.enums import Code, InspectionKind, InspectionStatus, LimitationKind, StandingAnswer
from inspections.models import (
    Board,
    Circuit,
    CircuitResult,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Observation,
)
from remedies.enums import Connection, LoadKind, LoadState, Origin
from remedies.explained import explanations_of
from remedies.full_test import without_full_test
from remedies.labels import label_status, print_label
from remedies.models import ParallelLoad
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    ClientFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
)

TODAY = date(2026, 11, 25)
REASONS = ("Could not be switched off", "Ceiling is fixed", "Alarm left connected")
READINGS = (">200", "0.35", "0.02", "LIM", "", "150", "1.2")
EARTH = (">200", ">200", "150", "60", "20", "6", "0.4", "<0.05", "LIM", "")
FALLING, RISING = ("200", "64", "20", "6.1", "2"), ("0.70", "0.80", "0.90", "1.01", "1.10")
ZS = ("0.60", "0.80", "0.90", "1.10", "1.25", "1.40", ">20", "LIM")
_KINDS = [
    {"kind": LoadKind.CAPACITOR, "capacitor_class": "X2", "capacitance_uf": "0.1", "rated_voltage_v": 275},
    {"kind": LoadKind.CAPACITOR, "capacitance_uf": "0.22", "discharge_resistor_ohm": 1_000_000},
    {"kind": LoadKind.CAPACITOR, "capacitor_class": "Y2", "capacitance_uf": "0.0047", "rated_voltage_v": 220},
    {"kind": LoadKind.NEON, "resistance_ohm": 220_000},
    {"kind": LoadKind.RESISTOR, "resistance_ohm": 390, "rated_power_w": "0.25"},
    {"kind": LoadKind.RESISTOR, "resistance_ohm": 47_000, "rated_power_w": "3"},
    {"kind": LoadKind.DRIVER},
    {"kind": LoadKind.SURGE, "rated_voltage_v": 275},
    {"kind": LoadKind.SURGE, "rated_voltage_v": 440},
]


class Firm:
    """One firm's random record."""

    def __init__(self, seed: int, places: int = 4, most_visits: int = 3):
        self.most_visits = most_visits
        self.random = random.Random(seed)
        self.chance = random.Random(seed)  # of what is followed over the years alone
        self.member = MemberFactory(name=f"Inspector {seed}")
        self.other_member = MemberFactory(firm=self.member.firm, name=f"Electrician {seed}")
        self.firm = self.member.firm
        self.clients = [ClientFactory(firm=self.firm) for _ in range(2)]
        for number in range(3):
            InstrumentFactory(firm=self.firm, calibrated_until=self._day() if number else None)
        for number in range(places):
            # The same names at every firm, so that a leak is not hidden by an order of names.
            self._place(f"Place {number % 3}", number)

    def _day(self, earliest=date(2015, 1, 1)) -> date:
        return earliest + timedelta(days=self.random.randrange((TODAY - earliest).days))

    def _place(self, name, number):
        choose = self.random.choice
        installation = InstallationFactory(
            client=self.clients[number % 2],
            name=f"{name} {number // 3}",
            next_due_on=choose([None, date(2026, 1, 5), date(2026, 12, 20), date(2029, 1, 1)]),
        )
        boards = [BoardFactory(installation=installation) for _ in range(2)]
        boards.append(BoardFactory(installation=installation, retired_on=date(2020, 1, 1)))
        circuits = [CircuitFactory(board=choose(boards)) for _ in range(6)]
        circuits.append(CircuitFactory(board=boards[0], retired_on=date(2021, 1, 1)))
        for circuit in circuits:
            if self.chance.random() < 0.7:
                circuit.device_standard, circuit.device_type, circuit.device_rating_a = "60898", "B", 32
                circuit.save()
        for number, day in enumerate(
            sorted(self._day() for _ in range(self.random.randrange(self.most_visits + 1)))
        ):
            self._visit(installation, circuits, boards, day, number)
        for _ in range(self.random.randrange(9)):
            self._load(choose(circuits))
        for board in boards[:2]:
            self._label(board)
        for load in ParallelLoad.objects.filter(circuit__in=circuits):
            if choose([True, False, False, False]):
                ParallelLoad.objects.filter(pk=load.pk).update(place="Moved since")

    def _visit(self, installation, circuits, boards, day, number):
        choose = self.random.choice
        visit = InspectionFactory(
            installation=installation,
            inspector=self.member,
            started_on=day,
            kind=choose([InspectionKind.PERIODIC, InspectionKind.PERIODIC, InspectionKind.FAULT]),
            status=InspectionStatus.DRAFT,
            ze=self.chance.choice(["0.12", "0.30", ""]),
        )
        for circuit in circuits:
            if choose([True, True, True, False]):
                CircuitResultFactory(
                    inspection=visit,
                    circuit=circuit,
                    ir_live_live=choose(READINGS),
                    ir_voltage_v=choose([None, 250, 500, 500]),
                    ir_live_earth=self.chance.choice([*EARTH, *FALLING[number : number + 1] * 9]),
                    zs=self.chance.choice([*ZS, *RISING[number : number + 1] * 9]),
                )
        for reason in self.random.sample(REASONS, self.random.randrange(3)):
            where = choose([{}, {"boards": [boards[0]]}, {"circuits": self.random.sample(circuits, 2)}])
            LimitationFactory(
                inspection=visit,
                reason=reason,
                tests=choose([["ir_live_live"], ["zs"]]),
                kind=LimitationKind.OPERATIONAL,
                **where,
            )
        for _ in range(self.random.randrange(3)):
            put_right = choose([None, day + timedelta(days=9)])
            ObservationFactory(
                inspection=visit,
                circuit=choose(circuits),
                code=choose([Code.C2, Code.C3, Code.FI, ""]),
                put_right_on=put_right,
                put_right_by="J. Marlow" if put_right else "",
            )

    def _load(self, circuit):
        since = self._day()
        state = self.random.choice([*LoadState.values, LoadState.IN_PLACE, LoadState.IN_PLACE])
        taken_out = (
            {"taken_out_on": TODAY, "taken_out_by": "J. Marlow"} if state == LoadState.TAKEN_OUT else {}
        )
        load = ParallelLoadFactory.build(
            circuit=circuit,
            since=since,
            state=state,
            state_since=self.random.choice([since, TODAY - timedelta(days=3)]),
            connection=self.random.choice(Connection.values),
            is_hidden=self.random.choice([True, False]),
            origin=self.random.choice(Origin.values),
            **self.random.choice(_KINDS),
            **taken_out,
        )
        load._history_user = self.random.choice([self.member, self.other_member, None])
        load.save()

    def _label(self, board):
        how = self.random.choice(["none", "waits", "stuck"])
        if how == "none":
            return
        label = print_label(
            board=board, at=datetime(2026, 11, 1, 9, tzinfo=UTC), on=date(2026, 11, 1), member=self.member
        )
        if how == "stuck":
            label.stuck_on, label.stuck_by = date(2026, 11, 2), self.member
            label.save()


def _firm_of(circuit: Circuit):
    return circuit.board.installation.client.firm


def there(circuit: Circuit) -> bool:
    return circuit.retired_on is None and circuit.board.retired_on is None


def _yes(value) -> str:
    return "yes" if value else "no"


def _seen(load: ParallelLoad, volts: int) -> bool:
    """Whether a live-live test sees it: not to earth, no open capacitor, no varistor at rest. A varistor of
    275 V a.c. has about 430 V at 1 mA (published), so at 500 V it conducts, at 250 V not; one of 440 V has
    about 715 V and is at rest at both."""
    if load.connection in ("L-E", "N-E"):
        return False
    if load.kind == LoadKind.CAPACITOR:
        return load.discharge_resistor_ohm is not None
    if load.kind == LoadKind.SURGE:
        return {275: volts == 500, 440: False}[load.rated_voltage_v]
    return True


def _label_of(load: ParallelLoad) -> str:
    if load.state not in (LoadState.IN_PLACE, LoadState.DISCONNECTED):
        return "-"
    labels = load.circuit.board.load_labels.filter(stuck_on__isnull=False)
    if not labels:
        return "none"
    across = ParallelLoad.objects.filter(
        circuit=load.circuit, state__in=[LoadState.IN_PLACE, LoadState.DISCONNECTED]
    ).order_by("pk")
    told = "; ".join(f"{one.in_brief()}, {one.place}" for one in across)
    line = f"{load.circuit.designation}: {told}"
    return "good" if line in labels.latest("stuck_on").text.split("\n") else "old"


def _register(firm):
    for load in ParallelLoad.objects.all():
        if _firm_of(load.circuit) == firm and there(load.circuit):
            yield load


def loads_in_the_way(firm, volts=500, client=None):
    """By key of the load: its place and what is chosen by."""
    return {
        load.pk: {
            "place": load.circuit.board.installation,
            "state": load.state,
            "label": _label_of(load),
            "hidden": _yes(load.is_hidden),
            "kind": load.kind,
        }
        for load in _register(firm)
        if load.state != LoadState.TAKEN_OUT
        and _seen(load, volts)
        and client in (None, load.circuit.board.installation.client)
    }


def _beyond_rating(load: ParallelLoad) -> bool:
    """230 V + 10 % = 253 V, × √3 between lines. 390 Ω takes 253²/390 = 164 W, more than 0.25 W. 47 kΩ takes
    253²/47000 = 1.4 W and 4.1 W between lines (438 V): its 3 W is passed there alone. A capacitor of 275 V is
    passed between lines, one of 220 V anywhere. None of the others has a rating that is calculated."""
    lines = load.connection == "L-L"
    if load.kind == LoadKind.RESISTOR:
        return load.resistance_ohm == 390 or lines
    if load.kind == LoadKind.CAPACITOR and load.rated_voltage_v:
        return load.rated_voltage_v == 220 or lines
    return False


def parts(firm, years=None):
    rows = {}
    for load in _register(firm):
        first = load.history.order_by("history_id").first()
        if years and load.since > TODAY.replace(year=TODAY.year - years):
            continue
        rows[load.pk] = {
            "place": load.circuit.board.installation,
            "state": load.state,
            "beyond": _yes(_beyond_rating(load)),
            "earth": _yes(load.capacitor_class[:1] == "X" and load.connection in ("L-E", "N-E")),
            "kind": load.kind,
            "part": " ".join(
                filter(None, (load.get_kind_display(), load.capacitor_class, load.value_text()))
            ),
            "class": load.capacitor_class or "-",
            "across": load.connection,
            "origin": load.origin,
            "by": str(first.history_user_id) if first.history_user_id else "-",
            "since": load.since,
        }
    return rows


def _circuits(firm):
    return [circuit for circuit in Circuit.objects.all() if _firm_of(circuit) == firm and there(circuit)]


def _visits(circuit):
    return sorted(
        Inspection.objects.filter(installation=circuit.board.installation, started_on__lte=TODAY),
        key=lambda visit: (visit.started_on, visit.pk),
    )


def _without(circuit) -> tuple[int, date | None]:
    """Inspections since the last full test and the day that count begins, from the bare results."""
    missed, since, begun = 0, None, False
    for visit in _visits(circuit):
        if visit.kind == InspectionKind.FAULT:
            continue
        result = CircuitResult.objects.filter(inspection=visit, circuit=circuit).first()
        if result is None and not begun:
            continue
        if not begun:
            begun, since = True, visit.started_on
        full = (
            result is not None
            and result.ir_live_live.text not in ("", "LIM")
            and result.ir_voltage_v in (None, 500)
        )
        missed, since = (0, visit.started_on) if full else (missed + 1, since)
    return missed, since


def _reason(circuit) -> str:
    found = "-"
    for visit in _visits(circuit):
        if visit.kind == InspectionKind.FAULT:
            continue
        for limitation in Limitation.objects.filter(inspection=visit).order_by("pk"):
            covers = (
                limitation.scope == "whole"
                or circuit.board in limitation.boards.all()
                or circuit in limitation.circuits.all()
            )
            stands = limitation.standing_answer != StandingAnswer.LIFTED
            if covers and stands and "ir_live_live" in limitation.tests:
                found = limitation.reason
    return found


def without_a_full_test(firm, visits=1, years=0):
    rows = {}
    for circuit in _circuits(firm):
        missed, since = _without(circuit)
        if not missed or missed < visits or (years and since > TODAY.replace(year=TODAY.year - years)):
            continue
        count = without_full_test(circuit.board, TODAY)[circuit.pk]
        rows[circuit.pk] = {
            "place": circuit.board.installation,
            "lift": "nothing" if not count.lifted_by else "untimed" if count.unknown_minutes else "timed",
            "reason": _reason(circuit),
            "since": since,
        }
    return rows


def unexplained(firm):
    rows = {}
    for circuit in _circuits(firm):
        last = None
        for visit in _visits(circuit):
            result = CircuitResult.objects.filter(inspection=visit, circuit=circuit).first()
            if result and result.ir_live_live.text not in ("", "LIM"):
                last = (visit, result)
        if last is None:
            continue
        visit, result = last
        if not any(one.circuit == circuit and one.is_unexplained for one in explanations_of(visit)):
            continue
        followed = any(
            seen.inspection.started_on >= visit.started_on or seen.put_right_on is None
            for seen in Observation.objects.filter(circuit=circuit)
        ) or any(
            load.state == LoadState.SUSPECTED or load.since >= visit.started_on
            for load in ParallelLoad.objects.filter(circuit=circuit)
        )
        if not followed:
            age = "new" if visit.started_on > date(2025, 11, 25) else "old"
            if date(2021, 11, 25) < visit.started_on <= date(2025, 11, 25):
                age = "year"
            rows[circuit.pk] = {
                "place": circuit.board.installation,
                "age": age,
                "volts": str(result.ir_voltage_v or "-"),
                "read_on": visit.started_on,
            }
    return rows


def falling_due(firm):
    """A list of what, on which day, and the key of what it is about."""
    rows = []
    for place in Installation.objects.all():
        if place.client.firm == firm and place.next_due_on:
            rows.append(("inspection", place.next_due_on, place.pk))
    for instrument in Instrument.objects.all():
        if instrument.firm == firm and instrument.calibrated_until:
            rows.append(("calibration", instrument.calibrated_until, instrument.pk))
    for seen in Observation.objects.all():
        of = seen.inspection.installation.client.firm
        if of == firm and seen.put_right_on is None and seen.code in ("C1", "C2", "FI"):
            rows.append((seen.code, seen.inspection.started_on, seen.pk))
    for board in Board.objects.filter(retired_on__isnull=True):
        if board.installation.client.firm == firm:
            rows += _label_due(board)
    return sorted((when, what, target) for what, when, target in rows)


def _label_due(board):
    loads = [load for load in ParallelLoad.objects.filter(circuit__board=board) if there(load.circuit)]
    present = [load for load in loads if load.state in (LoadState.IN_PLACE, LoadState.DISCONNECTED)]
    words = label_status(board).words
    if "waits to be stuck" in words:
        return [("label_waits", date(2026, 11, 1), board.pk)]
    if "out of date" in words:
        return [("label_old", max(load.state_since for load in loads), board.pk)] if loads else []
    if "no label at this board yet" in words:
        return [("label_none", min(load.since for load in present), board.pk)]
    due = board.installation.next_due_on
    return [("label_check", due, board.pk)] if "up to date" in words and present and due else []


def counts(rows, chosen, names):
    """By facet and key: how many rows there are under all that is chosen in the other facets."""
    told = {name: defaultdict(int) for name in names}
    for row in rows:
        for name in names:
            others = {other: keys for other, keys in chosen.items() if other != name}
            if all(row[other] in keys for other, keys in others.items()):
                told[name][row[name]] += 1
    return {name: dict(found) for name, found in told.items()}


def under(rows, chosen):
    return {pk: row for pk, row in rows.items() if all(row[name] in keys for name, keys in chosen.items())}
