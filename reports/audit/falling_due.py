"""What falls due across the firm: inspections, labels, calibrations, and C1, C2 and FI still open."""

from datetime import timedelta

from django.db.models import QuerySet

from inspections.views.today import DUE_WITHIN_DAYS
from reports.audit.asked import Asked, Facet, choices_of
from reports.audit.bands import bands
from reports.audit.bars import by_month
from reports.audit.question import Column, Link, Order, Question
from reports.audit.tables import Due, DueAudit
from reports.audit.words import in_years, to_installation, years_before

_WHEN = (
    ("year", "Waiting for over a year"),
    ("late", "Waiting, or overdue"),
    ("soon", f"Within {DUE_WITHIN_DAYS} days"),
    ("later", "Later"),
)
_PAGE_OF = {
    Due.INSPECTION: "installation",
    Due.CALIBRATION: "instrument_change",
    Due.C1: "observation_put_right",
    Due.C2: "observation_put_right",
    Due.FI: "observation_put_right",
}
_TOLD_IN_YEARS = 730  # days: from two years on the single day says nothing


def due(asked: Asked) -> QuerySet:
    """Everything that falls due or waits."""
    return asked.rows(DueAudit).annotate(
        when=bands(
            "on",
            ("year", "lt", years_before(asked.day, 1)),
            ("late", "lte", asked.day),
            ("soon", "lte", asked.day + timedelta(days=DUE_WITHIN_DAYS)),
            otherwise="later",
        )
    )


def _waits(row, asked) -> str:
    days = (asked.day - row.on).days
    if days == 0:
        return "today"
    if abs(days) >= _TOLD_IN_YEARS:
        told = f"{in_years(abs(days))} years"
    else:
        told = "1 day" if abs(days) == 1 else f"{abs(days)} days"
    return f"for {told}" if days > 0 else f"in {told}"


def _is_late(row, asked) -> bool:
    return row.on <= asked.day


def _to_place(row) -> Link | None:
    return to_installation(row) if row.installation_id else None


def _to_target(row) -> Link:
    return Link(_PAGE_OF.get(Due(row.what), "board_label"), row.target)


QUESTION = Question(
    key="falling-due",
    title="What falls due",
    lead="Inspections, labels, calibrations, and observations still open, soonest first.",
    one="thing",
    several="things",
    numbers=(),
    facets=(
        Facet("when", "When", "when", choices_of(_WHEN)),
        Facet("what", "What", "what", choices_of(Due.choices)),
    ),
    columns=(
        Column("Due, or waiting since", 32, lambda row, asked: row.on),
        Column("Waits", 26, _waits, None, _is_late),
        Column("What", 48, lambda row, asked: Due(row.what).label, _to_target),
        Column("Installation", 56, lambda row, asked: row.place, _to_place),
        Column("Of what", 100, lambda row, asked: row.subject),
    ),
    orders={"soonest": Order("Soonest first", ("on",))},
    base=due,
    figure=lambda found, asked: by_month(found, "on", "Due, month by month", asked.day),
    notes=(
        "An observation waits from the visit that made it; a label to print from the day its loads were "
        "there or changed; a label up to date is checked when the installation is next inspected.",
    ),
)
