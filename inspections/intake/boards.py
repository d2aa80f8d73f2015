"""Lines such as “Board: DB1 Main intake   Ze 0.21 ohm   date 03/11/2026” above or between the circuits."""

import re
from dataclasses import dataclass, field

from inspections.intake.cells import read_date
from inspections.intake.units import convert, plain_text, read_unit, split_value
from inspections.rules.readings import Reading, ReadingError

_THE_BOARD = r"(?:the\s+)?(?:distribution\s+)?(?:board|db)"
_KEYS = {
    "board": (
        r"(?:distribution\s+board|dist\.?\s*board|consumer\s+unit|board|db(?=\s*(?:ref|no|name|:|=)))"
        r"(?:\s+(?:reference|ref|no|name|designation|id)\b\.?)?"
    ),
    "location": rf"(?:board\s+)?location(?:\s+of\s+{_THE_BOARD})?|situated(?:\s+at|\s+in)?",
    "ze_ohm": r"Ze",
    "zs_ohm": rf"Zdb|Zs(?:\s+at\s+{_THE_BOARD})?",
    "ipf_ka": rf"(?:Ipf|PFC|PSCC|prospective\s+fault\s+current)(?:\s+at\s+{_THE_BOARD})?",
    "date": r"date(?:\s+of\s+(?:testing|test|inspection)|\s+tested|\s+inspected)?|(?:tested|inspected)\s+on",
    "supplied_from": r"(?:supplied|fed|supply)\s+from",
    "main_switch": r"main\s+(?:switch|isolator)",
    "phases": r"(?:(?:no\.?|number)\s+of\s+)?phases",
    "other": (
        r"client|customer|installation|address|(?:tested|inspected)\s+by|inspector|(?:report|job)(?:\s+no\.?)?"
    ),
}
_KEY = "|".join(f"(?P<{name}>{pattern})" for name, pattern in _KEYS.items())
# A key opens the line, follows a gap or a separator, or is followed by a colon.
_START = re.compile(
    rf"(?:(?:^|\s{{2,}}|[;|,])\s*(?:{_KEY})(?:\s*[:=]\s*|\s+|$))"
    rf"|(?:(?<=\s)(?:{_KEY.replace('?P<', '?P<mid_')})\s*[:=]\s*)",
    re.IGNORECASE,
)
_BOARD_WORD = re.compile(r"(?:DB|CU|MSB|SMDB|SDB|MDB|LDB|PDB)[\s-]?[A-Z]?\d+[A-Z]?\b", re.IGNORECASE)
_UNITS = {"ze_ohm": "Ω", "zs_ohm": "Ω", "ipf_ka": "kA"}
_LONGEST = 500
_GAP = "   "
_FEW = 2  # cells of a line that begins with a board's designation and no word for it


@dataclass(frozen=True, slots=True)
class BoardLine:
    """What a line says of a board. designation is empty when it only adds to what other lines say of one.
    name: what the board is called or where it is."""

    designation: str = ""
    name: str = ""
    facts: dict[str, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    has_more: bool = False  # words that are of no board: client, inspector
    opens: bool = False  # its first words are of a board, as a row of a table's hardly are


def read_board_line(cells: list[str]) -> BoardLine | None:
    """What the cells of a row say of a board, or None when they say nothing of one.

    >>> line = read_board_line(["Board: DB1 Main intake   Ze 0.21 ohm   date 03/11/2026"])
    >>> line.designation, line.name, line.facts
    ('DB1', 'Main intake', {'ze_ohm': '0.21', 'date': '2026-11-03'})
    """
    line = re.sub(r"\s{3,}", _GAP, _GAP.join(cells)).strip()
    if len(line) > _LONGEST:
        return None
    values = _values(line)
    if "board" in values and not _names_a_board(line, values["board"]):
        return None
    designation, name = split_designation(values.pop("board", ""))
    opens = bool((first := _START.search(line)) and first.start() == 0)
    if not designation and len(cells) <= _FEW and _BOARD_WORD.match(line):
        designation, name = split_designation(re.split(r"\s{2,}|[;|]", line)[0])
        opens = True
    has_more = bool(values.pop("other", ""))
    name = values.pop("location", "") or name
    facts, problems = _facts(values)
    if not (designation or name or facts or problems):
        return None
    return BoardLine(designation, name, facts, tuple(problems), has_more, opens)


def split_designation(text: str) -> tuple[str, str]:
    """A board's designation and its name.

    >>> split_designation("DB1 Main intake"), split_designation("DB 2 - Workshop")
    (('DB1', 'Main intake'), ('DB 2', 'Workshop'))
    >>> split_designation("Kitchen")
    ('Kitchen', '')
    """
    words = plain_text(text).split(" ")
    first, rest = words[0].strip(",:;"), words[1:]
    if re.search(r"\d", first) or (first.isupper() and len(first) <= 5):
        if rest and first.isalpha() and re.fullmatch(r"\d+[A-Z]?|[A-Z]", rest[0]):
            first, rest = f"{first} {rest[0]}", rest[1:]
        return first, " ".join(rest).strip(" -,:;()")
    return " ".join(words).strip(), ""


def board_in_title(title: str) -> tuple[str, str] | None:
    """The board that a sheet's name tells, or None.

    >>> board_in_title("DB2 Workshop"), board_in_title("Sheet1")
    (('DB2', 'Workshop'), None)
    """
    return split_designation(title) if _BOARD_WORD.match(title.strip()) else None


def _values(line: str) -> dict[str, str]:
    starts = list(_START.finditer(line))
    values: dict[str, str] = {}
    for match, following in zip(starts, [*starts[1:], None], strict=False):
        key = next(name for name, found in match.groupdict().items() if found).removeprefix("mid_")
        value = line[match.end() : following.start() if following else len(line)]
        values.setdefault(key, value.strip(" ,;|"))
    return values


def _names_a_board(line: str, value: str) -> bool:
    """“Board: …” names one; “Board not accessible …” is a sentence."""
    said = re.search(r"(?:board|unit|db|ref|no|name|designation|id)\.?\s*[:=]", line, re.IGNORECASE)
    apart = re.match(r"\s*[\w ]+\s{3,}", line)
    return bool(value) and bool(said or apart or _BOARD_WORD.match(value) or re.match(r"\S*\d", value))


def _facts(values: dict[str, str]) -> tuple[dict[str, str], list[str]]:
    facts: dict[str, str] = {}
    problems: list[str] = []
    for key, value in values.items():
        if not value or value in ("…", "-"):
            continue
        if key == "date":
            found = read_date(value)
            if found:
                facts[key] = found.isoformat()
            else:
                problems.append(f"“{value}” is not a date. Type day, month and year, such as 03/11/2026.")
        elif key in _UNITS:
            try:
                facts[key] = _quantity(value, _UNITS[key])
            except ReadingError as error:
                problems.append(f"{key.split('_')[0].capitalize()}: {error}")
        else:
            facts[key] = " ".join(value.split())
    return facts, problems


def _quantity(value: str, unit: str) -> str:
    wanted = read_unit(unit)
    if bracketed := re.fullmatch(r"\(([^)]*)\)\s*[:=]?\s*(.+)", value):
        value = f"{bracketed[2]} {bracketed[1]}"
    parts = split_value(value)
    if parts and wanted and parts[2].base == wanted.base:
        relation, digits, given = parts
        return Reading.parse(relation + convert(digits, given, wanted)).text
    return Reading.parse(value).text
