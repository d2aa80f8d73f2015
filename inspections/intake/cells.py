"""One cell of a known column to the text the record would keep, with what was changed or what is wrong."""

import re
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from inspections.columns import TESTS
from inspections.intake.circuits import split_circuit
from inspections.intake.grid import MAX_TEXT, Found, Raw
from inspections.intake.heading_words import columns_of_test
from inspections.intake.tables import Field, FieldKind
from inspections.intake.units import Unit, convert, plain_text, read_unit, split_value
from inspections.rules.readings import Reading, ReadingError

_NOT_ENTERED = ("…", "...")  # our own sheets print it for what is not entered yet
_DASH = re.compile(r"-+")
_WORDS = {
    "LIM": ("lim", "limitation", "limited", "lim'd"),
    "N/A": ("n/a", "na", "notapplicable", "nonapplicable"),
    "N/V": ("n/v", "nv", "notverified"),
}
_STATE = {word: state for state, words in _WORDS.items() for word in words}
# ü and û are what a tick and a cross set in a symbol typeface are underneath; common practice, no source.
_PASS = frozenset(
    {
        "✓", "✔", "√", "☑", "ü", "ok", "okay", "yes", "y", "p", "pass", "passed", "true", "tick", "correct",
        "good",
    }
)  # fmt: skip
_FAIL = frozenset(
    {"✗", "✘", "×", "✕", "☒", "û", "x", "no", "n", "f", "fail", "failed", "false", "cross", "incorrect"}
)
_OVER_RANGE = re.compile(
    r"(?:≥|>\s*=|⩾)\s*(?P<a>\d+(?:\.\d+)?)|(?P<b>\d+(?:\.\d+)?)\s*\+|\+\s*(?P<c>\d+(?:\.\d+)?)"
)
_ENDLESS = frozenset(
    {"∞", "ol", "o/l", "o.l", "o.l.", "or", "inf", "infinity", "overrange", "over range", "open"}
)
_NUMBER = re.compile(r"\d+(?:\.\d+)?|\.\d+")
_ANY_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_MOST_DIGITS = 12
_TYPES = frozenset({"A", "AC", "F", "B", "B+", "C", "D", "K", "Z", "S", "EV"})
_STANDARD = re.compile(
    r"(?P<bs>BS)?[\s-]*(?P<en>EN)?[\s-]*(?:IEC)?\s*(?P<number>\d{2,5})(?P<part>(?:-\d{1,2}){0,2})",
    re.IGNORECASE,
)
# Which body's number it is, value from memory of the titles of the standards.
_EUROPEAN = frozenset({"60898", "61008", "61009", "60947", "60269", "62423", "62606", "61439", "60439"})
_BRITISH = frozenset({"88", "1361", "1362", "3036", "3871", "4293", "7288", "1363"})
_DATE_FORMS = (
    "%Y-%m-%d", "%d/%m/%Y", "%d/%m/%y", "%d-%m-%Y", "%d.%m.%Y", "%d.%m.%y",
    "%d %b %Y", "%d %B %Y", "%d %b %y", "%d-%b-%Y", "%d-%b-%y",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Taken:
    """text: as the record would keep it. note: what was changed. problem: what is wrong, and what to type."""

    text: str = ""
    note: str | None = None
    problem: str | None = None


_DASHED = Taken("N/A", "A dash is read as N/A, not applicable.")


def read_cell(field: Field, raw: Raw, unit: Unit | None = None) -> Taken:
    """Read a cell of the column ``field``; ``unit`` is the one its heading names, if any."""
    if fault := _unreadable(field, raw):
        return Taken(problem=fault)
    text = plain_text(raw.text)
    if text in _NOT_ENTERED:
        return Taken()
    taken = _READERS[field.kind](field, raw.text if field.kind is FieldKind.TEXT else text, unit)
    if raw.note and not taken.problem:
        return Taken(taken.text, " ".join(filter(None, (raw.note, taken.note))))
    return taken


def _unreadable(field: Field, raw: Raw) -> str | None:
    if raw.found is Found.ERROR:
        return f"The cell shows the spreadsheet error {raw.text}. Type the {_what(field)} itself."
    if raw.found is Found.NO_VALUE:
        return (
            "The cell holds a formula whose result was never stored. Open the file in a spreadsheet program "
            f"and save it again, or type the {_what(field)} itself."
        )
    if raw.found is Found.DATE and field.kind is not FieldKind.DATE:
        return (
            f"The spreadsheet has turned what was typed into a date ({raw.text}). Set the cell’s format to "
            f"Text and type the {_what(field)} again."
        )
    if len(raw.text) > MAX_TEXT:
        return f"The text is longer than {MAX_TEXT:,} characters. Shorten it."
    return None


def _what(field: Field) -> str:
    return {FieldKind.READING: "reading", FieldKind.DATE: "date"}.get(field.kind, "value")


def _state(text: str) -> str | None:
    return _STATE.get(re.sub(r"[\s.]", "", text).casefold())


def _read_reading(field: Field, text: str, unit: Unit | None) -> Taken:
    if _DASH.fullmatch(text):
        return _DASHED
    if state := _state(text):
        return Taken(state)
    if text.casefold() in _ENDLESS:
        return Taken(
            problem=f"“{text}” gives no figure. Type > and the top of the instrument’s range, such as >999."
        )
    if match := _OVER_RANGE.fullmatch(text):
        figure = match["a"] or match["b"] or match["c"]
        return Taken(
            problem=f"“{text}” is not in the notation. If the instrument ran out of range, type >{figure}"
        )
    wanted = read_unit(field.unit)
    if (value := split_value(text)) and wanted:
        return Taken(problem=_unit_advice(text, value, unit or wanted))
    try:
        reading = Reading.parse(text)
        if reading.value is None or unit is None or wanted is None or unit == wanted:
            return Taken(reading.text)
        sign = reading.text.rstrip("0123456789.")
        converted = Reading.parse(sign + convert(reading.text.lstrip("<>"), unit, wanted))
        return Taken(converted.text, f"{reading.text} {unit.symbol} is {converted.text} {wanted.symbol}.")
    except ReadingError as error:
        return Taken(problem=str(error))


def _unit_advice(text: str, value: tuple[str, str, Unit], wanted: Unit) -> str:
    relation, digits, given = value
    if given.base != wanted.base:
        return f"“{text}” is in {given.symbol}. Type the number in the unit of the column, {wanted.symbol}."
    figure = relation + convert(digits, given, wanted)
    return f"“{text}” has a unit in the cell. Type the number alone, in {wanted.symbol}: {figure}"


def _read_tick(field: Field, text: str, unit: Unit | None) -> Taken:
    if _DASH.fullmatch(text):
        return _DASHED
    if text.casefold() in _PASS:
        return Taken("✓")
    if text.casefold() in _FAIL:
        return Taken("✗")
    if state := _state(text):
        return Taken(state)
    try:
        return Taken(Reading.parse_tick(text).text)
    except ReadingError:
        return Taken(problem=f"“{text}” is not pass or fail. Type ✓ or ✗ (Y or X will do), LIM, N/V or N/A.")


def _read_whole(field: Field, text: str, unit: Unit | None) -> Taken:
    taken = _read_figure(field, text, unit)
    if not _NUMBER.fullmatch(taken.text):
        return taken
    value = Decimal(taken.text)
    if value != value.to_integral_value():
        return Taken(problem=f"“{text}” is not a whole number. Type a whole number such as {int(value)}.")
    return Taken(str(int(value)), taken.note)


def _read_figure(field: Field, text: str, unit: Unit | None) -> Taken:
    """A figure of the circuit's details: a number, or N/A, LIM or N/V."""
    if _DASH.fullmatch(text):
        return _DASHED
    if state := _state(text):
        return Taken(state)
    wanted = read_unit(field.unit)
    given, digits = unit or wanted, text
    note = None
    if (value := split_value(text)) and not value[0]:
        _, digits, given = value
        note = f"“{text}”: the unit is left to the heading."
        if wanted is None or given.base != wanted.base:
            kind = f"in {wanted.symbol}" if wanted else "a number without a unit"
            return Taken(
                problem=f"“{text}” is in {given.symbol}. {field.heading} is {kind}. Type that alone."
            )
    if not _NUMBER.fullmatch(digits) or len(digits) > _MOST_DIGITS:
        return Taken(problem=_figure_advice(field, text))
    if given and wanted and given != wanted:
        figure = convert(digits, given, wanted)
        return Taken(figure, f"{digits} {given.symbol} is {figure} {wanted.symbol}.")
    return Taken(digits, note)


def _figure_advice(field: Field, text: str) -> str:
    unit = f", in {field.unit}" if field.unit else ""
    if re.fullmatch(r"\d+,\d+", text):
        return f"“{text}” has a comma. Type a point: {text.replace(',', '.')}"
    numbers = _ANY_NUMBER.findall(text)
    if len(numbers) == 1 and len(numbers[0]) <= _MOST_DIGITS:
        return f"“{text}” is not a number. Type the number alone{unit}, such as {numbers[0]}, or N/A."
    return f"“{text}” is not one number. Type one number{unit}, or N/A."


def _read_text(field: Field, text: str, unit: Unit | None) -> Taken:
    text = "\n".join(" ".join(line.split()) for line in text.splitlines()).strip()
    if _DASH.fullmatch(plain_text(text)):
        if field.dash_is_not_applicable:
            return _DASHED
        return Taken("", "A dash is read as nothing entered.")
    if field.dash_is_not_applicable and (state := _state(text)):
        return Taken(state)
    if field.name in ("device_type", "rcd_type"):
        letters = re.sub(r"^type\s+", "", text, flags=re.IGNORECASE)
        return Taken(letters.upper() if letters.upper() in _TYPES else letters)
    return Taken(text)


def _read_standard(field: Field, text: str, unit: Unit | None) -> Taken:
    if _DASH.fullmatch(text) or _state(text):
        return _read_text(field, text, unit)
    match = _STANDARD.fullmatch(text)
    if not match:
        return Taken(text)
    number = match["number"]
    if number in _EUROPEAN:
        body = "BS EN"
    elif number in _BRITISH:
        body = "BS"
    else:
        body = " ".join(part.upper() for part in (match["bs"], match["en"]) if part)
    full = f"{body} {number}{match['part']}".strip()
    return Taken(full, None if full == text else f"“{text}” is written out as {full}.")


def _read_date_cell(field: Field, text: str, unit: Unit | None) -> Taken:
    if _DASH.fullmatch(text) or _state(text):
        return Taken("", f"“{text}” is read as no date.")
    found = read_date(text)
    if not found:
        return Taken(problem=f"“{text}” is not a date. Type day, month and year, such as 03/11/2026.")
    iso = found.isoformat()
    return Taken(iso, None if text.startswith(iso) else f"“{text}” is read as {found.day} {found:%B %Y}.")


def read_date(text: str) -> date | None:
    """A date as written in the United Kingdom, day before month, or year first.

    >>> read_date("03/11/2026"), read_date("3 Nov 2026"), read_date("11/2026")
    (datetime.date(2026, 11, 3), datetime.date(2026, 11, 3), None)
    """
    text = re.sub(r"(?<=\d)(?:st|nd|rd|th)\b", "", re.sub(r"[ T]\d\d:\d\d(:\d\d)?$", "", text.strip()))
    for form in _DATE_FORMS:
        try:
            return datetime.strptime(text, form).date()  # noqa: DTZ007 - a date has no time zone
        except ValueError:
            continue
    return None


def _read_choice(field: Field, text: str, unit: Unit | None) -> Taken:
    word = re.sub(r"[\s_]+", " ", text).casefold()
    for value, words in field.choices:
        if word in words or word == value.replace("_", " ").casefold():
            return Taken(value)
    wanted = ", ".join(words[0] if words else value for value, words in field.choices)
    return Taken(problem=f"“{text}” is not one of the choices. Type one of: {wanted}.")


def _read_yes_no(field: Field, text: str, unit: Unit | None) -> Taken:
    word = text.casefold()
    if word in _PASS or word == field.heading.casefold():
        return Taken("yes")
    if word in _FAIL or _DASH.fullmatch(text) or word == f"not {field.heading.casefold()}":
        return Taken("no")
    return Taken(problem=f"“{text}” is neither yes nor no. Type yes or no.")


def _read_tests(field: Field, text: str, unit: Unit | None) -> Taken:
    names: list[str] = []
    for part in filter(None, (part.strip(" .") for part in re.split(r"[,;\n]|\band\b|&", text))):
        found = columns_of_test(part)
        if not found:
            return Taken(
                problem=f"“{part}” is not a test of the schedule. Type its headings with commas between, "
                "such as Live-live, Live-earth, Zs."
            )
        names += found
    names = list(dict.fromkeys(names))
    headings = ", ".join(TESTS[name] for name in names)
    return Taken(", ".join(names), f"“{text}” is read as {headings}.")


def _read_circuit(field: Field, text: str, unit: Unit | None) -> Taken:
    way, phase = split_circuit(text)
    return Taken(f"{way} {phase}".strip())


_READERS = {
    FieldKind.TEXT: _read_text,
    FieldKind.WHOLE: _read_whole,
    FieldKind.DECIMAL: _read_figure,
    FieldKind.READING: _read_reading,
    FieldKind.TICK: _read_tick,
    FieldKind.DATE: _read_date_cell,
    FieldKind.CHOICE: _read_choice,
    FieldKind.YES_NO: _read_yes_no,
    FieldKind.TESTS: _read_tests,
    FieldKind.CIRCUIT: _read_circuit,
    FieldKind.STANDARD: _read_standard,
}
