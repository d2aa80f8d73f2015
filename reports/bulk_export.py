"""Every issued record written to a folder, its PDF and its content; it may be stopped at any moment.

A file is there whole or not at all, and what is there is known by its SHA-256: begun again, an export writes
what is missing. Drawing again, which takes most of the time, keeps a list of what it has done.
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.core.exceptions import ValidationError
from django.utils.text import slugify

from inspections.models import Firm
from reports import kept_pdf
from reports.content import sha256_of
from reports.models import IssuedRecord
from reports.services.pdf import draw_pdf, drawn_again
from reports.verify import why_it_fails

UNFINISHED = ".unfinished"
SAME, DIFFERS = "same", "differs"


class FolderInUse(ValueError):
    """Another export is writing to the folder."""


class LeftOut(ValueError):
    """Why a record cannot be handed out."""


@dataclass(frozen=True, slots=True)
class Step:
    """What became of one record. name: its files without their endings, from the folder. said: in words.
    why: the reason, where there is one."""

    name: str
    said: str
    is_wrong: bool = False
    why: str = ""

    def __str__(self):
        return f"{self.name}: {self.said}{f': {self.why}' if self.why else ''}"


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """The folder, made where it is not there, for this export alone. Raises FolderInUse."""
    folder.mkdir(parents=True, exist_ok=True)
    place = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(place, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise FolderInUse(f"Another export is writing to {folder}.") from None
        yield
    finally:
        os.close(place)


def records_of(firms: list[Firm]):
    """Their records, in the order they are exported."""
    return IssuedRecord.objects.filter(firm__in=firms).order_by("firm__name", "number", "revision")


def name_of(record: IssuedRecord) -> str:
    """``tidewell-electrical-1/00012``, ``tidewell-electrical-1/00012-revision-2``."""
    firm = slugify(f"{record.firm.name} {record.firm_id}", allow_unicode=True)
    revision = f"-revision-{record.revision}" if record.revision > 1 else ""
    return f"{firm}/{record.number:05}{revision}"


def export(folder: Path, firms: list[Firm]) -> Iterator[Step]:
    """Write what is not there yet, a record at a step. A PDF that was not drawn yet is drawn and kept."""
    for record in records_of(firms).select_related("firm").defer("content"):
        name = name_of(record)
        if all(_is_there(path, sha256) for path, sha256 in _files(folder, record)):
            yield Step(name, "there already")
        else:
            yield _write_record(folder, name, record.pk)


def _files(folder: Path, record: IssuedRecord) -> tuple[tuple[Path, str], ...]:
    name = name_of(record)
    return (folder / f"{name}.json", record.sha256), (folder / f"{name}.pdf", record.pdf_sha256)


def _is_there(path: Path, sha256: str) -> bool:
    return path.is_file() and sha256_of(path.read_bytes()) == sha256


def pdf_of(record: IssuedRecord) -> bytes:
    """The PDF of a record that holds, drawn now and kept where it was not before. Raises LeftOut."""
    if reason := why_it_fails(record):
        raise LeftOut(reason)
    try:
        return kept_pdf.read(record if record.pdf_sha256 else draw_pdf(record))
    except ValidationError as error:
        raise LeftOut(" ".join(error.messages)) from error


def _write_record(folder: Path, name: str, pk: int) -> Step:
    record = IssuedRecord.objects.get(pk=pk)
    try:
        pdf = pdf_of(record)
    except LeftOut as reason:
        return Step(name, "left out", is_wrong=True, why=str(reason))
    _write(folder / f"{name}.json", record.json)
    _write(folder / f"{name}.pdf", pdf)
    return Step(name, "written")


def _write(path: Path, content: bytes) -> None:
    """The file whole or not at all."""
    path.parent.mkdir(exist_ok=True)
    unfinished = path.with_name(path.name + UNFINISHED)
    unfinished.write_bytes(content)
    unfinished.replace(path)


class DrawnAgain:
    """The list of records drawn again, a line each: ``drawn-again.txt`` in the folder once it is complete."""

    def __init__(self, folder: Path):
        self.path = folder / "drawn-again.txt"
        self._unfinished = folder / f"{self.path.name}{UNFINISHED}"
        self.found: dict[str, str] = dict(self._lines())
        # The line that was being written when it was stopped goes.
        self._unfinished.write_text("".join(_line(*pair) for pair in self.found.items()), "utf-8")

    def _lines(self) -> Iterator[tuple[str, str]]:
        if self._unfinished.exists():
            for line in self._unfinished.read_text(encoding="utf-8").splitlines(keepends=True):
                name, _, found = line.partition("\t")
                if found in (f"{SAME}\n", f"{DIFFERS}\n"):
                    yield name, found.strip()

    def add(self, name: str, found: str) -> None:
        with self._unfinished.open("a", encoding="utf-8") as lines:
            lines.write(_line(name, found))
        self.found[name] = found

    def complete(self) -> None:
        self._unfinished.replace(self.path)


def _line(name: str, found: str) -> str:
    return f"{name}\t{found}\n"


def draw_again(folder: Path, firms: list[Firm], done: DrawnAgain) -> Iterator[Step]:
    """Draw each record that has its PDF again, from its content alone, and hold it to what was kept. What
    comes out otherwise is written beside it."""
    rows = records_of(firms).exclude(pdf_sha256="").select_related("firm")
    for record in rows.defer("content"):
        name = name_of(record)
        if name in done.found:
            yield Step(name, f"drawn again before: {done.found[name]}", done.found[name] == DIFFERS)
            continue
        record = IssuedRecord.objects.get(pk=record.pk)
        try:
            pdf = pdf_of(record)
        except LeftOut as reason:
            yield Step(name, "left out", is_wrong=True, why=str(reason))
            continue
        drawn = drawn_again(record)
        found = SAME if is_drawing_of(pdf, drawn) else DIFFERS
        if found == DIFFERS:
            _write(folder / f"{name}-drawn-again.pdf", drawn)
        done.add(name, found)
        yield Step(name, f"drawn again: {found}", found == DIFFERS)
    done.complete()


def is_drawing_of(kept: bytes, drawn: bytes) -> bool:
    """Whether the PDF kept is the one drawn; a signed one is it with the signature behind."""
    if kept == drawn:
        return True
    from reports.report.sign import signed_by  # pyHanko stays out of start-up

    return kept.startswith(drawn) and signed_by(kept) != ""
