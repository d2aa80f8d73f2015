"""Values of a record as the words that stand on paper."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from inspections.words import SAMPLE_NOTICE, on_one_line

Content = dict[str, Any]
"""The content of a record, or a part of it, in the shape of ``reports/content/schema-1.json``."""


def notice(content: Content) -> str:
    """What stands on every page of a sample's papers; nothing on those of a record."""
    return SAMPLE_NOTICE if "sample" in content else ""


def day(iso: str | None) -> str:
    """A day as people write it; empty for none.

    >>> day("2026-11-03")
    '3 Nov 2026'
    """
    return f"{date.fromisoformat(iso):%-d %b %Y}" if iso else ""


def days(first: str, last: str | None) -> str:
    """The days of a visit: one, or the first and the last.

    >>> days("2026-11-03", "2026-11-05"), days("2026-10-30", "2026-11-02")
    ('3 to 5 Nov 2026', '30 Oct to 2 Nov 2026')
    """
    if not last or last == first:
        return day(first)
    begin, end = date.fromisoformat(first), date.fromisoformat(last)
    if begin.year != end.year:
        return f"{day(first)} to {day(last)}"
    return f"{begin:%-d}{'' if begin.month == end.month else f'{begin: %b}'} to {day(last)}"


def continued(text: str) -> str:
    """A phrase as it goes on within a sentence; one that begins with an abbreviation stays as it is.

    >>> continued("In writing"), continued("RCBO")
    ('in writing', 'RCBO')
    """
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text


def address(content: Content) -> str:
    """Where the installation is, on one line."""
    place = content["installation"]
    return on_one_line(f"{place['address']}\n{place['postcode']}")


def with_unit(reading: str, unit: str) -> str:
    """A reading with its unit; a word such as LIM, or nothing, stays as it is.

    >>> with_unit("0.19", "Ω"), with_unit("LIM", "Ω"), with_unit("", "Ω")
    ('0.19 Ω', 'LIM', '')
    """
    return f"{reading} {unit}" if reading[-1:].isdigit() else reading


def listed(words: Sequence[str]) -> str:
    """Words in a row: ``1, 2 and 5``.

    >>> listed(["1", "2", "5"]), listed(["7"])
    ('1, 2 and 5', '7')
    """
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def counted(count: int, one: str, many: str = "") -> str:
    """A count with its noun: ``1 circuit``, ``2 circuits``, ``no circuits``."""
    return f"{count or 'no'} {one if count == 1 else many or one + 's'}"


def number(content: Content) -> str:
    """``No. 12``, ``No. 12 revision 2``; of what is not issued, that it is a draft."""
    issue = content["issue"]
    if not issue:
        return "Draft, not issued"
    return f"No. {issue['number']}" + (f" revision {issue['revision']}" if issue["revision"] > 1 else "")


def visit(content: Content) -> str:
    """What kind of visit, and when."""
    inspection = content["inspection"]
    return f"{inspection['kind']['words']}, {days(inspection['started_on'], inspection['finished_on'])}"


def identity(content: Content) -> str:
    """The one line that tells the pages of one report from those of any other."""
    return f"{number(content)} · {content['installation']['name']} · {visit(content)}"


def supply(content: Content) -> str:
    """The supply of a record in words."""
    place = content["installation"]
    return supply_of(
        place["earthing"]["words"],
        place["phases"]["words"],
        place["nominal_voltage_v"],
        place["frequency_hz"],
    )


def supply_of(earthing: str, phases: str, volts: int, hertz: int) -> str:
    """``TN-C-S, single-phase, 230 V to earth, 50 Hz``."""
    return f"{earthing}, {phases.lower()}, {volts} V to earth, {hertz} Hz"


def made_by(content: Content) -> str:
    """Who made the document, and with what."""
    return f"{content['firm']['name']}, with Stillacross"
