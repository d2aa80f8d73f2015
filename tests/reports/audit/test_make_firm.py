"""The invented firm that the bench measures on."""

import io
from collections import Counter

import pytest
from django.core.management import CommandError, call_command

from inspections.models import Circuit, CircuitResult, Firm, Inspection
from inspections.rules.readings import Reading
from remedies.labels import label_status
from remedies.models import BoardLabel, ParallelLoad
from reports.audit.tables import (
    AuditMark,
    CircuitAudit,
    DueAudit,
    LoadAudit,
    PlaceAudit,
    TrendAudit,
    YearAudit,
)

pytestmark = pytest.mark.django_db


def make(seed=1, circuits=200):
    said = io.StringIO()
    call_command("make_firm", circuits=circuits, seed=seed, stdout=said)
    return Firm.objects.get(name=f"Invented firm {seed}"), said.getvalue()


def picture(firm):
    """All that the seed decides, without keys."""
    loads = ParallelLoad.objects.for_firm(firm).order_by("pk")
    results = CircuitResult.objects.for_firm(firm).order_by("pk")
    return (
        list(loads.values_list("kind", "since", "state", "place", "circuit__way", "is_hidden")),
        list(results.values_list("ir_live_live", "inspection__started_on", "circuit__description")),
    )


def test_as_many_circuits_as_asked_for_each_with_its_results_and_its_audit_worked_out():
    firm, said = make()

    circuits = Circuit.objects.for_firm(firm).count()
    assert 200 <= circuits < 200 + 36
    of_circuit = Counter(CircuitResult.objects.for_firm(firm).values_list("circuit", flat=True))
    assert len(of_circuit) == circuits
    assert set(of_circuit.values()) == {2, 4}
    assert f"{circuits:,} circuits in" in said
    assert not AuditMark.objects.exists()
    for table in (PlaceAudit, LoadAudit, CircuitAudit, DueAudit, TrendAudit, YearAudit):
        assert table.objects.for_firm(firm).exists()


def test_rows_are_such_as_people_could_have_entered():
    firm, _ = make()

    for model in (Circuit, CircuitResult, Inspection, ParallelLoad, BoardLabel):
        for row in model.objects.for_firm(firm)[:40]:
            row.full_clean()
    assert isinstance(CircuitResult.objects.first().ir_live_live, Reading)
    told = {label_status(label.board).brief for label in BoardLabel.objects.for_firm(firm)}
    assert told == {"up to date", "out of date"}


def test_the_same_seed_gives_the_same_record_and_another_seed_another():
    first, _ = make(seed=1)
    one = picture(first)
    second, _ = make(seed=2)

    assert picture(second) != one
    Firm.objects.filter(pk=first.pk).update(name="Renamed")
    # The same seed again, under other keys; its people have the addresses of the first.
    first.members.filter(email="office1@example.com").update(email="gone@example.com")
    for member in first.members.filter(email__startswith="inspector"):
        first.members.filter(pk=member.pk).update(email=f"was.{member.email}")
    again, _ = make(seed=1)
    assert picture(again) == one


def test_a_firm_that_is_there_is_not_made_twice():
    make(circuits=10)
    with pytest.raises(CommandError, match="Give another --seed"):
        make(circuits=10)


def test_nought_circuits_are_refused():
    with pytest.raises(CommandError, match="at least one circuit"):
        make(circuits=0)
