"""Which places have loads that a live-live insulation test sees: how many, of which kinds, hidden,
unlabelled, suspected, or disconnected and never put back."""

from collections import Counter, defaultdict
from collections.abc import Sequence

from django.db.models import Count, Exists, OuterRef, QuerySet

from remedies.cautions import BEFORE_500_V, COMPETENT
from remedies.enums import LoadKind, LoadState
from reports.audit.asked import Asked, Choice, Facet, Number, choices_of, yes_or_no
from reports.audit.bars import by_value
from reports.audit.question import Column, Link, Order, Question
from reports.audit.tables import Label, LoadAudit, PlaceAudit
from reports.audit.words import to_installation

_LOW, _HIGH = 250, 500
_STATES = (
    Choice(LoadState.IN_PLACE, "In place", LoadState.IN_PLACE),
    Choice(LoadState.DISCONNECTED, "Disconnected, never put back", LoadState.DISCONNECTED),
    Choice(LoadState.SUSPECTED, "Suspected, not found yet", LoadState.SUSPECTED),
)


def loads(asked: Asked) -> QuerySet:
    """Loads not taken out that the test sees at the voltage asked for."""
    seen = "seen_at_250" if asked.numbers.get("volts") == _LOW else "seen_at_500"
    states = [choice.value for choice in _STATES]
    return asked.rows(LoadAudit).filter(**{seen: True}, state__in=states)


def places(found: QuerySet, asked: Asked) -> QuerySet:
    """The places that any of the loads found lies in."""
    return asked.rows(PlaceAudit).filter(Exists(found.filter(installation=OuterRef("pk"))))


def count_loads(rows: Sequence[PlaceAudit], found: QuerySet) -> None:
    """Give each place its ``counts``: of the loads found there, by what they are."""
    by_place: dict[int, Counter] = defaultdict(Counter)
    grouped = found.filter(installation__in=[row.pk for row in rows]).order_by()
    for place, kind, state, hidden, label, number in grouped.values_list(
        "installation", "kind", "state", "is_hidden", "label"
    ).annotate(n=Count("*")):
        counts = by_place[place]
        counts["all"] += number
        counts["hidden"] += number if hidden else 0
        counts[f"state {state}"] += number
        counts[f"label {label}"] += number
        counts[f"kind {kind}"] += number
    for row in rows:
        row.counts = by_place[row.pk]


def _number(name):
    return lambda row, asked: row.counts[name]


def _any(name):
    return lambda row, asked: row.counts[name] > 0


def _kinds(row, asked) -> str:
    counts = {kind: row.counts[f"kind {kind}"] for kind in LoadKind.values}
    most = sorted(filter(counts.get, counts), key=lambda kind: -counts[kind])
    return "; ".join(f"{LoadKind(kind).label}{_times(counts[kind])}" for kind in most)


def _times(count: int) -> str:
    return f" × {count}" if count > 1 else ""


def _to_loads(row) -> Link:
    return Link("loads", row.pk)


QUESTION = Question(
    key="loads-in-the-way",
    title="Loads in the way of an insulation test",
    lead=(
        "Installations with loads across their circuits that an insulation test between live conductors "
        "sees: it reads them instead of the cable, or damages them."
    ),
    one="load in the register",
    several="loads in the registers",
    counts_places=True,
    numbers=(Number("volts", "Test voltage (V)", _LOW, _HIGH, default=_HIGH, only=(_HIGH, _LOW)),),
    facets=(
        Facet("state", "State", "state", _STATES),
        Facet("label", "Label at the board", "label", choices_of(Label.choices)),
        Facet("hidden", "Hidden", "is_hidden", yes_or_no("Hidden", "In sight")),
        Facet("kind", "Kind", "kind", choices_of(LoadKind.choices)),
    ),
    columns=(
        Column("Installation", 52, lambda row, asked: row.name, to_installation),
        Column("Client", 38, lambda row, asked: row.client_name),
        Column("Loads", 14, _number("all"), _to_loads, is_number=True),
        Column("Which", 72, _kinds),
        Column("Hidden", 16, _number("hidden"), is_number=True),
        Column("No label", 16, _number("label none"), None, _any("label none"), is_number=True),
        Column("Label out of date", 20, _number("label old"), None, _any("label old"), is_number=True),
        Column("Suspected", 20, _number("state suspected"), is_number=True),
        Column(
            "Never put back",
            20,
            _number("state disconnected"),
            None,
            _any("state disconnected"),
            is_number=True,
        ),
    ),
    orders={"name": Order("By name", ("name",))},
    base=loads,
    rows=places,
    attach=count_loads,
    figure=lambda found, asked: by_value(found, "kind", dict(LoadKind.choices), "Loads by kind"),
    cautions=(COMPETENT, BEFORE_500_V),
    notes=(
        "Counts beside the choices are of entries in the load registers; an entry may be of several parts "
        "alike.",
    ),
)
