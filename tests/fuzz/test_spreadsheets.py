"""Spreadsheets: sent, looked at with any choice, and brought in."""

import zipfile
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from inspections.models import Upload
from tests.factories import InspectionFactory
from tests.fuzz.wild import damaged, examples, is_answer, nothing_stays, texts
from tests.inspections.intake import samples

pytestmark = pytest.mark.django_db
WORKBOOK = (samples.FIXTURES / "larkfield-schedule.xlsx").read_bytes()
HEADINGS = [
    "No.",
    "Description",
    "Points",
    "Live",
    "Type",
    "Rating (A)",
    "R1+R2",
    "Live-Live",
    "Polarity",
    "Zs",
]


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def browser(inspection):
    browser = Browser()
    browser.force_login(inspection.inspector)
    return browser


@st.composite
def workbooks(draw) -> bytes:
    """The Larkfield workbook with one of its parts damaged before it is packed."""
    content = BytesIO()
    with zipfile.ZipFile(BytesIO(WORKBOOK)) as sound, zipfile.ZipFile(content, "w") as book:
        hit = draw(st.sampled_from(sound.namelist()))
        for name in sound.namelist():
            part = sound.read(name)
            book.writestr(name, draw(damaged(part)) if name == hit else part)
    return content.getvalue()


tables = st.lists(st.lists(texts, min_size=2, max_size=len(HEADINGS)), min_size=1, max_size=6)
names = st.one_of(st.sampled_from(["x.xlsx", "x.csv", "x" * 250 + ".csv"]), texts)
contents = st.one_of(
    workbooks(),
    tables.map(lambda rows: samples.text_file([HEADINGS, *rows], encoding="utf-8-sig")),
    st.binary(max_size=300),
)


@examples(10)
@given(data=st.data())
def test_whatever_file_is_sent_is_brought_in_or_refused_with_words(data, browser, inspection):
    sent = SimpleUploadedFile(data.draw(names) or "x", data.draw(contents))
    with nothing_stays():
        assert is_answer(browser.post(reverse("intake", args=[inspection.pk]), {"file": sent}))
        for upload in Upload.objects.all():
            for choices in ({}, data.draw(st.dictionaries(choice_names(upload), texts, max_size=4))):
                where = reverse("intake_preview", args=[upload.pk])
                assert is_answer(browser.post(where, choices))
                page = browser.get(where)
                assert is_answer(page)
                digest = page.context["plan"].digest if page.status_code == 200 else ""
                assert is_answer(browser.post(reverse("intake_commit", args=[upload.pk]), {"digest": digest}))


def choice_names(upload):
    return st.one_of(
        st.sampled_from(["board", "limitation_note"]),
        st.tuples(texts, st.sampled_from(["A", "B", "ZZZ"])).map(lambda place: f"map|{place[0]}|{place[1]}"),
        st.sampled_from(["A", "B", "C"]).map(lambda letter: f"map|{upload.name.partition('.')[0]}|{letter}"),
    )
