"""Editions, their errors, and the spellings of devices and RCD types."""

import re

import pytest

from inspections.rules import edition, tables, visual
from inspections.rules.devices import RcdType, device, rcd_type
from inspections.rules.outcome import UnknownCode, outcome
from inspections.rules.rule_file import EditionError

BS7671 = edition.load("bs7671_2018_a2_2022")
IEC = edition.load("iec60364_6_2016")
TEXT = (edition.FOLDER / "bs7671_2018_a2_2022.toml").read_text(encoding="utf-8")


def test_an_edition_that_is_not_there_names_those_that_are():
    with pytest.raises(EditionError, match=r"no edition “bs7671_1992”.*bs7671_2018_a2_2022, iec60364_6_2016"):
        edition.load("bs7671_1992")


@pytest.mark.parametrize(
    ("find", "put", "says"),
    [
        ('title = "', 'tidle = "', "title is missing"),
        ("[report]", "[rapport]", "report is missing"),
        ("c_min = {", "c_mim = {", "loop: c_min is missing"),
        ("value = 0.95", 'value = "0.95"', "loop, c_min: value is missing or of the wrong kind"),
        ("value = 0.95", "value = true", "loop, c_min: value is missing"),
        ("extra_low = true", "extra_low = 1", "insulation, row 1: extra_low is missing"),
        ('spellings = ["3871"]', "spellings = [3871]", "device 3: spellings is missing"),
        ('standard = "BS 88-2"', "standard = 882", "device 5: standard is missing"),
        ("{ 3 = 15.60", "{ three = 15.60", "“three”, which is not a number"),
        ("[loop]\n", "[loop\n", "cannot be read"),
        ("[[rcd.suits]]", "[rcd.suits]", "cannot be read"),
    ],
)
def test_a_broken_file_says_what_and_where(find, put, says):
    assert find in TEXT
    with pytest.raises(EditionError, match=re.escape(says)):
        edition.read("broken", TEXT.replace(find, put))


def test_rows_must_be_rows():
    with pytest.raises(EditionError, match="device is missing or of the wrong kind"):
        edition.read("broken", re.sub(r"\[\[device.*(?=\[ring\])", "[device]\n", TEXT, flags=re.DOTALL))


def test_what_an_edition_leaves_out_is_none():
    assert (IEC.ring_line_neutral_within_ohm, IEC.fault_current, IEC.voltage_drop, IEC.outcome) == (None,) * 4
    assert IEC.thermal == ()
    assert str(IEC) == "IEC 60364-6:2016"


@pytest.mark.parametrize(
    ("written", "standard"),
    [
        ("60898", "BS EN 60898"), ("BS EN 60898-1", "BS EN 60898"), ("BSEN60898", "BS EN 60898"),
        ("bs en 60898:2019", "BS EN 60898"), ("60898 B", "BS EN 60898"), ("MCB", "BS EN 60898"),
        ("61009", "BS EN 61009"), ("61009-1", "BS EN 61009"), ("RCBO", "BS EN 61009"),
        ("IEC 61009", "BS EN 61009"), ("BS 3036", "BS 3036"), ("3036", "BS 3036"), ("88-3", "BS 88-3"),
        ("BS88-3", "BS 88-3"), ("BS 88.2", "BS 88-2"), ("BS 88 Part 2", "BS 88-2"), ("BS 88-2.2", "BS 88-2"),
        ("BS HD 60269-3", "BS 88-3"), ("1361", "BS 1361"), ("BS1362", "BS 1362"), ("BS 3871-1", "BS 3871"),
        ("60947-2", "BS EN 60947-2"), ("MCCB", "BS EN 60947-2"),
    ],
)  # fmt: skip
def test_standards_as_the_trade_types_them(written, standard):
    assert device(BS7671, written, "").standard.standard == standard


@pytest.mark.parametrize("written", ["", "88", "BS 88", "608", "1608980", "60947", "60947-3", "N/A", "fuse"])
def test_a_standard_that_could_be_several_or_none_is_not_guessed(written):
    assert device(BS7671, written, "") is None


@pytest.mark.parametrize(
    ("standard", "written", "meant"),
    [
        ("60898", "B", "B"), ("60898", "Type c", "C"), ("60898", "B32", "B"), ("60898", "D 20A", "D"),
        ("60898 C", "", "C"), ("60898-1", "", ""), ("61009B", "", "B"), ("1361", "type II", "II"),
        ("88-2", "gG", "GG"), ("3871", "2", "2"), ("3036", "S2A", "S2A"),
    ],
)  # fmt: skip
def test_types_as_the_trade_types_them(standard, written, meant):
    assert device(BS7671, standard, written).type == meant


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("AC", ("AC", False)), ("Type A", ("A", False)), ("a", ("A", False)), ("F", ("F", False)),
        ("B", ("B", False)), ("S", ("", True)), ("A S", ("A", True)), ("AC/S", ("AC", True)),
        ("A-S", ("A", True)), ("AS", ("A", True)), ("S type A", ("A", True)), ("time delayed", ("", True)),
        ("A selective", ("A", True)), ("A G", ("A", False)), ("", ("", False)), ("-", ("", False)),
    ],
)  # fmt: skip
def test_rcd_types_as_the_trade_types_them(written, meant):
    assert rcd_type(written) == RcdType(*meant)


@pytest.mark.parametrize("written", ["A AC", "electronic", "X", "A F"])
def test_an_rcd_type_that_cannot_be_read(written):
    assert rcd_type(written) is None


@pytest.mark.parametrize(
    ("codes", "satisfactory", "reason"),
    [
        # BS 7671 Appendix 6 and Electrical Safety First Best Practice Guide 4.
        (["C1"], False, "Unsatisfactory: C1 once."),
        (["c2", "C3"], False, "Unsatisfactory: C2 once."),
        (["FI"], False, "Unsatisfactory: FI once."),
        (["C3", "C3", "C3"], True, "Satisfactory: C3 3 times alone."),
        ([], True, "Satisfactory: no observation is open."),
    ],
)
def test_outcome_of_the_codes(codes, satisfactory, reason):
    it = outcome(codes, BS7671)
    assert (it.satisfactory, it.reason) == (satisfactory, reason)


def test_a_code_that_is_none_is_refused():
    with pytest.raises(UnknownCode, match=r"“C4” is not a code. Use one of C1, C2, FI, C3."):
        outcome(["C3", "C4"], BS7671)


def test_an_edition_without_codes_gives_no_outcome():
    assert outcome(["C1"], IEC).satisfactory is None


def test_visual_items_have_text_a_regulation_and_a_key_of_their_own():
    items = [item for area in visual.areas() for item in area.items]
    assert 35 <= len(items) <= 50
    assert all(item.text and re.fullmatch(r"\d{3}(\.\d+)*|Part 7", item.source.clause) for item in items)
    assert visual.item(items[0].key) is items[0]


def test_a_visual_key_used_twice_is_refused():
    text = visual.FILE.read_text(encoding="utf-8").replace('"luminaires"', '"lampholders"')
    with pytest.raises(EditionError, match="“lampholders” is used twice"):
        visual.read(text)


def test_broken_tables_say_what_is_missing():
    with pytest.raises(EditionError, match=r"tables\.toml: copper_flexible is missing"):
        tables.read(tables.FILE.read_text(encoding="utf-8").replace("[copper_flexible]", "[aluminium]"))
