"""What the pages of a day name is there: pictures, as the script takes them, and pages."""

import re

import pytest
from django.conf import settings
from django.urls import reverse

from inspections.days import all_days
from tests import pictures
from tests.factories import MemberFactory

STEPS = [step for day in all_days().values() for step in day.steps]
TAKEN = {name for name, *_ in pictures.TAKEN}


def test_every_picture_named_is_taken_by_the_script_and_small():
    named = {step.picture for step in STEPS if step.picture}
    assert named == TAKEN
    for name in TAKEN:
        file = pictures.PICTURES / f"{name}.png"
        assert 1_000 < file.stat().st_size < 150_000, name
    assert {file.stem for file in pictures.PICTURES.iterdir()} == TAKEN


def test_every_picture_has_words_for_whoever_does_not_see_it():
    assert [step.heading for step in STEPS if bool(step.picture) != bool(step.alt)] == []


def test_the_readme_shows_pictures_that_are_there():
    readme = (settings.BASE_DIR / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", readme)
    assert shown
    assert [path for path in shown if not (settings.BASE_DIR / path).is_file()] == []


@pytest.mark.django_db
@pytest.mark.parametrize("who", all_days())
def test_every_link_of_a_day_leads_somewhere(client, who):
    client.force_login(MemberFactory())
    page = client.get(reverse("day", args=[who]))
    for step in all_days()[who].steps:
        assert step.heading in page.content.decode()
        if step.page:
            assert client.get(reverse(step.page)).status_code == 200
            assert f'href="{reverse(step.page)}"' in page.content.decode()


@pytest.mark.django_db
def test_a_day_of_no_one_is_not_found(client):
    client.force_login(MemberFactory())
    assert client.get(reverse("day", args=["nobody"])).status_code == 404
    assert all(reverse("day", args=[who]) in client.get(reverse("days")).text for who in all_days())
