"""Insulation and Zs of random records year by year, and which got worse, one reading at a time: the readings
as texts, the limits by hand, and nothing of how the audit works them out."""

from math import ceil, inf
from statistics import median_low

from inspections.models import CircuitResult, Inspection, Installation
from inspections.rules.forecast import forecast
from tests.reports.audit.records import TODAY, there

# BS 7671 Table 64: 1 MΩ up to 500 V. B32 by hand: 230 V × 0.95 ÷ (5 × 32 A) = 1.365625 Ω.
LEAST_MOHM, B32_OHM = 1.0, 230 * 0.95 / 160
TESTS = ("ir_live_earth", "ir_live_live", "zs")


def ends(text):
    """From where to where a reading surely lies; None where it is no number."""
    if text.startswith(">"):
        return float(text[1:]), inf
    if text.startswith("<"):
        return 0.0, float(text[1:])
    return (float(text), float(text)) if text[:1].isdigit() else None


def limit_of(circuit, test):
    if test != "zs":
        return LEAST_MOHM
    return B32_OHM if circuit.device_type == "B" else None


def percent(text, limit, test):
    value = float(text.lstrip("<>"))
    used = value / limit if test == "zs" else limit / value if value else inf
    return min(ceil(round(100 * used, 9)), 9999) if used < inf else 9999


def history(circuit, test):
    """Day, text, voltage and Ze of each measured reading, oldest first."""
    read = []
    visits = Inspection.objects.filter(installation=circuit.board.installation, started_on__lte=TODAY)
    for visit in sorted(visits, key=lambda visit: (visit.started_on, visit.pk)):
        for result in CircuitResult.objects.filter(inspection=visit, circuit=circuit):
            text = getattr(result, test).text
            if ends(text):
                read.append((visit.started_on, text, result.ir_voltage_v, visit.ze.text))
    return read


def got_worse(read, test):
    """The reading before, where the last of those given is worse by more than weather and instruments."""
    (*_, last) = read
    earlier = [one for one in read if one[0] < last[0]]
    if not earlier:
        return None
    before = earlier[-1]
    if test != "zs":
        half = ends(last[1])[1] < ends(before[1])[0] / 2
        return before if half and last[2] == before[2] else None
    if not (last[1][0].isdigit() and before[1][0].isdigit()):
        return None
    now, then = float(last[1]), float(before[1])
    supply = float(last[3]) - float(before[3]) if last[3] and before[3] else 0
    return before if round(now - then - supply - max(0.1, 0.2 * then), 9) > 0 else None


def line(read, test, limit):
    """The line through exact readings, of insulation at the last one's voltage, that the last ends."""
    from decimal import Decimal

    (*_, last) = read
    if limit is None or not last[1][0].isdigit():
        return None
    if (float(last[1]) > limit) if test == "zs" else (float(last[1]) < limit):
        return None
    points = [
        (day, Decimal(text))
        for day, text, volts, _ in read
        if text[0].isdigit() and (test == "zs" or volts == last[2]) and (day < last[0] or text is last[1])
    ]
    found = forecast(points, Decimal(str(limit)), may_go_by_share=test != "zs")
    return found if found and found.on.year <= last[0].year + 10 else None


def circuits_of(place):
    return [circuit for board in place.boards.all() for circuit in board.circuits.all() if there(circuit)]


def figure(pairs, pick):
    """The lowest or the median of readings, as it is said."""
    low, high = pick([low for low, _ in pairs]), pick([high for _, high in pairs])
    return low, high


def years_of_places(firm):
    """By place and year: what the page shows and is chosen by."""
    rows = {}
    for place in Installation.objects.all():
        if place.client.firm == firm:
            rows |= {(place.pk, year): row for year, row in _years(place)}
    return rows


def _years(place):
    read = {(c, test): history(c, test) for c in circuits_of(place) for test in TESTS}
    every = sorted({day.year for taken in read.values() for day, *_ in taken})
    for year in every:
        of_year = {
            key: [one for one in taken if one[0].year <= year]
            for key, taken in read.items()
            if any(one[0].year == year for one in taken)
        }
        row = {"place": place, "latest": "yes" if year == every[-1] else "no", "year": str(year)}
        row["circuits"] = len({circuit for circuit, _ in of_year})
        for test in TESTS[:2]:
            pairs = [ends(taken[-1][1]) for (_, of), taken in of_year.items() if of == test]
            row[test] = figure(pairs, min) if pairs else None
            row[f"{test} median"] = figure(pairs, median_low) if pairs else None
        shares = [
            percent(taken[-1][1], limit_of(circuit, "zs"), "zs")
            for (circuit, test), taken in of_year.items()
            if test == "zs" and limit_of(circuit, "zs")
        ]
        row["zs_percent"] = max(shares, default=0)
        ups = {
            key: [taken[: n + 1] for n, one in enumerate(taken) if one[0].year == year]
            for key, taken in of_year.items()
        }
        row["fallen_count"] = len({c for (c, t), ends_ in ups.items() if any(got_worse(u, t) for u in ends_)})
        row["towards_count"] = len(
            {c for (c, t), ends_ in ups.items() if any(line(u, t, limit_of(c, t)) for u in ends_)}
        )
        row |= {
            "lowest": _band(row["ir_live_earth"]),
            "zs": _used(row["zs_percent"]),
            "fallen": "yes" if row["fallen_count"] else "no",
            "towards": "yes" if row["towards_count"] else "no",
        }
        yield year, row


def _band(lowest):
    if lowest is None:
        return "none"
    low = lowest[0]
    return "under 1" if low < 1 else "under 10" if low < 10 else "under 100" if low < 100 else "more"


def _used(share):
    return "over" if share > 100 else "near" if share > 80 else "within" if share else "none"


def getting_worse(firm):
    """By circuit and test: what the page shows and is chosen by."""
    rows = {}
    for place in Installation.objects.all():
        if place.client.firm != firm:
            continue
        for circuit in circuits_of(place):
            for test in TESTS:
                read, limit = history(circuit, test), limit_of(circuit, test)
                before = got_worse(read, test) if read else None
                ahead = line(read, test, limit) if read else None
                if not (before or ahead):
                    continue
                share = percent(read[-1][1], limit, test) if limit else 0
                rows[circuit.pk, test] = {
                    "place": place,
                    "test": test,
                    "now": _used(share),
                    "changed": "yes" if before else "no",
                    "line": _when(ahead),
                    "percent": share,
                    "reading": read[-1][1],
                    "was": (before or next(one for one in reversed(read) if one[0] < read[-1][0]))[1],
                    "ahead": ahead,
                }
    return rows


def _when(ahead):
    if ahead is None:
        return "none"
    days = (ahead.on - TODAY).days
    return "past" if days <= 0 else "two" if days <= 730 else "five" if days <= 1826 else "later"
