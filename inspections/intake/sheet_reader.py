"""Sheets to boards and named rows, each problem at its cell."""

import re
from dataclasses import replace

from inspections.intake.boards import BoardLine, board_in_title, read_board_line, split_designation
from inspections.intake.cells import read_cell
from inspections.intake.circuits import looks_like_circuit, read_phase, split_circuit
from inspections.intake.grid import Raw, Sheet, letter
from inspections.intake.headings import Block, Match, find_blocks
from inspections.intake.loads import load_values
from inspections.intake.result import (
    LIMITATIONS,
    LOADS,
    SCHEDULE,
    IntakeBoard,
    IntakeCell,
    IntakeHeading,
    IntakeNote,
    IntakeRow,
    Mapping,
    Problem,
)
from inspections.intake.units import plain_text

_COUNT = re.compile(
    r"(?:(?:no\.?|number|count)\s+of\s+circuits|circuits|(?:sub-?\s?|grand\s+)?totals?|count|sum)\b(?:\s+circuits)?"
    r"\s*[:=]?\s*(?P<count>\d+)?",
    re.IGNORECASE,
)
_NOTE_WORD = re.compile(r"(?:notes?|remarks?|comments?|key|limitations?|n\.?b)\s*\.?\s*[:.\-]", re.IGNORECASE)
_WHY_NOT_TESTED = re.compile(
    r"\b(?:not|un|in)[\s-]?(?:able|tested|taken|disconnected|removed|accessible|inspected|possible|permitted|isolated|"
    r"safe|practicable)|\blim(?:itations?|ited)?\b|\bcould\s+not\b|\bcannot\b|\bno\s+access\b|\bagreed\b|\blocked\b"
    r"|\bleft\s+(?:connected|in)\b|\bin\s+use\b",
    re.IGNORECASE,
)
_TYPE_THE_WAY = "Type the way, and the phase where it has one, such as 4 or 4 L1."
_LONGEST_WAY = 8  # as the record keeps it
_LONGEST_BOARD = 20
_FEW_CELLS = 2
_SENTENCE_CELLS = 4  # a line of words, such as a signature, may be spread over so many cells


class SheetReader:
    """Reads sheets from the top down, keeping which board the rows belong to."""

    def __init__(self, mapping: Mapping) -> None:
        self.mapping = mapping
        self.boards: list[IntakeBoard] = []
        self.board_of_name: dict[str, int] = {}
        self.rows: list[IntakeRow] = []
        self.headings: list[IntakeHeading] = []
        self.notes: list[IntakeNote] = []
        self.problems: list[Problem] = []
        self.sheet = Sheet("", {})
        self.block: Block | None = None
        self.board: int | None = None
        self.above_board = BoardLine()  # facts that stand above the line that names their board
        self.counted_from = 0
        self.last_row = 0  # the last row of the table that is being read

    def read_sheet(self, sheet: Sheet) -> None:
        self.sheet, self.block, self.board, self.counted_from = sheet, None, None, len(self.rows)
        self.above_board = BoardLine()
        blocks = find_blocks(sheet, self.mapping.of_sheet(sheet.name))
        if not blocks and sheet.rows:
            text = "No known headings were found on this sheet, so it was not read."
            self.notes.append(IntakeNote("file", sheet.name, 0, "", text))
            return
        starts = {block.top: block for block in blocks}
        inside = {row: block for block in blocks for row in range(block.top, block.bottom + 1)}
        for number, cells in sheet.rows.items():
            if block := starts.get(number):
                self._start_block(block)
            if number not in inside:
                self._read_row(number, cells)

    def _start_block(self, block: Block) -> None:
        self.block, self.last_row = block, 0
        if block.table.kind == SCHEDULE and self.board is None and "board" not in block.names:
            self._board_from_title()
        for column, match in block.matches.items():
            self.headings.append(self._heading(block, column, match))
        self.headings += self._unheaded(block)
        if block.table.kind == SCHEDULE and "designation" not in block.names:
            text = "No column holds the circuit numbers. Head it “No.”, or choose the column below."
            self.problems.append(Problem(self.sheet.name, block.bottom, "", text))

    def _heading(self, block: Block, column: int, match: Match) -> IntakeHeading:
        name = match.field.name if match.field else None
        group = match.label.groups[0] if match.label.groups else ""
        return IntakeHeading(
            block.table.kind,
            self.sheet.name,
            match.label.row,
            letter(column),
            match.label.text,
            group,
            name,
            match.why,
            match.problem,
        )

    def _unheaded(self, block: Block) -> list[IntakeHeading]:
        """Columns with values under no heading at all, so that none is left out unseen."""
        columns: set[int] = set()
        for number in range(block.bottom + 1, block.bottom + 4):
            cells = self.sheet.rows.get(number, {})
            if len(cells) > 2:
                columns |= cells.keys() - block.matches.keys()
        why = "no heading above it; not read unless you choose a column for it"
        return [
            IntakeHeading(block.table.kind, self.sheet.name, block.bottom, letter(column), "", "", None, why)
            for column in sorted(columns)
        ]

    def _board_from_title(self) -> None:
        found = board_in_title(self.sheet.name)
        if found:
            self._enter_board(BoardLine(*found), 0)
            return
        self._enter_board(BoardLine(), 0)
        text = (
            "The sheet does not say which board it is of. Choose the board, or write a line such as "
            "“Board: DB1 Main intake” above the headings."
        )
        self.notes.append(IntakeNote("file", self.sheet.name, 0, "", text, self.board))

    def _enter_board(self, line: BoardLine, row: int) -> None:
        """Make a board the one the next rows belong to, or add to it what a line without its name says."""
        for problem in line.problems:
            self.problems.append(Problem(self.sheet.name, row, "", problem))
        if not line.designation and self.board is not None:
            self._add_to_board(self.board, line, row)
            return
        if not line.designation and row:
            self.above_board = _joined(self.above_board, line)
            return
        if len(line.designation) > _LONGEST_BOARD:
            text = (
                f"“{line.designation}” is too long for a board’s designation. Write a short one, such as "
                "DB1, and then the name."
            )
            self.problems.append(Problem(self.sheet.name, row, "", text))
        self.board = self._find_or_add(_joined(line, self.above_board), row)
        self.above_board = BoardLine()
        self.counted_from = len(self.rows)

    def _find_or_add(self, line: BoardLine, row: int) -> int:
        name = _folded(line.designation)
        if name in self.board_of_name:
            self._add_to_board(self.board_of_name[name], line, row)
            return self.board_of_name[name]
        self.boards.append(IntakeBoard(line.designation, line.name, self.sheet.name, row, line.facts))
        if name:
            self.board_of_name[name] = len(self.boards) - 1
        return len(self.boards) - 1

    def _add_to_board(self, index: int, line: BoardLine, row: int) -> None:
        board = self.boards[index]
        for fact, value in line.facts.items():
            former = board.facts.get(fact, value)
            if former != value:
                text = (
                    f"{board.designation or 'The board'} has two values of {fact.split('_')[0]}: {former} "
                    f"before and {value} here. The first is kept; correct the other."
                )
                self.problems.append(Problem(self.sheet.name, row, "", text))
        facts = {**line.facts, **board.facts}
        self.boards[index] = replace(board, name=board.name or line.name, facts=facts)

    def _read_row(self, number: int, own: dict[int, Raw]) -> None:
        texts = [raw.text for _, raw in sorted(own.items())]
        column, first = min(own), texts[0]
        line = self._board_line(own, texts)
        if line:
            self._enter_board(line, number)
            if line.has_more:
                self._note("title", number, column, "   ".join(texts))
        elif self.block is None:
            self._note("title", number, column, "   ".join(texts))
        elif (
            (match := _COUNT.fullmatch(first.strip()))
            and len(texts) <= 3
            and self.block.table.kind == SCHEDULE
        ):
            self._note_count(number, column, texts, match["count"])
        elif self._is_sentence(self.block, own, after_circuits=self.last_row not in (0, number - 1)):
            self._note("remark", number, column, "   ".join(texts))
        else:
            self._add_row(self.block, number, own)

    def _board_line(self, own: dict[int, Raw], texts: list[str]) -> BoardLine | None:
        line = None if self._starts_with_circuit(own) else read_board_line(texts)
        if line is None or self.block is None:
            return line
        # A row of the table may hold such words too, and the date beside a signature is no board's.
        is_row = not line.opens or (self.block.table.kind != SCHEDULE and len(own) > _FEW_CELLS)
        is_signature = line.has_more and not line.designation
        return None if is_row or is_signature else line

    def _starts_with_circuit(self, own: dict[int, Raw]) -> bool:
        """A row with a circuit number is a circuit, whatever its description sounds like."""
        if self.block is None or self.block.table.kind != SCHEDULE or len(own) < 2:
            return False
        column = self.block.column_of("designation")
        return column in own and bool(re.match(r"\s*L?\d", own[column].text))

    def _is_sentence(self, block: Block, own: dict[int, Raw], after_circuits: bool) -> bool:
        """A line of words below or between the rows, not a row."""
        first_column = min(own)
        text = own[first_column].text
        if len(own) == 1:
            numbers = (block.column_of("designation"), block.column_of("circuit"))
            return not (first_column in numbers and looks_like_circuit(text))
        if len(own) > _SENTENCE_CELLS:
            return False
        if _NOTE_WORD.match(text) or text.rstrip().endswith(":"):
            return True
        # Keys and signatures follow the circuits, and have no number where the circuits have one.
        return after_circuits and block.table.kind == SCHEDULE and not re.match(r"\s*L?\d", text)

    def _note(self, kind: str, number: int, column: int, text: str) -> None:
        is_reason = kind == "remark" and bool(_WHY_NOT_TESTED.search(text))
        self.notes.append(
            IntakeNote(kind, self.sheet.name, number, letter(column), text, self.board, is_reason)
        )

    def _note_count(self, number: int, column: int, texts: list[str], count: str | None) -> None:
        stated = count or next((text for text in texts[1:] if text.isdecimal()), None)
        text = " ".join(text.strip() for text in texts)
        if stated and "circuit" in texts[0].lower():
            read = sum(row.table == SCHEDULE for row in self.rows[self.counted_from :])
            same = int(stated) == read
            text += (
                f" ({read} were read.)"
                if same
                else f" (But {read} were read: look for a row too many or left out.)"
            )
        self._note("count", number, column, text)

    def _add_row(self, block: Block, number: int, own: dict[int, Raw]) -> None:
        cells: dict[str, IntakeCell] = {}
        for column, match in block.matches.items():
            if match.field is None:
                continue
            raw, note = self._at(number, column, own, block)
            if raw is None:
                continue
            taken = read_cell(match.field, raw, match.unit)
            note = " ".join(filter(None, (note, taken.note))) or None
            if taken.text or taken.problem or note:
                cells[match.field.name] = IntakeCell(
                    taken.text, raw.text, letter(column), taken.problem, note
                )
        if not cells:
            return
        if block.table.kind == LOADS and "value" in cells:
            _spread_values(cells)
        board = self._board_of(cells, number)
        way, phase = self._way_and_phase(block, cells, board)
        self.last_row = number
        self.rows.append(IntakeRow(block.table.kind, self.sheet.name, number, board, way, phase, cells))

    def _at(
        self, number: int, column: int, own: dict[int, Raw], block: Block
    ) -> tuple[Raw | None, str | None]:
        """What stands at a cell, and a note when a merged cell puts it there."""
        if raw := own.get(column):
            return raw, None
        row, left = self.sheet.covered.get((number, column), (0, 0))
        raw = self.sheet.rows.get(row, {}).get(left)
        if raw is None or row <= block.bottom:
            return None, None
        # Downwards a merged cell is meant for all its rows; sideways only a word such as LIM is.
        down = left == column
        sideways = row == number and plain_text(raw.text).strip(".").upper() in ("LIM", "N/A", "N/V")
        return (raw, f"From the merged cell {letter(left)}{row}.") if down or sideways else (None, None)

    def _board_of(self, cells: dict[str, IntakeCell], number: int) -> int | None:
        named = cells.get("board")
        if not named or not named.text:
            return self.board
        designation, name = split_designation(named.text)
        return self._find_or_add(BoardLine(designation, name), number)

    def _way_and_phase(
        self, block: Block, cells: dict[str, IntakeCell], board: int | None
    ) -> tuple[str, str]:
        if block.table.kind == LIMITATIONS:
            return "", ""
        name = "designation" if block.table.kind == SCHEDULE else "circuit"
        cell = cells.get(name)
        if cell is None:
            cell = self._missing_number(block, name, cells, board)
            if cell is None:
                return "", ""
            cells[name] = cell
        way, phase = split_circuit(cell.text)
        if "phase" in cells:
            phase = self._own_phase(cells, phase)
        if len(way) > _LONGEST_WAY:
            text = f"“{way}” is too long for a circuit number. {_TYPE_THE_WAY}"
            cells[name] = replace(cell, text="", problem=text)
            return "", ""
        if not cell.problem:
            cells[name] = replace(cell, text=f"{way} {phase}".strip())
        return way, phase

    def _missing_number(
        self, block: Block, name: str, cells: dict[str, IntakeCell], board: int | None
    ) -> IntakeCell | None:
        column = block.column_of(name)
        if column is None:
            return None
        former = self.rows[-1] if self.rows else None
        follows = former and former.phase and (former.board, former.table) == (board, block.table.kind)
        if former and follows and "phase" in cells:
            note = "The way is that of the row above, since only the phase is given."
            return IntakeCell(former.way, "", letter(column), note=note)
        return IntakeCell("", "", letter(column), problem=f"The row has no circuit number. {_TYPE_THE_WAY}")

    def _own_phase(self, cells: dict[str, IntakeCell], written: str) -> str:
        cell = cells["phase"]
        phase = read_phase(cell.found)
        if phase is None:
            text = f"“{cell.found}” is not a phase. Type L1, L2, L3 or L123, or leave it blank."
            cells["phase"] = replace(cell, text="", problem=text)
            return written
        if written and phase and written != phase:
            text = f"The circuit number says {written} and the phase {phase}. Correct one of them."
            cells["phase"] = replace(cell, text="", problem=text)
            return written
        note = cell.note if phase in ("", cell.found.upper()) else f"“{cell.found}” is read as {phase}."
        cells["phase"] = replace(cell, text=phase, note=note)
        return phase or written


def _joined(line: BoardLine, other: BoardLine) -> BoardLine:
    """A board's line with what other lines above it said of the same board."""
    return replace(line, name=line.name or other.name, facts={**other.facts, **line.facts})


def _folded(designation: str) -> str:
    """A designation as it is compared, without regard to blanks and capitals."""
    return designation.replace(" ", "").casefold()


def _spread_values(cells: dict[str, IntakeCell]) -> None:
    """Put the figures of a value column into the columns of their own, where those are blank."""
    value = cells["value"]
    found = load_values(value.text)
    if not found:
        note = "Kept as text. To calculate with it, type figures with units, such as 0.1 µF X2 275 V."
        cells["value"] = replace(value, note=note)
    for name, text in found.items():
        cells.setdefault(name, IntakeCell(text, value.found, value.column, note=f"From “{value.found}”."))
