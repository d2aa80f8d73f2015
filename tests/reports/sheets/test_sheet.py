"""The description both writers read, and the text helpers they share."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.columns import DETAILS
from inspections.rules.readings import BLANK, Reading
from reports.sheets.sheet import NOT_ENTERED, Sheet, SheetError
from reports.sheets.text import cell_text, clean, entered_text


def test_row_with_a_cell_too_few_names_sheet_and_row():
    with pytest.raises(SheetError, match="“DB1”, row 2: 16 cells for 17 columns"):
        Sheet("DB1", DETAILS, ((None,) * 17, (None,) * 16))


def test_sheet_without_columns_is_refused():
    with pytest.raises(SheetError, match="has no columns"):
        Sheet("DB1", (), ())


def test_groups_cover_every_column_once_in_order():
    sheet = Sheet("DB1", DETAILS, ())
    assert [name for name, _, _ in sheet.groups()] == ["Circuit", "Conductors", "Protective device", "RCD"]
    covered = [n for _, start, end in sheet.groups() for n in range(start, end)]
    assert covered == list(range(len(DETAILS)))
    for name, start, end in sheet.groups():
        assert {column.group for column in DETAILS[start:end]} == {name}


@pytest.mark.parametrize(
    ("cell", "printed", "entered"),
    [
        (None, NOT_ENTERED, ""),
        (BLANK, NOT_ENTERED, ""),
        ("", "", ""),
        ("N/A", "N/A", "N/A"),
        (Reading.parse("N/A"), "N/A", "N/A"),
        (Reading.parse("> 200"), ">200", ">200"),
        (Reading.parse("0.50"), "0.50", "0.50"),
        (Decimal("2.50"), "2.50", "2.50"),
        (Decimal("1E+2"), "100", "100"),
        (32, "32", "32"),
        (date(2026, 11, 3), "3 Nov 2026", "2026-11-03"),
    ],
)
def test_cell_prints_what_was_written_and_a_mark_when_nothing_was(cell, printed, entered):
    assert cell_text(cell) == printed
    assert entered_text(cell) == entered


def test_number_that_is_none_is_refused():
    with pytest.raises(SheetError, match="NaN"):
        cell_text(Decimal("NaN"))


def test_clean_keeps_what_can_be_seen():
    assert clean("a\tb\r\nc\x07d\ud800e\ufffff\u2028g") == "a b\ncdef\ng"
    assert clean("Ω µ ✓ é 電 😀 עברית") == "Ω µ ✓ é 電 😀 עברית"


@given(st.text())
def test_clean_text_can_be_encoded_and_holds_no_control_character(text):
    cleaned = clean(text)
    assert cleaned.encode("utf-8").decode("utf-8") == cleaned
    assert not any(ord(c) < 32 and c != "\n" for c in cleaned)
    assert clean(cleaned) == cleaned
