"""Observations, their photographs, and what put them right."""

from datetime import date
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inspections.enums import InspectionStatus
from inspections.models import Observation
from tests.factories import BoardFactory, CircuitFactory, MemberFactory, ObservationFactory

ORIENTATION, GPS = 0x0112, 0x8825
TURNED_RIGHT = 6


@pytest.fixture
def add(place, inside):
    address = reverse("observation_add", args=[place.inspection.pk])
    place.observation.delete()

    def post(**typed):
        return inside.post(address, typed)

    return post


def photograph(kind="JPEG", size=(40, 20), exif=None):
    content = BytesIO()
    Image.new("RGB", size, "white").save(content, kind, **({"exif": exif} if exif else {}))
    return SimpleUploadedFile("seen.jpg", content.getvalue())


def test_observation_is_saved_without_a_code_until_one_is_given(place, add):
    response = add(text="Cover missing", board=place.board.pk)

    saved = Observation.objects.get()
    assert response.url == reverse("inspection", args=[place.inspection.pk])
    assert (saved.code, saved.board) == ("", place.board)


def test_form_proposes_no_code(place, inside):
    page = inside.get(reverse("observation_add", args=[place.inspection.pk]))

    assert page.context["form"]["code"].value() == ""


def test_observation_of_a_circuit_is_of_its_board_too(place, add):
    add(text="Heat damage", circuit=place.circuit.pk)

    assert Observation.objects.get().board == place.board


def test_circuit_that_is_not_on_the_board_chosen_is_refused(place, add, errors_of):
    other = BoardFactory(installation=place.installation, designation="DB2")

    response = add(text="Heat damage", circuit=place.circuit.pk, board=other.pk)

    assert errors_of(response) == {"circuit": ["Circuit DB1/3 is not on DB2."]}


def test_circuit_of_another_installation_is_refused(place, add, errors_of):
    elsewhere = CircuitFactory(board__installation__client=place.client)

    assert list(errors_of(add(text="Heat damage", circuit=elsewhere.pk))) == ["circuit"]


def test_c1_needs_what_was_done_and_the_warning(add, errors_of):
    response = add(text="Live parts exposed", code="C1", place="East wall")

    assert errors_of(response) == {
        "__all__": ["A C1 says what was done about it on the day, and when the client was warned."]
    }
    assert 'value="East wall"' in response.content.decode()
    assert not Observation.objects.exists()


def test_c1_with_both_is_saved(add):
    add(text="Live parts exposed", code="C1", action_on_day="Isolated", client_warned_on="2026-11-03")

    assert Observation.objects.get().client_warned_on == date(2026, 11, 3)


def test_observation_at_an_issued_visit_is_refused(place, add, errors_of):
    place.inspection.status = InspectionStatus.ISSUED
    place.inspection.save()

    assert list(errors_of(add(text="Too late"))) == ["__all__"]
    assert not Observation.objects.exists()


def test_photograph_is_kept_upright_as_a_jpeg_without_the_place_it_was_taken(add, inside):
    exif = Image.Exif()
    exif[ORIENTATION] = TURNED_RIGHT
    exif.get_ifd(GPS)[1] = "N"

    add(text="Heat damage", photo=photograph(size=(40, 20), exif=exif))
    response = inside.get(reverse("observation_photo", args=[Observation.objects.get().pk]))

    kept = Image.open(BytesIO(b"".join(response.streaming_content)))
    assert (kept.format, kept.size) == ("JPEG", (20, 40))
    assert dict(kept.getexif()) == {}


def test_large_photograph_is_made_smaller(add):
    add(text="Heat damage", photo=photograph(size=(3000, 1500)))

    with Image.open(Observation.objects.get().photo) as kept:
        assert kept.size == (2400, 1200)


@pytest.mark.parametrize(
    ("upload", "message"),
    [
        (SimpleUploadedFile("seen.jpg", b"not a picture"), "not a photograph we can read"),
        (SimpleUploadedFile("seen.jpg", b"\xff" * (10 * 1024 * 1024 + 1)), "larger than 10 MB"),
        (photograph("GIF"), "JPEG, PNG or WebP"),
    ],
    ids=["text", "too large", "animated kind"],
)
def test_upload_that_is_no_photograph_is_explained_and_the_rest_kept(add, errors_of, upload, message):
    response = add(text="Heat damage at a lampholder", photo=upload)

    [error] = errors_of(response)["photo"]
    assert message in error
    assert "Heat damage at a lampholder" in response.content.decode()
    assert not Observation.objects.exists()


def test_photograph_is_taken_off_only_when_asked(place, inside, add):
    add(text="Heat damage", photo=photograph())
    observation = Observation.objects.get()
    address = reverse("observation_change", args=[observation.pk])

    inside.post(address, {"text": "Heat damage, pendant 3"})
    observation.refresh_from_db()
    assert observation.photo

    inside.post(address, {"text": "Heat damage, pendant 3", "remove_photo": "on"})
    observation.refresh_from_db()
    assert not observation.photo


def test_photograph_of_another_firm_is_not_found(add, browser_of):
    add(text="Heat damage", photo=photograph())
    address = reverse("observation_photo", args=[Observation.objects.get().pk])

    assert browser_of(MemberFactory()).get(address).status_code == 404


def test_observation_without_a_photograph_has_none_to_show(place, inside):
    assert inside.get(reverse("observation_photo", args=[place.observation.pk])).status_code == 404


def earlier(place):
    ObservationFactory(inspection=place.inspection, text="No label at the board", regulation="514.1.1")
    ObservationFactory(inspection=place.inspection, text="No label at the board", regulation="514.1.1")
    ObservationFactory(text="No label, says another firm")


def test_search_finds_each_earlier_text_of_the_firm_once(place, inside):
    earlier(place)

    response = inside.get(reverse("observation_texts"), {"look_for": "board label"})

    assert [row.text for row in response.context["earlier"]] == ["No label at the board"]


@pytest.mark.parametrize("typed", ["", "n", "zz"])
def test_search_for_too_little_or_nothing_finds_nothing(place, inside, typed):
    earlier(place)

    assert inside.get(reverse("observation_texts"), {"look_for": typed}).context["earlier"] == []


def test_search_without_scripts_keeps_what_was_typed_and_saves_nothing(place, inside):
    earlier(place)
    count = Observation.objects.count()
    address = reverse("observation_add", args=[place.inspection.pk])

    response = inside.post(address, {"look_up": "yes", "look_for": "label", "place": "East wall"})

    assert [row.text for row in response.context["earlier"]] == ["No label at the board"]
    assert 'value="East wall"' in response.content.decode()
    assert response.context["form"].errors == {}
    assert Observation.objects.count() == count


def test_choosing_an_earlier_text_without_scripts_fills_it_in(place, inside):
    earlier(place)
    chosen = Observation.objects.filter(text="No label at the board").first()
    address = reverse("observation_add", args=[place.inspection.pk])

    form = inside.post(address, {"use": chosen.pk, "code": "C3", "place": "East wall"}).context["form"]

    assert form["text"].value() == "No label at the board"
    assert form["regulation"].value() == "514.1.1"
    assert (form["code"].value(), form["place"].value()) == ("C3", "East wall")


def test_earlier_text_of_another_firm_cannot_be_chosen(place, inside):
    foreign = ObservationFactory(text="Says another firm")
    address = reverse("observation_add", args=[place.inspection.pk])

    form = inside.post(address, {"use": foreign.pk, "text": "Mine"}).context["form"]

    assert form["text"].value() == "Mine"


def test_put_right_is_noted_even_after_issue(place, inside):
    place.inspection.status = InspectionStatus.ISSUED
    place.inspection.save()

    inside.post(
        reverse("observation_put_right", args=[place.observation.pk]),
        {"put_right_on": "2026-11-09", "put_right_by": "Rowan Pell", "evidence": "Zs now 0.61 Ω"},
    )

    place.observation.refresh_from_db()
    assert place.observation.put_right_on == date(2026, 11, 9)


def test_put_right_asks_by_whom_and_keeps_the_evidence_typed(place, inside, errors_of):
    response = inside.post(
        reverse("observation_put_right", args=[place.observation.pk]),
        {"put_right_on": "2026-11-09", "put_right_by": "", "evidence": "Zs now 0.61 Ω"},
    )

    assert errors_of(response) == {"put_right_by": ["Say who put it right."]}
    assert "Zs now 0.61 Ω" in response.content.decode()


def test_after_one_observation_another_can_be_noted_at_once(place, inside, add):
    response = add(text="Cover missing", another="yes")

    assert response.url == reverse("observation_add", args=[place.inspection.pk])
    assert "Save and record another" in inside.get(response.url).content.decode()
