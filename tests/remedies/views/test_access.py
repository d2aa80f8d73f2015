"""Who may see and change what: every address of the register."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from remedies.models import BoardLabel, LoadPreset, ParallelLoad
from remedies.urls import urlpatterns

OF_ONE_FIRM = {
    "loads": "installation",
    "load": "load",
    "load_photo": "load",
    "load_add": "circuit",
    "load_change": "load",
    "load_confirm": "load",
    "load_disconnect": "load",
    "load_put_back": "load",
    "load_take_out": "load",
    "load_replace": "load",
    "load_preset_change": "preset",
    "before_you_test": "board",
    "board_label": "board",
    "board_label_print": "board",
    "board_label_stuck": "board",
    "reading_explained": "circuit",
    "where_to_look": "circuit",
}
OF_THE_ASKER = ("firm_loads", "load_presets", "load_preset_add")
OUR_MODULES = ("register", "life", "presets", "sheets", "explained", "where_to_look")
POSTED_ONLY = ("board_label_print", "board_label_stuck")


def address(name, place):
    return reverse(name, args=[getattr(place, OF_ONE_FIRM[name]).pk] if name in OF_ONE_FIRM else [])


def ask(browser, name, place):
    return (browser.post if name in POSTED_ONLY else browser.get)(address(name, place))


def test_every_address_is_looked_at_here():
    # Addresses of another module of this app have their own test.
    ours = {
        pattern.name
        for pattern in urlpatterns
        if pattern.callback.__module__.rpartition(".")[2] in OUR_MODULES
    }
    assert ours == {*OF_ONE_FIRM, *OF_THE_ASKER}


@pytest.mark.parametrize("name", OF_ONE_FIRM)
def test_a_stranger_finds_nothing(place, stranger, name):
    assert ask(stranger, name, place).status_code == 404


@pytest.mark.parametrize("name", OF_ONE_FIRM)
def test_a_stranger_changes_nothing(place, stranger, name):
    before = (ParallelLoad.history.count(), LoadPreset.history.count(), BoardLabel.history.count())

    answer = stranger.post(address(name, place), {"on": "2026-11-25", "by": "X"})

    assert answer.status_code in (404, 405)  # not there for them, or nothing to change for anyone

    assert (ParallelLoad.history.count(), LoadPreset.history.count(), BoardLabel.history.count()) == before


@pytest.mark.parametrize("name", OF_THE_ASKER)
def test_a_stranger_sees_only_his_own_firm(place, stranger, name):
    page = stranger.get(reverse(name))

    assert page.status_code == 200
    for secret in ("Larkfield Hall", "Foyer switch", "X2 at lamp"):
        assert secret not in page.text


@pytest.mark.parametrize("name", [*OF_ONE_FIRM, *OF_THE_ASKER])
def test_whoever_is_not_signed_in_is_asked_to(place, name):
    answer = ask(Browser(), name, place)

    assert answer.status_code == 302
    assert answer.url.startswith(reverse("account_login"))


@pytest.mark.parametrize("name", POSTED_ONLY)
def test_the_label_changes_by_post_alone(place, browse, name):
    assert browse.get(address(name, place)).status_code == 405


@pytest.mark.parametrize(
    "name", [n for n in (*OF_ONE_FIRM, *OF_THE_ASKER) if n not in (*POSTED_ONLY, "load_photo")]
)
def test_every_page_opens_for_the_firm(place, browse, name):
    assert browse.get(address(name, place)).status_code == 200


def test_a_visit_or_preset_of_another_firm_in_the_address_is_ignored(place, browse):
    from tests.factories import InspectionFactory, LoadPresetFactory

    visit = InspectionFactory(started_on="2020-02-02")
    preset = LoadPresetFactory(name="Not yours", capacitance_uf="0.33")

    page = browse.get(
        reverse("load_add", args=[place.circuit.pk]), {"inspection": visit.pk, "preset": preset.pk}
    )

    assert page.status_code == 200
    assert "0.33" not in page.text
    assert "2020" not in page.text
