"""How insulation and Zs of a place went over the years, and which readings of its circuits got worse: rows of
the audit, worked out from the readings."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_CEILING

from inspections import checking
from inspections.rules import edition, trend
from inspections.rules.facts import Case, PastResult, SupplyFacts
from inspections.rules.figures import plain, two_places
from inspections.rules.readings import Reading, Relation
from inspections.rules.spread import Between, between, lowest, middle
from reports.audit.batch import Place
from reports.audit.tables import NEVER, Test, TrendAudit, YearAudit

MOST_PERCENT = 9_999  # what a reading of nothing, or a hundred times its limit, uses
INSULATION = {Test.LIVE_EARTH: "live_earth", Test.LIVE_LIVE: "live_live"}


@dataclass
class _Year:
    """Of each test, by circuit id: what was read last in the year."""

    read: dict[Test, dict[int, Between]] = field(default_factory=lambda: defaultdict(dict))
    zs_shares: dict[int, tuple[int, Reading]] = field(default_factory=dict)
    fallen: set[int] = field(default_factory=set)
    towards: set[int] = field(default_factory=set)


def over_years(place: Place) -> tuple[list[YearAudit], list[TrendAudit]]:
    """The rows of a place, held to the rule set it names today. Raises EditionError where it is not there."""
    rules = edition.load(place.installation.rule_set)
    supplies = {visit.pk: checking.supply_facts(visit) for visit in place.visits}
    years: dict[int, _Year] = defaultdict(_Year)
    trends = []
    for pk in place.circuits:
        cases = list(_cases(place, pk, rules, supplies))
        for test in Test:
            found = _Followed(test, pk, cases, years).last
            if found:
                trends.append(
                    TrendAudit(**place.of_firm, circuit_id=pk, place=place.name, test=test, **found)
                )
    latest = max(years, default=None)
    rows = [
        YearAudit(
            **place.of_firm, place=place.name, year=year, is_latest=year == latest, **_columns(years[year])
        )
        for year in sorted(years)
    ]
    return rows, trends


def _cases(
    place: Place, circuit: int, rules: edition.Edition, supplies: Mapping[int, SupplyFacts]
) -> Iterator[Case]:
    """Each result of a circuit as what it is judged by, with those before it."""
    facts, past = None, ()
    for visit, result in place.batch.results[circuit]:
        facts = facts or checking.circuit_facts(place.circuits[circuit], place.installation)
        readings, supply = checking.circuit_readings(result), supplies[visit.pk]
        yield Case(facts, readings, rules, supply, past=past, on=visit.started_on)
        past = (*past, PastResult(visit.started_on, readings, supply.ze_ohm))


class _Followed:
    """One test of one circuit from result to result; ``last`` is what the last reading says, where it got
    worse."""

    def __init__(self, test: Test, circuit: int, cases: Sequence[Case], years: dict[int, _Year]):
        self.test, self.last = test, {}
        read = [case for case in cases if getattr(case.readings, test).is_measured]
        # Neither the device nor the supply is asked again for each result: both are as the record has them.
        self.limit = trend.limit_of(read[-1], test) if read else None
        for number, case in enumerate(read):
            reading = getattr(case.readings, test)
            year = years[case.on.year]
            year.read[test][circuit] = between(reading)
            if test == Test.ZS and self.limit is not None:
                year.zs_shares[circuit] = (self._percent(reading), reading)
            if number == 0:
                continue
            before = self._before(case)
            ahead = trend.towards(case, test, self.limit) if self.limit is not None and number > 1 else None
            if before:
                year.fallen.add(circuit)
            if ahead:
                year.towards.add(circuit)
            if case is read[-1] and (before or ahead):
                self.last = self._columns(case, reading, before, ahead)

    def _before(self, case: Case) -> tuple[PastResult, Reading] | None:
        """The reading before, where this one is worse by more than weather and instruments account for."""
        if self.test == Test.ZS:
            risen = trend.rise(case)
            return (risen.past, risen.past.readings.zs) if risen else None
        before = trend.fallen(case, self.test)
        return before if before and trend.is_at_the_same_voltage(case, before[0]) else None

    def _columns(self, case: Case, reading: Reading, before, ahead) -> dict:
        past, was = before or trend.last_measured(case, self.test)
        volts = case.readings.ir_voltage_v if self.test in INSULATION else None
        told = {
            "volts": volts and int(volts),
            "was": was.text,
            "was_on": past.on,
            "reading": reading.text,
            "read_on": case.on,
            "has_changed": before is not None,
            "limit": self._limit_in_words(),
            "percent": self._percent(reading) if self.limit is not None else 0,
            "readings": len(trend.points(case, case.on, self.test)),
        }
        if ahead:
            told |= {
                "meets_on": min(ahead.on, NEVER),
                "meets_from": ahead.earliest,
                "meets_until": ahead.latest,
                "by_share": ahead.by_share,
            }
        return told

    def _limit_in_words(self) -> str:
        if self.limit is None:
            return ""
        return two_places(self.limit) if self.test == Test.ZS else plain(self.limit)

    def _percent(self, reading: Reading) -> int:
        """The share of the limit that a reading uses, rounded up, so that 100 % is still within."""
        used, whole = (reading.value, self.limit) if self.test == Test.ZS else (self.limit, reading.value)
        if not whole or used >= whole * MOST_PERCENT / 100:
            return MOST_PERCENT
        return int((100 * used / whole).to_integral_value(ROUND_CEILING))


def _columns(year: _Year) -> dict:
    told = {
        "circuits": len({pk for read in year.read.values() for pk in read}),
        "fallen": len(year.fallen),
        "towards": len(year.towards),
    }
    for test, name in INSULATION.items():
        read = year.read.get(test)
        if read:
            least = lowest(list(read.values()))
            told |= {
                name: str(least),
                f"{name}_median": str(middle(list(read.values()))),
                f"{name}_mohm": float(least.low),
                f"{name}_of": min(read, key=lambda pk: (read[pk], pk)),
            }
    if year.zs_shares:
        pk, (percent, reading) = max(year.zs_shares.items(), key=lambda item: (item[1][0], -item[0]))
        sign = "" if reading.relation is Relation.EQUAL else reading.relation.value
        told |= {"zs": f"{sign}{percent} %", "zs_percent": percent, "zs_of": pk}
    return told
