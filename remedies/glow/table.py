"""The remedies of a case side by side, every value in words: for the page, the print and the record.

A row is kept with the worksheet when the case ends, so it holds nothing but texts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from remedies.glow.candidates import Candidate, compared, is_slow
from remedies.physics.comparison import Choice, Situation, rank, without_a_part
from remedies.physics.insulation_test import ExpectedReading
from remedies.physics.operating import Conditions
from remedies.physics.quantity import Span, duration, engineering, significant, span_text
from remedies.physics.remedy import Darkness, Evaluation
from remedies.physics.stray_voltage import Source


@dataclass(frozen=True)
class Remedy:
    """One remedy. ``key`` is empty where there is no part, ``state`` says in a few words how it stands.
    ``brief`` is the title as a label has it.

    lamp: across the lamp when off, ``lamp_range`` over all that is not known. current, power: when on, at
    nominal and at the highest voltage. share: of the rating used. earth: share of the RCD's rating that
    flows to earth. at_250, at_500: what an insulation test then shows. before: what it means for that test.
    """

    title: str
    state: str
    reasons: tuple[str, ...]
    key: str = ""
    brief: str = ""
    whose: str = ""
    refused: bool = False
    serves: bool = True
    lamp: str = ""
    lamp_range: str = ""
    margin: str = ""
    current: str = ""
    current_highest: str = ""
    power: str = ""
    power_highest: str = ""
    energy: str = ""
    cost: str = ""
    share: str = ""
    case: str = ""
    case_limit: str = ""
    peak: str = ""
    discharge: str = ""
    earth: str = ""
    at_250: str = ""
    at_500: str = ""
    before: str = ""
    failure: str = ""
    cautions: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()

    @property
    def can_be_fitted(self) -> bool:
        return bool(self.key) and not self.refused and self.serves and self.state != NOT_CALCULATED


REFUSED, NOT_CALCULATED, NO_PART = "Refused", "Not calculated yet", "Leaves nothing across"
_STATES = {
    Darkness.DARK: "Stays dark",
    Darkness.UNCERTAIN: "May glow still",
    Darkness.GLOWS: "Goes on glowing",
}


def remedies(
    parts: Sequence[Candidate],
    sources: tuple[Source, ...],
    given: Conditions,
    situation: Situation,
    *,
    with_slow: bool = True,
    chosen: str = "",
) -> tuple[Remedy, ...]:
    """Every remedy, best first: those without a part where they serve, then parts, refused ones last.

    with_slow: also neons that strike, which take the better part of a second; else they come last of all,
    not calculated, but for the one chosen.
    """
    wanted = [one for one in parts if with_slow or one.key == chosen]
    later = [one for one in parts if one not in wanted and is_slow(one.part, sources, given)]
    now = [one for one in parts if one not in later]
    pairs = [(one, compared(one.part, sources, given)) for one in now]
    return (
        *without_parts(situation),
        *(_of_part(one, choice, given) for one, choice in sorted(pairs, key=lambda pair: rank(pair[1]))),
        *(_waiting(one) for one in later),
    )


def without_parts(situation: Situation) -> tuple[Remedy, ...]:
    """The remedies that leave nothing across the circuit."""
    return tuple(Remedy(choice.title, NO_PART, choice.reasons) for choice in without_a_part(situation))


def _waiting(one: Candidate) -> Remedy:
    reason = "The stray voltage strikes it. What it then leaves across the lamp takes a moment to calculate."
    return Remedy(
        one.load.describe(),
        NOT_CALCULATED,
        (reason,),
        key=one.key,
        brief=one.load.in_brief(),
        whose=one.whose,
    )


def _of_part(one: Candidate, choice: Choice, given: Conditions) -> Remedy:
    found = choice.evaluation
    assert found is not None  # a candidate is always a part
    return Remedy(
        title=one.load.describe(),
        state=REFUSED if found.refused else _STATES[found.darkness],
        reasons=choice.reasons,
        key=one.key,
        brief=one.load.in_brief(),
        whose=one.whose,
        refused=found.refused,
        serves=found.darkness is not Darkness.GLOWS,
        lamp=f"{significant(found.lamp_v.typical)} V",
        lamp_range=_lamp_range(found.lamp_v),
        margin=f"× {significant(found.margin, 2)}",
        current=engineering(found.nominal.current_a, "A"),
        current_highest=engineering(found.highest.current_a, "A"),
        power=engineering(found.nominal.power_w, "W"),
        power_highest=engineering(found.highest.power_w, "W"),
        energy=engineering(found.energy_kwh * 1000, "Wh"),
        cost="" if found.cost is None else f"{found.cost:.2f}",
        share=_percent(found.rating_share),
        case=_case(found),
        case_limit="" if found.case_c is None else f"limit {significant(given.touch_limit_c)} °C",
        peak=f"{significant(found.peak_v)} V",
        discharge=_discharge(found),
        earth=_earth(found, given),
        at_250=_shows(found.insulation[250.0]),
        at_500=_shows(found.insulation[500.0]),
        before="Disconnect first" if found.disconnect_first else "May stay in",
        failure=found.failure,
        cautions=found.cautions,
        working=found.working,
        assumptions=found.assumptions,
    )


def _lamp_range(span: Span) -> str:
    return "" if span.low == span.high else f"{significant(span.low)} to {significant(span.high)} V"


def _percent(share: float | None) -> str:
    return "not rated" if share is None else f"{significant(share * 100, 2)} %"


def _case(found: Evaluation) -> str:
    if found.case_c is None:
        return "not estimated" if found.refused else "no rise"
    return f"{span_text(found.case_c, lambda degrees: f'{degrees:.0f}')} °C"


def _discharge(found: Evaluation) -> str:
    if found.discharge_s is not None:
        return span_text(found.discharge_s, duration)
    return "never by itself" if found.part.charging_f is not None else "no charge"


def _earth(found: Evaluation, given: Conditions) -> str:
    if not found.residual_a and not given.standing_a:
        return "none"
    return f"{significant((found.residual_a + given.standing_a) / given.rcd_rated_a * 100, 2)} %"


def _shows(reading: ExpectedReading) -> str:
    return f"{reading.text} MΩ"


def chosen_of(rows: Iterable[Remedy], key: str) -> Remedy | None:
    """The row of a key; None where no row has it."""
    return next((row for row in rows if key and row.key == key), None)


def from_record(entries: Iterable[dict]) -> tuple[Remedy, ...]:
    """Rows as they were kept with a worksheet."""
    return tuple(
        Remedy(**{name: tuple(value) if isinstance(value, list) else value for name, value in entry.items()})
        for entry in entries
    )
