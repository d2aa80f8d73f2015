"""The kinds of report made from the same parts: what each is called, says of itself, and leaves out."""

from dataclasses import dataclass

from inspections.enums import InspectionKind
from reports.words import Content


@dataclass(frozen=True, slots=True)
class Variant:
    """title: of the report. asked: heading of what was ordered. asked_for: what is said where nobody wrote
    why. tells_condition: whether the outcome is satisfactory or not. headline: else, what stands in its
    place. declared: what the inspector declares, and reviewed: whoever issues it."""

    title: str
    asked: str
    asked_for: str
    tells_condition: bool
    headline: str
    declared: str
    reviewed: str


_REVIEWED = (
    "I have read this report against the readings and findings it rests on, and issue it on behalf of {firm}."
)

PERIODIC = Variant(
    title="Condition report",
    asked="What was asked",
    asked_for="To inspect and test the installation and report on the condition it is in.",
    tells_condition=True,
    headline="",
    declared=(
        "I inspected and tested this installation on the days named, to the extent and within the limits "
        "this report states, with reasonable skill and care. What it says is a true account of its condition "
        "on those days, held to {edition}."
    ),
    reviewed=_REVIEWED,
)
INITIAL = Variant(
    title="Initial verification of new work",
    asked="What was built",
    asked_for="To verify new electrical work before it is put into use.",
    tells_condition=False,
    headline="New work, inspected and tested before use",
    declared=(
        "I inspected and tested the new work described here while it was built and on completion. To the "
        "best of my knowledge, and but for what is listed under observations and limitations, it meets "
        "{edition}."
    ),
    reviewed=_REVIEWED,
)
ALTERATION = Variant(
    title="Verification of an alteration or addition",
    asked="What was altered or added",
    asked_for="To verify an alteration or addition to an installation already in use.",
    tells_condition=False,
    headline="Altered or added work, inspected and tested before use",
    declared=(
        "I inspected and tested the work described here on completion, and that what it relies on in the "
        "existing installation is fit for it. To the best of my knowledge, and but for what is listed under "
        "observations and limitations, the work meets {edition}. The rest of the installation was not part "
        "of it."
    ),
    reviewed=_REVIEWED,
)
FAULT = Variant(
    title="Fault visit report",
    asked="What was complained of",
    asked_for="To find and report on a fault.",
    tells_condition=False,
    headline="A fault visit: only what bears on the fault was looked at",
    declared=(
        "I looked into the fault described here to the extent and within the limits this report states. It "
        "is no account of the condition of the rest of the installation."
    ),
    reviewed=_REVIEWED,
)

_VARIANTS = {
    InspectionKind.PERIODIC: PERIODIC,
    InspectionKind.INITIAL: INITIAL,
    InspectionKind.ALTERATION: ALTERATION,
    InspectionKind.FAULT: FAULT,
}


def variant_of(content: Content) -> Variant:
    """The kind of report that a record makes."""
    return _VARIANTS[InspectionKind(content["inspection"]["kind"]["key"])]
