"""What holds whatever the file: headings in any order and spelling, and no file that breaks the reader."""

import json
import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspections.columns import BY_NAME, Column
from inspections.intake.cells import read_cell
from inspections.intake.circuits import split_circuit
from inspections.intake.grid import Found, Raw
from inspections.intake.read import read_file
from inspections.intake.result import IntakeError, IntakeFile
from inspections.intake.tables import TABLES, FieldKind
from inspections.intake.workbook import OLE, ZIP
from inspections.rules.readings import Reading
from tests.inspections.intake import samples

GOOD = (samples.FIXTURES / "larkfield-schedule.xlsx").read_bytes()
CASED = {"r1", "rn", "r2", "r2_only"}
FIELDS = [field for table in TABLES for field in table.fields]
bounded = settings(max_examples=60)


@st.composite
def headings(draw) -> list[tuple[Column, str]]:
    """Some columns in any order, each under one of its spellings in some case, with or without its unit."""
    some = draw(st.lists(st.sampled_from(list(BY_NAME.values())), min_size=2, unique_by=lambda c: c.name))
    columns = draw(st.permutations([c for c in some if c.name != "designation"] + [BY_NAME["designation"]]))
    chosen = []
    for column in columns:
        text = draw(st.sampled_from([column.heading, *column.spellings]))
        if column.name not in CASED:
            text = draw(st.sampled_from([text, text.upper(), text.title(), f" {text}  "]))
        if column.unit and draw(st.booleans()):
            around = draw(st.sampled_from([" ({})", " [{}]", "\n({})"]))
            text += around.format(column.unit)
        chosen.append((column, text))
    return chosen


@bounded
@given(headings())
def test_columns_are_known_in_any_order_case_and_spelling(chosen):
    # Two headings of one word, such as Type, can be told apart by their groups alone.
    groups = [column.group or None for column, _ in chosen]
    data = samples.text_file([groups, [text for _, text in chosen], ["1"] * len(chosen)])
    file = read_file("DB1.csv", data)
    assert [heading.name for heading in file.headings] == [column.name for column, _ in chosen]
    assert len(file.rows) == 1


def outcome(name: str, data: bytes) -> IntakeFile | str:
    """The file as read, or the words it was refused with. Any other exception fails the test."""
    try:
        return read_file(name, data)
    except IntakeError as error:
        return str(error)


@bounded
@given(
    st.binary(max_size=400),
    st.sampled_from([b"", *ZIP, OLE, b"\xff\xfe"]),
    st.sampled_from(["x.xlsx", "x.csv"]),
)
def test_junk_is_refused_with_words(junk, beginning, name):
    assert str(outcome(name, beginning + junk)).endswith(".")


@bounded
@given(st.lists(st.tuples(st.integers(0, len(GOOD) - 1), st.integers(0, 255)), min_size=1, max_size=20))
def test_a_damaged_workbook_is_refused_or_read(damage):
    broken = bytearray(GOOD)
    for place, byte in damage:
        broken[place] = byte
    result = outcome("x.xlsx", bytes(broken))
    assert isinstance(result, IntakeFile) or result.endswith(".")


cell_texts = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["No.", "Description", "Zs", "Circuits: ", "Board: DB1", "Ze 0.2", "LIM", ">200", "1 L1", "-"]
    ),
)


@bounded
@given(st.lists(st.lists(cell_texts, max_size=8), max_size=12))
def test_any_rows_under_headings_give_a_preview_that_can_be_kept(rows):
    rows = [[text.replace("\x00", "") for text in row] for row in rows]
    data = samples.text_file(
        [["No.", "Description", "Zs", "Polarity", "Points"], *rows], encoding="utf-8-sig"
    )
    file = outcome("x.csv", data)
    if isinstance(file, str):
        assert "neither a workbook nor a text file" in file
        return
    assert IntakeFile.from_dict(json.loads(json.dumps(file.to_dict()))) == file
    assert all(
        re.search(r"type|correct|shorten|choose", problem.text, re.IGNORECASE) for problem in file.problems
    )


@bounded
@given(st.sampled_from(FIELDS), st.text(max_size=40), st.sampled_from(list(Found)))
def test_a_cell_is_kept_or_told_and_never_both(field, text, found):
    taken = read_cell(field, Raw(text, found))
    assert not (taken.text and taken.problem)
    if field.kind is FieldKind.READING and taken.text:
        assert Reading.parse(taken.text).text == taken.text


@bounded
@given(st.decimals(min_value=0, max_value=9999, places=2), st.sampled_from(["", ">", "<", "> "]))
def test_every_reading_in_the_notation_is_kept_as_written(value, sign):
    field = next(field for field in FIELDS if field.name == "zs")
    assert read_cell(field, Raw(f"{sign}{value}")).text == f"{sign.strip()}{value}"


@bounded
@given(st.text(max_size=12))
def test_what_is_kept_of_a_circuit_number_reads_the_same_again(text):
    way, phase = split_circuit(text)
    assume(way)
    assert split_circuit(f"{way} {phase}".strip()) == (way, phase)


@pytest.mark.parametrize("column", BY_NAME.values(), ids=lambda column: column.name)
def test_each_column_has_a_reader(column):
    field = next(field for field in FIELDS if field.name == column.name)
    assert read_cell(field, Raw("N/A")).problem is None
