"""A reading in the database and in a form: what was written comes back, bad text is refused with advice."""

from decimal import Decimal

import pytest
from django.core import serializers
from django.core.exceptions import ValidationError
from django.forms import modelform_factory

from inspections.models import Board, Circuit, CircuitResult
from inspections.models.fields import ReadingField, TickField, natural_sort_key
from inspections.rules.readings import BLANK, Reading
from tests.factories import BoardFactory, CircuitFactory, CircuitResultFactory

WRITTEN = ["0.50", "0.5", ".50", "0.00", "0", ">200", "<0.01", "999999999999", "LIM", "N/V", "N/A", ""]
ReadingsForm = modelform_factory(CircuitResult, fields=["zs", "polarity"])


def stored(**readings):
    """A result as the database gives it back."""
    return CircuitResult.objects.get(pk=CircuitResultFactory(**readings).pk)


@pytest.mark.django_db
@pytest.mark.parametrize("text", WRITTEN)
def test_what_was_written_comes_back(text):
    reading = stored(zs=Reading.parse(text)).zs
    assert isinstance(reading, Reading)
    assert reading.text == text


@pytest.mark.django_db
def test_text_may_be_assigned_and_comes_back_a_reading():
    row = CircuitResultFactory()
    row.zs = " > 200 "
    row.polarity = "y"
    row.save()
    row.refresh_from_db()
    assert (row.zs, row.polarity) == (Reading.parse(">200"), Reading.parse("✓"))


@pytest.mark.django_db
def test_a_new_row_is_blank():
    row = stored()
    assert row.zs is BLANK
    assert CircuitResult.objects.filter(zs="").count() == 1


@pytest.mark.django_db
def test_readings_are_found_by_what_they_say():
    row = CircuitResultFactory(zs="LIM")
    CircuitResultFactory(zs="0.50")
    assert CircuitResult.objects.get(zs="lim") == row
    assert CircuitResult.objects.get(zs=Reading.parse("LIM")) == row
    assert set(CircuitResult.objects.values_list("zs", flat=True)) == {
        Reading.parse("LIM"),
        Reading.parse("0.50"),
    }


@pytest.mark.django_db
def test_text_out_of_the_notation_never_reaches_the_database():
    row = CircuitResultFactory()
    row.zs = "0,35"
    with pytest.raises(ValidationError, match=r"Type a point: 0\.35"):
        row.save()
    with pytest.raises(ValidationError, match="is not a reading"):
        CircuitResult.objects.filter(pk=row.pk).update(zs="about one")


@pytest.mark.parametrize("zero", [0, Decimal("0.00"), 0.0])
def test_zero_is_a_reading(zero):
    assert ReadingField().to_python(zero).value == 0


@pytest.mark.parametrize("nothing", [None, "", "  "])
def test_nothing_is_blank(nothing):
    assert ReadingField().to_python(nothing) is BLANK


def test_a_tick_field_takes_no_number():
    assert TickField().to_python("X").text == "✗"
    with pytest.raises(ValidationError, match="is a number"):
        TickField().to_python("0.5")


@pytest.mark.django_db
def test_every_problem_of_a_row_is_named_by_its_field():
    row = CircuitResultFactory()
    row.zs, row.polarity = "0,35", "5"
    with pytest.raises(ValidationError) as refusal:
        row.full_clean()
    assert set(refusal.value.message_dict) == {"zs", "polarity"}


@pytest.mark.django_db
def test_a_dump_keeps_the_text():
    row = CircuitResultFactory(zs="0.350")
    (loaded,) = serializers.deserialize("json", serializers.serialize("json", [row]))
    assert loaded.object.zs == Reading.parse("0.350")


def test_a_form_gives_readings():
    form = ReadingsForm({"zs": "> 200", "polarity": "y"})
    assert form.is_valid()
    assert form.cleaned_data == {"zs": Reading.parse(">200"), "polarity": Reading.parse("✓")}


def test_a_form_says_what_to_type_and_keeps_what_was_typed():
    form = ReadingsForm({"zs": "0,35", "polarity": "0.5"})
    assert not form.is_valid()
    assert form.errors["zs"] == ["“0,35” has a comma. Type a point: 0.35"]
    assert "is a number" in form.errors["polarity"][0]
    assert 'value="0,35"' in str(form["zs"])


def test_a_form_may_be_left_blank():
    form = ReadingsForm({"zs": "", "polarity": ""})
    assert form.is_valid()
    assert form.cleaned_data == {"zs": BLANK, "polarity": BLANK}


@pytest.mark.parametrize(
    ("typed", "changed"), [("0.50", []), (" 0.50", []), ("0.5", ["zs"]), ("0,5", ["zs"])]
)
def test_a_form_knows_whether_the_text_changed(typed, changed):
    form = ReadingsForm(
        {"zs": typed, "polarity": ""}, initial={"zs": Reading.parse("0.50"), "polarity": BLANK}
    )
    assert form.changed_data == changed


# Ways sort as people count


def test_natural_order():
    ways = ["10", "2", "1 L2", "1 L1", "A2", "a1", "2A"]
    assert sorted(ways, key=natural_sort_key) == ["1 L1", "1 L2", "2", "2A", "10", "a1", "A2"]


@pytest.mark.django_db
def test_circuits_come_in_the_order_of_their_ways_however_they_were_saved():
    board = BoardFactory()
    CircuitFactory(board=board, way="10")
    Circuit.objects.bulk_create(
        [Circuit(board=board, way="2", phase=phase) for phase in ("L3", "L1")]
        + [Circuit(board=board, way="1")]
    )
    ways = [circuit.designation for circuit in board.circuits.all()]
    assert ways == ["1", "2 L1", "2 L3", "10"]


@pytest.mark.django_db
def test_boards_come_in_the_order_of_their_designations():
    place = BoardFactory(designation="DB10").installation
    BoardFactory(installation=place, designation="DB2")
    assert list(Board.objects.values_list("designation", flat=True)) == ["DB2", "DB10"]
