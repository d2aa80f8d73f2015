"""The look: contrast of the colour tokens, and the look a device is told to keep."""

import re
from pathlib import Path

import pytest
from django.test import Client as Browser
from django.urls import reverse

from tests.factories import MemberFactory

ROOT = Path(__file__).parents[2]
CSS = ROOT / "static" / "stillacross" / "css"
SHEETS = [
    sheet
    for folder in ("static", "inspections/static", "remedies/static", "reports/static")
    for sheet in sorted((ROOT / folder).rglob("*.css"))
]
TOKENS = dict(
    re.findall(r"--([a-z-]+): light-dark\(([^)]+)\)", (CSS / "tokens.css").read_text().split("@media")[0])
)
GROUNDS = ("paper", "sheet", "wash")
# WCAG 2.2: 1.4.3 asks 4.5:1 of text (1.4.6, enhanced, 7:1), 1.4.11 asks 3:1 of the borders of controls.
PAIRS = (
    *[("ink", ground, 7.0) for ground in GROUNDS],
    *[(pen, ground, 4.5) for pen in ("quiet", "accent", "attention") for ground in GROUNDS],
    *[("edge", ground, 3.0) for ground in GROUNDS],
    ("on-accent", "accent", 4.5),
    ("paper", "attention", 4.5),
)


def luminance(colour):
    """Relative luminance of ``#rrggbb``, as WCAG 2.2 defines it."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_published_extremes():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG 2.2, definition of contrast ratio
    assert contrast("#777777", "#777777") == 1


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_every_pair_of_colours_reaches_its_contrast(dark):
    value = {name: both.split(", ")[dark] for name, both in TOKENS.items()}
    low = [
        (pen, ground, round(contrast(value[pen], value[ground]), 2), least)
        for pen, ground, least in PAIRS
        if contrast(value[pen], value[ground]) < least
    ]
    assert low == []


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.stem)
def test_no_style_sheet_but_the_tokens_names_a_colour(sheet):
    named = re.findall(r"#[0-9a-f]{3,8}\b|\brgba?\(", sheet.read_text())
    assert named == [] or sheet.name == "tokens.css"


@pytest.mark.django_db
def test_a_device_keeps_the_look_it_is_told_and_forgets_it_again():
    MemberFactory()
    browser = Browser()
    sign_in = reverse("account_login")
    assert "data-bs-theme" not in browser.get(sign_in).text

    browser.post(reverse("choose_look"), {"look": "dark", "back": sign_in})
    assert '<html lang="en-GB" data-bs-theme="dark">' in browser.get(sign_in).text

    browser.post(reverse("choose_look"), {"look": "device", "back": sign_in})
    assert "data-bs-theme" not in browser.get(sign_in).text


def test_choosing_a_look_leads_back_to_this_site_alone():
    asked = {"look": "dark", "back": "https://elsewhere.example/"}
    assert Browser().post(reverse("choose_look"), asked).url == reverse("today")


@pytest.mark.parametrize("path", sorted(Path("templates").rglob("[!_]*.html")), ids=str)
def test_a_page_that_asks_for_parts_of_itself_brings_htmx(path):
    page = path.read_text(encoding="utf-8")
    assert ("hx-get" in page or path.name == "find.html") <= ('"_htmx.html"' in page)
