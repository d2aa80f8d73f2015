"""An answer of the audit as a file: one description of its rows, three ways to write it."""

from collections.abc import Iterable, Iterator

from inspections.columns import Column as SheetColumn
from inspections.columns import Kind
from inspections.models import Client, Installation
from reports.audit.asked import Asked
from reports.audit.question import Question, Value, every_row
from reports.sheets.sheet import Cell, Document, Fact, Sheet

PDF_ROWS = 5_000  # some 200 pages; more is for a spreadsheet
IN_ONE_PIECE = 10_000  # a longer workbook is written row by row


def cells(question: Question, asked: Asked) -> Iterator[tuple[Cell, ...]]:
    """Every row of the answer, one cell a column."""
    for row in every_row(question, asked):
        yield tuple(_cell(column.value(row, asked)) for column in question.columns)


def _cell(value: Value) -> Cell:
    return "" if value is None else value


def document(question: Question, asked: Asked, size: int) -> Document:
    """The answer, of ``size`` rows, as a document for every writer. The rows of a long one are read as they
    are written."""
    rows = cells(question, asked)
    figure = question.figure(question.found(asked), asked) if question.figure and size else None
    return Document(
        title=question.title,
        identity=identity(asked),
        facts=(*chosen_in_words(question, asked), Fact("Rows", f"{size:,}")),
        sheets=(
            Sheet(
                question.title,
                sheet_columns(question),
                rows if size > IN_ONE_PIECE else tuple(rows),
                notes=question.notes,
                tab="Answer",
                figure=figure,
            ),
        ),
        cautions=(" ".join(question.cautions),) if question.cautions else (),
        key=(),
        made_by=f"Stillacross, {asked.day:%-d %b %Y}",
        author=asked.firm.name,
        notice=asked.firm.notice,
    )


def identity(asked: Asked) -> str:
    return f"{asked.firm}, as the record stood on {asked.day:%-d %b %Y}"


def sheet_columns(question: Question) -> tuple[SheetColumn, ...]:
    return tuple(
        SheetColumn(
            name=f"c{number}",
            heading=column.heading,
            kind=Kind.WHOLE if column.is_number else Kind.TEXT,
            width_mm=column.width_mm,
        )
        for number, column in enumerate(question.columns)
    )


def chosen_in_words(question: Question, asked: Asked) -> tuple[Fact, ...]:
    """What was asked, for whoever reads the file later."""
    told = [
        Fact(number.label, str(asked.numbers[number.name]))
        for number in question.numbers
        if asked.numbers.get(number.name) is not None
    ]
    for label, model, pk in (("Client", Client, asked.client), ("Installation", Installation, asked.place)):
        if pk:
            told.append(Fact(label, str(model.objects.for_firm(asked.firm).get(pk=pk))))
    for facet in question.facets:
        keys = asked.chosen.get(facet.name, ())
        if keys:
            told.append(Fact(facet.label, ", ".join(_in_words(facet, keys))))
    return tuple(told) or (Fact("Asked", "everything"),)


def _in_words(facet, keys) -> Iterable[str]:
    if facet.is_open:
        words = facet.words(keys) if facet.words else {}
        return [words.get(key, key) for key in keys]
    return [choice.words for choice in facet.choices if choice.key in keys]
