"""Photographs of what is left across the circuits: where the next tester has to look."""

from collections.abc import Iterator, Mapping

from reports.pdf.canvas import Canvas
from reports.pdf.page import FAINT, INK, LEADING, Frame, Piece, Placed, Section
from reports.pdf.tags import PARA, SELF
from reports.pdf.text import printable, wrap
from reports.report.blocks import Photo, across, between, draw_photos, photo
from reports.words import Content

_ACROSS, _GUTTER, _HEIGHT = 3, 12.0, 120.0
_SIZE = 7.5

_Captioned = tuple[Photo, tuple[str, ...], tuple[str, ...]]


def parts_found(content: Content, photos: Mapping[str, bytes], frame: Frame) -> Iterator[Section]:
    """The section of photographs of registered loads; none where there are none."""
    width = (frame.width - _GUTTER * (_ACROSS - 1)) / _ACROSS
    captioned = [one for load in content["load_register"] if (one := _captioned(load, photos, width))]
    if captioned:
        yield across("Where the registered parts are", _rows(captioned, width), frame)


def _captioned(load: Content, photos: Mapping[str, bytes], width: float) -> _Captioned | None:
    taken = load["photo"]
    what = f"{load['circuit_words']}: {load['what']}"
    where = ", ".join(filter(None, (load["place"], load["state"]["words"].lower())))
    content = photos.get(taken["sha256"]) if taken else None
    picture = photo(content, width, _HEIGHT, f"Photograph of {what}, {where}") if content else None
    if picture is None:
        return None
    return picture, wrap(printable(what), _SIZE, width), wrap(printable(where), _SIZE, width)


def _rows(captioned: list[_Captioned], width: float) -> Iterator[Piece]:
    starts = range(0, len(captioned), _ACROSS)
    for row in (captioned[start : start + _ACROSS] for start in starts):
        for number, (picture, _, _) in enumerate(row):
            right = number * (width + _GUTTER) + picture.width
            yield Piece(0, draw_photos, (picture, right), keep=True, tag=SELF)
        tallest = max(picture.height for picture, _, _ in row)
        lines = max(len(what) + len(where) for _, what, where in row)
        captions = tuple((n * (width + _GUTTER), what, where) for n, (_, what, where) in enumerate(row))
        yield Piece(tallest + 4 + lines * _SIZE * LEADING, _draw_captions, (tallest, captions), tag=SELF)
        yield between(8)


def _draw_captions(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, (height, captions) in placed:
        for x, what, where in captions:
            y = top - height - 2
            with canvas.tagged(PARA):
                for colour, lines in ((INK, what), (FAINT, where)):
                    canvas.ink(colour)
                    for line in lines:
                        y -= _SIZE * LEADING
                        canvas.write(left + x, y, line, _SIZE)
