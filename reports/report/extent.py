"""What was asked, how far the inspection went, and what it could not reach."""

from collections.abc import Iterator

from inspections.enums import LimitationKind
from reports import words
from reports.pdf.page import Frame, Piece, Section, space
from reports.report.blocks import BODY, QUIET, STRONG, between, paragraphs, part, text_width_beside
from reports.report.variants import Variant
from reports.words import Content

_NONE = "None: everything within the extent was inspected and tested."
_KINDS = (
    (LimitationKind.AGREED, "Agreed with the client beforehand"),
    (LimitationKind.OPERATIONAL, "Operational, met on the day"),
)


def extent(content: Content, variant: Variant, frame: Frame) -> Iterator[Section]:
    """Sections: what was asked, the extent, the limitations."""
    width, inspection = text_width_beside(frame), content["inspection"]
    yield part(variant.asked, paragraphs(inspection["reason"] or variant.asked_for, BODY, width), frame)
    yield part("Extent", paragraphs(inspection["extent"] or "Not entered.", BODY, width), frame)
    yield part("Limitations", _limitations(content, width), frame)


def _limitations(content: Content, width: float) -> tuple[Piece, ...]:
    standing = [one for one in content["limitations"] if one["standing_answer"]["key"] != "lifted"]
    lifted = [one for one in content["limitations"] if one["standing_answer"]["key"] == "lifted"]
    pieces: list[Piece] = []
    if not standing:
        pieces += paragraphs(_NONE, BODY, width)
    for kind, heading in _KINDS:
        of_kind = [one for one in standing if one["kind"]["key"] == kind]
        if of_kind:
            pieces += (
                *QUIET.pieces(heading, width, keep=True),
                space(2, keep=True),
            )
        for limitation in of_kind:
            pieces += _limitation(limitation, width)
    for limitation in lifted:
        pieces += _lifted(limitation, width)
    return tuple(pieces)


def _limitation(limitation: Content, width: float) -> Iterator[Piece]:
    tests = ", ".join(limitation["tests_words"])
    yield from STRONG.pieces(f"{limitation['number']}. {tests} – {limitation['where']}", width, keep=True)
    yield from BODY.pieces(limitation["reason"], width, keep=True)
    yield from QUIET.pieces(_how_it_stands(limitation), width)
    yield between(5)


def _how_it_stands(limitation: Content) -> str:
    said = []
    if limitation["agreed_with"]:
        agreed = (
            f"Agreed with {limitation['agreed_with']}",
            words.day(limitation["agreed_on"]),
            words.continued(limitation["agreed_how"]),
        )
        said.append(", ".join(filter(None, agreed)))
    if limitation["visits"] > 1:
        visits = words.counted(limitation["visits"], "visit")
        said.append(f"Standing since {words.day(limitation['since'])}, over {visits}")
    elif limitation["is_standing"]:
        said.append("Stands until it is lifted")
    else:
        said.append("For this visit")
    return ". ".join(said) + "."


def _lifted(limitation: Content, width: float) -> Iterator[Piece]:
    yield from QUIET.pieces(
        f"Lifted at this visit: {', '.join(limitation['tests_words'])} – {limitation['where']}, which stood "
        f"since {words.day(limitation['since'])}.",
        width,
    )
    yield between(4)
