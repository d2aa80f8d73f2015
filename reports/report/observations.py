"""Observations by urgency: what is wrong, where, and what it looks like."""

from collections.abc import Iterator, Mapping
from itertools import groupby

from inspections.enums import Code
from reports import words
from reports.pdf.blocks import Lines
from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    FAINT,
    HAIR,
    INK,
    RULE,
    SMALL,
    Frame,
    Piece,
    Placed,
    Section,
    space,
)
from reports.pdf.tags import SELF
from reports.report.blocks import (
    BODY,
    QUIET,
    STRONG,
    across,
    between,
    draw_photos,
    filling,
    paragraphs,
    photo,
    shifted,
    together,
)
from reports.report.plainly import CODE_MEANS
from reports.words import Content

_SIDE = 62.0  # the column of codes
_PHOTO_WIDTH, _PHOTO_HEIGHT, _PHOTO_GAP = 150.0, 112.0, 12.0
_CODE_SIZE = 14.0
_NONE = "Nothing was seen, within the extent and limits of this report, that calls for an observation."
_GROUP = Lines(9, strong=True, tag="H3")


def observations(content: Content, photos: Mapping[str, bytes], frame: Frame) -> Section:
    """The section of observations, the most urgent first."""
    found = content["observations"]
    if not found:
        return across("Observations", paragraphs(_NONE, BODY, frame.width), frame)
    pieces: list[Piece] = []
    for code, alike in groupby(found, key=lambda observation: observation["code"]["key"]):
        name, means = CODE_MEANS[Code(code) if code else ""]
        pieces += _GROUP.pieces(f"{code} {name}. {means}".strip(), frame.width, keep=True)
        pieces.append(space(4, keep=True))
        for observation in alike:
            pieces += _observation(observation, photos, frame)
        pieces.append(between(5))
    return across("Observations", pieces, frame)


def _observation(observation: Content, photos: Mapping[str, bytes], frame: Frame) -> Iterator[Piece]:
    taken = observation["photo"]
    picture = (
        photo(photos[taken["sha256"]], _PHOTO_WIDTH, _PHOTO_HEIGHT, _shown(observation))
        if taken and taken["sha256"] in photos
        else None
    )
    width = frame.width - _SIDE - (_PHOTO_WIDTH + _PHOTO_GAP if picture else 0)
    mark = (observation["code"]["key"] or "–", f"no. {observation['number']}", frame.width)
    yield Piece(3, _draw_mark, mark, keep=True)
    if picture:
        yield Piece(0, draw_photos, (picture, frame.width), keep=True, tag=SELF)
    height = picture.height + 4 if picture else _CODE_SIZE * 2
    beside = list(shifted(_lines(observation, width), _SIDE))
    yield from together(beside, height)
    yield from filling(height - sum(piece.height for piece in beside))
    yield between(6)


def _shown(observation: Content) -> str:
    return f"Photograph of observation {observation['number']}: {observation['where'] or 'the installation'}"


def _lines(observation: Content, width: float) -> Iterator[Piece]:
    yield from STRONG.pieces(observation["where"] or "The installation", width, keep=True)
    yield space(1, keep=True)
    yield from paragraphs(observation["text"], BODY, width, gap=2)
    if observation["regulation"]:
        yield from QUIET.pieces(f"Regulation {observation['regulation']}", width)
    warned = observation["client_warned_on"]
    if observation["action_on_day"]:
        yield from BODY.pieces(f"On the day: {observation['action_on_day']}", width)
    if warned:
        yield from BODY.pieces(f"The client was warned of it on {words.day(warned)}.", width)
    if observation["put_right"]:
        yield from STRONG.pieces(put_right_words(observation["put_right"]), width)


def put_right_words(put_right: Content) -> str:
    """``Put right on 3 Nov 2026 by R. Askew: …``."""
    evidence = f": {put_right['evidence']}" if put_right["evidence"] else "."
    return f"Put right on {words.day(put_right['on'])} by {put_right['by']}{evidence}"


def _draw_mark(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, (code, number, width) in placed:
        canvas.rule(left, left + width, top, HAIR, RULE)
        canvas.ink(INK)
        canvas.write(left, top - _CODE_SIZE - 2, code, _CODE_SIZE, strong=True)
        canvas.ink(FAINT)
        canvas.write(left, top - _CODE_SIZE - 12, number, SMALL + 0.5)
