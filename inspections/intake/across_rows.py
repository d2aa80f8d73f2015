"""What only the whole file tells of its circuits: letters that are phases, and circuits that stand twice."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from inspections.columns import BY_NAME
from inspections.intake.circuits import split_colour
from inspections.intake.result import SCHEDULE, IntakeRow


def checked_across(rows: Sequence[IntakeRow]) -> list[IntakeRow]:
    """The rows with former colours read as phases, and a problem at each circuit that stands twice."""
    checked = _with_colours_read(rows)
    seen: dict[tuple[int | None, str, str, str], IntakeRow] = {}
    for index, row in enumerate(checked):
        if row.table != SCHEDULE or not row.way:
            continue
        sheet = row.sheet if row.board is None else ""
        former = seen.setdefault((row.board, sheet, row.way.casefold(), row.phase), row)
        if former is not row and (problem := _repeats(former, row)):
            checked[index] = _with_designation(row, problem=problem)
    return checked


def _with_colours_read(rows: Sequence[IntakeRow]) -> list[IntakeRow]:
    """Read 4R, 4Y, 4B as phases where a board has letters of two colours or more, and no others."""
    coloured: dict[int | None, dict[int, tuple[str, str, str]]] = defaultdict(dict)
    otherwise_lettered: set[int | None] = set()
    for index, row in enumerate(rows):
        if row.table == SCHEDULE and not row.phase and row.way and not row.way.isdecimal():
            if found := split_colour(row.way):
                coloured[row.board][index] = found
            else:
                otherwise_lettered.add(row.board)
    read = list(rows)
    for board, found_rows in coloured.items():
        colours = {colour for _, _, colour in found_rows.values()}
        if board in otherwise_lettered or len(colours) < 2:
            continue
        for index, (way, phase, colour) in found_rows.items():
            note = f"{colour} is read as {phase}, the former colour of its conductor."
            row = _with_designation(read[index], text=f"{way} {phase}", note=note)
            read[index] = replace(row, way=way, phase=phase)
    return read


def _with_designation(row: IntakeRow, **changed: str) -> IntakeRow:
    cell = replace(row.cells["designation"], **changed)
    return replace(row, cells={**row.cells, "designation": cell})


def _repeats(former: IntakeRow, row: IntakeRow) -> str | None:
    """Why a second row of one circuit is wrong. On another sheet it may add columns, but not contradict."""
    circuit = f"{row.way} {row.phase}".strip()
    place = f"row {former.number}" if former.sheet == row.sheet else f"“{former.sheet}”, row {former.number}"
    if former.sheet == row.sheet:
        return (
            f"Circuit {circuit} appears twice on this board, first in {place}. Correct the number, or write "
            "a line “Board: …” where the next board begins."
        )
    for name in row.cells.keys() & former.cells.keys() - {"designation", "phase", "board"}:
        one, other = former.cells[name].text, row.cells[name].text
        if one and other and one != other:
            heading = BY_NAME[name].heading if name in BY_NAME else name
            return (
                f"Circuit {circuit} is also in {place}, with another {heading}: {one} there and {other} "
                "here. Correct one of them."
            )
    return None
