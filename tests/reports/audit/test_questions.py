"""Every question of the audit against the answer worked out row by row, over random records of two firms."""

import random
from collections import Counter
from dataclasses import replace

import pytest

from reports.audit import (
    falling_due,
    getting_worse,
    insulation_and_zs,
    loads_in_the_way,
    parts,
    unexplained,
    without_full_test,
)
from reports.audit.asked import Asked
from reports.audit.question import OPEN_CHOICES, answer, every_row
from reports.audit.tables import NEVER, AuditMark
from reports.audit.work_out import bring_up_to_date
from tests.reports.audit import readings, records
from tests.reports.audit.records import TODAY

pytestmark = pytest.mark.django_db
SEEDS = (1, 2, 3)


@pytest.fixture(params=SEEDS)
def firm(request):
    """A firm with a random record, beside another firm with one."""
    ours = records.Firm(request.param)
    records.Firm(request.param + 100)
    for firm in (ours.firm, *type(ours.firm).objects.exclude(pk=ours.firm.pk)):
        assert bring_up_to_date(firm, TODAY) == 0
    assert not AuditMark.objects.exists()
    return ours.firm


@pytest.fixture(params=(5, 6))
def often_read(request):
    """A firm whose places were read up to six times, beside another firm with one."""
    ours = records.Firm(request.param, places=3, most_visits=6)
    records.Firm(request.param + 100)
    bring_up_to_date(ours.firm, TODAY)
    return ours.firm


def shown_counts(found):
    """The counts of the page that are not naught, by facet and key."""
    return {
        facet.name: {one.choice.key: one.count for one in counted if one.count}
        for facet, counted in found.facets
    }


def choices_of_rows(rows, names, seed):
    """Nothing, one value of one facet, and two values of each of two facets, of those that rows hold."""
    chance = random.Random(seed)
    held = {name: sorted({row[name] for row in rows.values()}) for name in names}
    held = {name: values for name, values in held.items() if values}
    yield {}
    for name, values in held.items():
        yield {name: (chance.choice(values),)}
    for _ in range(4):
        two = chance.sample(sorted(held), min(2, len(held)))
        yield {name: tuple(chance.sample(held[name], min(2, len(held[name])))) for name in two}


def check(question, asked, rows, key=lambda row: row.pk):
    """The page, its total and all its counts against ``rows``, under many choices."""
    names = [facet.name for facet in question.facets]
    assert rows, "the seed makes no row to find"
    for chosen in choices_of_rows(rows, names, seed=7):
        wanted = records.under(rows, chosen)
        now = replace(asked, chosen=chosen)
        found = answer(question, now)
        assert found.total == len(wanted), chosen
        expected = {
            name: counts for name, counts in records.counts(rows.values(), chosen, names).items() if counts
        }
        for name, counts in shown_counts(found).items():
            if len(expected[name]) > OPEN_CHOICES:
                assert counts.items() <= expected[name].items(), (chosen, name)
            else:
                assert counts == expected[name], (chosen, name)
        yield now, wanted, list(every_row(question, now))


@pytest.mark.parametrize("volts", [250, 500])
def test_loads_in_the_way(firm, volts):
    asked = Asked(firm, TODAY, numbers={"volts": volts})
    for _, wanted, rows in check(
        loads_in_the_way.QUESTION, asked, records.loads_in_the_way(firm, volts=volts)
    ):
        places = sorted({row["place"] for row in wanted.values()}, key=lambda place: (place.name, place.pk))
        assert [row.pk for row in rows] == [place.pk for place in places]
        by_place = Counter(row["place"].pk for row in wanted.values())
        assert {row.pk: row.counts["all"] for row in rows} == by_place
        for name in ("none", "old"):
            count = Counter(row["place"].pk for row in wanted.values() if row["label"] == name)
            assert {
                row.pk: row.counts[f"label {name}"] for row in rows if row.counts[f"label {name}"]
            } == count
        never = Counter(row["place"].pk for row in wanted.values() if row["state"] == "disconnected")
        assert Counter({row.pk: row.counts["state disconnected"] for row in rows}) == never


def test_loads_in_the_way_of_one_client(firm):
    client = firm.clients.first()
    asked = Asked(firm, TODAY, numbers={"volts": 500}, client=client.pk)
    for *_, rows in check(loads_in_the_way.QUESTION, asked, records.loads_in_the_way(firm, client=client)):
        assert {row.client_id for row in rows} <= {client.pk}


@pytest.mark.parametrize("years", [None, 5])
def test_where_a_part_is(firm, years):
    asked = Asked(firm, TODAY, numbers={"years": years})
    for _, wanted, rows in check(parts.QUESTION, asked, records.parts(firm, years)):
        by_place = sorted(wanted, key=lambda pk: (wanted[pk]["place"].name, pk))
        assert [row.pk for row in rows] == by_place


@pytest.mark.parametrize(("visits", "years"), [(1, None), (2, None), (1, 4)])
def test_without_a_full_test(firm, visits, years):
    asked = Asked(firm, TODAY, numbers={"visits": visits, "years": years})
    expected = records.without_a_full_test(firm, visits, years or 0)
    if not expected:
        assert answer(without_full_test.QUESTION, asked).total == 0
        return
    for _, wanted, rows in check(without_full_test.QUESTION, asked, expected):
        assert [row.pk for row in rows] == sorted(wanted, key=lambda pk: (wanted[pk]["since"], pk))


def test_unexplained_readings(firm):
    for _, wanted, rows in check(unexplained.QUESTION, Asked(firm, TODAY), records.unexplained(firm)):
        assert [row.pk for row in rows] == sorted(wanted, key=lambda pk: (wanted[pk]["read_on"], pk))
        assert all(row.unexplained_since <= row.read_on for row in rows)


def test_what_falls_due(firm):
    found = answer(falling_due.QUESTION, Asked(firm, TODAY))
    expected = records.falling_due(firm)

    rows = list(every_row(falling_due.QUESTION, Asked(firm, TODAY)))

    assert sorted((row.on, row.what, row.target) for row in rows) == expected
    assert [row.on for row in rows] == sorted(row.on for row in rows)
    assert found.total == len(expected)
    assert shown_counts(found)["what"] == Counter(what for _, what, _ in expected)
    for what in {what for _, what, _ in expected}:
        one = answer(falling_due.QUESTION, Asked(firm, TODAY, chosen={"what": (what,)}))
        assert one.total == sum(what == other for _, other, _ in expected)
        assert shown_counts(one)["what"] == Counter(what for _, what, _ in expected)
    late = answer(falling_due.QUESTION, Asked(firm, TODAY, chosen={"when": ("year", "late")}))
    assert late.total == sum(day <= TODAY for day, *_ in expected)


def test_insulation_and_zs_by_place_and_year(often_read):
    expected = readings.years_of_places(often_read)
    assert sum(row["towards_count"] for row in expected.values())
    for _, wanted, rows in check(insulation_and_zs.QUESTION, Asked(often_read, TODAY), expected):
        order = sorted(wanted, key=lambda key: (wanted[key]["place"].name, key[0], -key[1]))
        assert [(row.installation_id, row.year) for row in rows] == order
        for row in rows:
            one = wanted[row.installation_id, row.year]
            assert (row.circuits, row.fallen, row.towards, row.zs_percent) == (
                one["circuits"],
                one["fallen_count"],
                one["towards_count"],
                one["zs_percent"],
            )
            for test, name in (("ir_live_earth", "live_earth"), ("ir_live_live", "live_live")):
                assert said(getattr(row, name)) == one[test]
                assert said(getattr(row, f"{name}_median")) == one[f"{test} median"]


def said(text):
    """The ends that a figure of the page names."""
    if " to " in text:
        return tuple(float(end) for end in text.split(" to "))
    return readings.ends(text)


def test_readings_that_get_worse(often_read):
    expected = readings.getting_worse(often_read)
    assert {row["line"] != "none" for row in expected.values()} == {True, False}
    for _, wanted, rows in check(getting_worse.QUESTION, Asked(often_read, TODAY), expected):
        assert {(row.circuit_id, row.test) for row in rows} == set(wanted)
        assert [row.percent for row in rows] == sorted((row.percent for row in rows), reverse=True)
        for row in rows:
            one = wanted[row.circuit_id, row.test]
            assert (row.percent, row.reading, row.was) == (one["percent"], one["reading"], one["was"])
            ahead = one["ahead"]
            assert (row.meets_on, row.meets_from, row.meets_until) == (
                (ahead.on, ahead.earliest, ahead.latest) if ahead else (NEVER, None, None)
            )


def test_one_place_alone(firm):
    for question, rows in (
        (insulation_and_zs.QUESTION, readings.years_of_places(firm)),
        (parts.QUESTION, records.parts(firm)),
    ):
        place = next(iter(rows.values()))["place"]
        found = answer(question, Asked(firm, TODAY, place=place.pk))
        assert found.total == sum(row["place"] == place for row in rows.values())
