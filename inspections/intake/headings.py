"""Which row of a sheet holds the headings, and which column each heading means.

A heading is one cell, or a cell under a group in the row above (two such rows at most). A unit that is of
another kind than the column's rules the column out. See ``heading_words`` for what the words alone mean.
"""

import re
from collections import Counter
from dataclasses import dataclass, replace

from inspections.intake.grid import Found, Sheet, column_number, letter
from inspections.intake.heading_words import (
    BOTH_INSULATION,
    LONGEST,
    NEEDS_GROUP,
    anywhere,
    in_group,
    is_heading_word,
    read_group,
    readings_of,
)
from inspections.intake.result import IGNORE
from inspections.intake.tables import SCHEDULE_TABLE, TABLES, Field, Table
from inspections.intake.units import Unit, read_unit

_DEPTH = 3  # rows a heading may take
_FEWEST = 3  # known headings that make a row of headings
_MOST_LOOKED_AT = 300  # rows of one sheet that are weighed as headings

_NUMBER_LIKE = re.compile(r"[<>]?\s*\d+(?:[.,]\d+)?|-")
_FILLER = re.compile(r"(?:[✓✔√x✗✘×]|ok|y|n|yes|no|tick|pass|fail|/|,|\?|\s|or)+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Label:
    """A heading as it stands: its text, the groups over it from the nearest up, and those that may be meant
    to reach over it because the cells between are blank."""

    row: int
    column: int
    text: str
    groups: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Match:
    """What a heading was taken for; field is None when it is not read. unit: the one the heading names."""

    label: Label
    field: Field | None
    why: str
    unit: Unit | None = None
    problem: str | None = None
    by_group: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """A row of headings, or up to three, and what its columns hold."""

    table: Table
    top: int
    bottom: int
    matches: dict[int, Match]

    @property
    def score(self) -> int:
        matched = [match for match in self.matches.values() if match.field]
        return 2 * len(matched) + sum(match.by_group for match in matched)

    @property
    def names(self) -> set[str]:
        return {match.field.name for match in self.matches.values() if match.field}

    def column_of(self, name: str) -> int | None:
        return next(
            (c for c, match in self.matches.items() if match.field and match.field.name == name), None
        )


def find_blocks(sheet: Sheet, chosen: dict[str, str]) -> list[Block]:
    """The rows of headings of a sheet, from the top down. chosen: the person's choice, by column letter."""
    blocks: list[Block] = []
    bottom = looked_at = 0
    for row, cells in sheet.rows.items():
        if row <= bottom or sum(is_heading_word(raw.text) for raw in cells.values()) < 2:
            continue
        looked_at += 1
        if looked_at > _MOST_LOOKED_AT:
            break
        if block := _best_block(sheet, row, bottom):
            block = _with_unit_row(sheet, _with_group_row(sheet, block, bottom))
            blocks.append(replace(block, matches=_choose(block, chosen)))
            bottom = block.bottom
    return blocks


def _best_block(sheet: Sheet, row: int, former_bottom: int) -> Block | None:
    found = [
        Block(table, bottom - depth + 1, bottom, _match(labels, table))
        for bottom in range(row, row + _DEPTH)
        for depth in range(1, _DEPTH + 1)
        if bottom - depth + 1 > former_bottom and _may_be_headings(sheet, bottom - depth + 1, bottom)
        for labels in [_labels(sheet, bottom - depth + 1, bottom)]
        for table in TABLES
    ]
    fitting = [block for block in found if _is_table(block)]
    # The fewest rows that say the most; the schedule before other tables.
    return max(fitting, key=lambda block: (block.score, -block.bottom, block.top), default=None)


def _may_be_headings(sheet: Sheet, top: int, bottom: int) -> bool:
    """Rows over the last must hold words alone; all must hold something."""
    rows = [sheet.rows.get(row, {}) for row in range(top, bottom + 1)]
    return all(rows) and not any(
        raw.found is not Found.TEXT or _NUMBER_LIKE.fullmatch(raw.text)
        for cells in rows
        for raw in cells.values()
    )


def _is_table(block: Block) -> bool:
    names = block.names
    if not all(needed & names for needed in block.table.any_of):
        return False
    return len(names) >= _FEWEST or (len(names) == 2 and "designation" in names and len(block.matches) <= 4)


def _labels(sheet: Sheet, top: int, bottom: int) -> list[Label]:
    last = max(max(sheet.rows[row]) for row in range(top, bottom + 1))
    labels = []
    for column in range(1, last + 1):
        texts = [sheet.text(row, column)[: 2 * LONGEST] for row in range(bottom, top - 1, -1)]
        own = list(dict.fromkeys(text for text in texts if text))
        loose = [
            _to_the_left(sheet, row, column)
            for row in range(bottom - 1, top - 1, -1)
            if not sheet.text(row, column)
        ]
        if not own:
            continue
        text = own[0]
        if len(own) > 1 and _is_filler(text):
            unit = read_unit(text.strip("()[] "))
            text = f"{own.pop(1)} ({unit.symbol})" if unit else own.pop(1)
        row = next(row for row in range(bottom, top - 1, -1) if sheet.text(row, column))
        labels.append(Label(row, column, text, tuple(own[1:]), tuple(filter(None, loose))))
    return labels


def _to_the_left(sheet: Sheet, row: int, column: int) -> str:
    cells = sheet.rows.get(row, {})
    nearest = max((c for c in cells if c < column), default=None)
    return cells[nearest].text if nearest else ""


def _is_filler(text: str) -> bool:
    """A lower heading that names nothing: a unit, or the ticks that may stand in the column."""
    return bool(_FILLER.fullmatch(text) or read_unit(text.strip("()[] ")))


def _with_group_row(sheet: Sheet, block: Block, former_bottom: int) -> Block:
    """The block with the row of merged groups over it, though they make nothing clearer: a group that is not
    known makes a general heading under it unknown too."""
    above = block.top - 1
    widths = Counter(origin for (row, _), origin in sheet.covered.items() if row == above == origin[0])
    is_group_row = any(2 * (width + 1) <= len(block.matches) for width in widths.values())
    if not is_group_row or above <= former_bottom or not _may_be_headings(sheet, above, block.bottom):
        return block
    wider = Block(block.table, above, block.bottom, _match(_labels(sheet, above, block.bottom), block.table))
    return wider if _is_table(wider) else block


def _with_unit_row(sheet: Sheet, block: Block) -> Block:
    """The block with the row of units under it, where there is one."""
    cells = sheet.rows.get(block.bottom + 1, {})
    units = {column: read_unit(raw.text.strip("()[] ")) for column, raw in cells.items()}
    if len(units) < 2 or not all(units.values()):
        return block
    labels = [
        replace(match.label, text=f"{match.label.text} ({unit.symbol})")
        if (unit := units.get(column)) and match.unit is None
        else match.label
        for column, match in block.matches.items()
    ]
    return Block(block.table, block.top, block.bottom + 1, _match(labels, block.table))


def _match(labels: list[Label], table: Table) -> dict[int, Match]:
    """What each heading means, each column taken once: first the headings that can mean one column only."""
    lone = frozenset(name for label in labels for name, _ in readings_of(label.text)[:1])
    proposals = [_propose(label, table, lone) for label in labels]
    taken: dict[str, Label] = {}
    matches: dict[int, Match] = {}
    for proposal in sorted(proposals, key=lambda p: (len(p.fields) != 1, not p.by_group, p.label.column)):
        free = [field for field in proposal.fields if field.name not in taken]
        matches[proposal.label.column] = _settle(proposal, free, taken)
        if free:
            taken[free[0].name] = proposal.label
    return dict(sorted(matches.items()))


@dataclass(frozen=True, slots=True)
class _Proposal:
    """The columns a heading may mean, the likeliest first, and why."""

    label: Label
    fields: tuple[Field, ...] = ()
    why: str = ""
    unit: Unit | None = None
    by_group: bool = False


def _settle(proposal: _Proposal, free: list[Field], taken: dict[str, Label]) -> Match:
    """The match of a heading, from the columns it may mean that no other heading has taken."""
    label, unit = proposal.label, proposal.unit
    if proposal.fields and not free:
        holder = taken[proposal.fields[0].name]
        title = proposal.fields[0].title
        why = f"{title} is already taken from column {letter(holder.column)} (“{holder.text}”)"
        return Match(
            label, None, why, problem=f"{why}. Choose which of the two to read; leave the other out."
        )
    if not free:
        return Match(
            label,
            None,
            proposal.why or "not a known heading; not read unless you choose a column for it",
        )
    field = free[0]
    if fault := _unit_fault(field, unit):
        return Match(
            label, None, fault, unit, problem=f"{fault} Correct the heading, or choose the column yourself."
        )
    why = proposal.why
    if len(free) > 1:
        others = ", ".join(f"{other.group} {other.heading}" for other in free[1:])
        why = f"could also be {others}; chosen by its position, so check it"
    if unit and field.unit and unit != read_unit(field.unit):
        why = f"{why}; given in {unit.symbol}, converted to {field.unit}"
    return Match(label, field, why, unit, by_group=proposal.by_group)


def _unit_fault(field: Field, unit: Unit | None) -> str:
    wanted = read_unit(field.unit)
    if unit is None or wanted is None:
        return ""
    if unit.base != wanted.base:
        return f"The heading gives {unit.symbol}, and {field.heading} is in {field.unit}."
    if wanted.symbol == "MΩ" and unit.symbol == "mΩ":
        return "The heading gives mΩ, a thousandth of an ohm; insulation resistance is in MΩ, a million ohms."
    return ""


def _propose(label: Label, table: Table, lone: frozenset[str]) -> _Proposal:
    definite = [(text, *read_group(text)) for text in label.groups]
    loose = [(text, *read_group(text)) for text in label.loose]
    group_unit = next((unit for _, _, unit in definite if unit), None)
    refused = ""
    for name, own_unit in readings_of(label.text):
        unit = own_unit or group_unit
        for groups in (definite, loose):
            for text, group, _ in groups:
                if fields := in_group(name, text, group, table, lone):
                    # A group that may only seem to reach so far must not overrule a heading that is clear.
                    if groups is loose and len(anywhere(name, table, lone)) == 1:
                        continue
                    why = f"under “{text}”"
                    return _Proposal(label, _fitting(fields, unit), why, unit, by_group=True)
        if definite and name.casefold() in NEEDS_GROUP and not any(group for _, group, _ in definite):
            refused = f"“{label.text}” under “{label.groups[0]}” is not a known heading"
            continue
        if fields := anywhere(name, table, lone):
            return _Proposal(label, _fitting(fields, unit), "by its heading", unit)
        if table is SCHEDULE_TABLE and name.casefold() in BOTH_INSULATION:
            refused = (
                "does not say between which conductors: write Live-live or Live-earth, or choose the column"
            )
    return _Proposal(label, why=refused)


def _fitting(fields: tuple[Field, ...], unit: Unit | None) -> tuple[Field, ...]:
    """The columns whose unit is the heading's; failing that, those of the same kind; failing that, all, for
    the message that says so."""
    if unit is None:
        return fields
    same = tuple(field for field in fields if read_unit(field.unit) == unit)
    kind = tuple(field for field in fields if (own := read_unit(field.unit)) is None or own.base == unit.base)
    return same or kind or fields


def _choose(block: Block, chosen: dict[str, str]) -> dict[int, Match]:
    """The matches with the person's own choices in their place."""
    matches = dict(block.matches)
    by_letter = {letter(column): column for column in matches}
    for name_of_column, name in chosen.items():
        column = by_letter.get(name_of_column, column_number(name_of_column))
        label = matches[column].label if column in matches else Label(block.bottom, column, "")
        field = block.table.field(name)
        if name == IGNORE:
            matches[column] = Match(label, None, "left out by your choice")
        elif field:
            for other, match in matches.items():
                if match.field is field:
                    matches[other] = replace(
                        match, field=None, why=f"column {name_of_column} was chosen instead"
                    )
            unit = next((unit for _, unit in readings_of(label.text) if unit), None)
            matches[column] = Match(
                label, field, "by your choice", None if _unit_fault(field, unit) else unit
            )
    return dict(sorted(matches.items()))
