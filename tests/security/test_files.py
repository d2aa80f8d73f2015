"""Files that come in and go out."""

import re
from io import BytesIO

import pikepdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from config.permissions import READ
from inspections.enums import Role
from inspections.models import Observation, Upload
from tests.config.addresses import GIVEN, SCHEDULE, address, patterns, rows_of
from tests.config.test_permissions import ask, signed_in
from tests.factories import MemberFactory
from tests.fuzz.test_photographs import photograph

pytestmark = pytest.mark.django_db
TOO_MUCH = b"\xff" * (10 * 1024 * 1024 + 1)
ACTIVE = {"/JavaScript", "/JS", "/Launch", "/AA", "/OpenAction", "/SubmitForm", "/RichMedia", "/XFA"}
KINDS = {
    "application/pdf", "application/json", "application/zip", "image/jpeg", "text/plain",
    "text/csv; charset=utf-8",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip


@pytest.fixture
def member():
    return MemberFactory(role=Role.SUPERVISOR)


@pytest.fixture
def rows(member):
    return rows_of(member)


@pytest.fixture
def browser(member):
    return signed_in(member)


def files(browser, rows):
    """Every answer that is no page: address, kind, answer and content."""
    ask(browser, "post", reverse("record_pdf", args=[rows["record"].pk]))
    for pattern in patterns():
        if pattern.name not in READ:
            continue
        where, _ = address(pattern, rows)
        takes_a_kind = "ext" in pattern.pattern.regex.groupindex
        for ext in ("pdf", "xlsx", "csv") if takes_a_kind else ("",):
            response = browser.get(where.replace(f".{GIVEN['ext']}", f".{ext}") if ext else where)
            if response.status_code == 200 and not response["Content-Type"].startswith("text/html"):
                content = b"".join(response.streaming_content) if response.streaming else response.content
                yield where, response["Content-Type"], response, content


def test_what_is_downloaded_says_what_it_is_and_runs_nothing(browser, rows):
    seen = set()
    for where, kind, response, content in files(browser, rows):
        seen.add(kind)
        assert kind in KINDS, where
        assert response["X-Content-Type-Options"] == "nosniff", where
        assert re.match(r"(attachment|inline); filename=", response["Content-Disposition"]), where
        if kind == "application/pdf":
            assert active_in(content) == set(), where
    assert {"application/pdf", "application/json", "text/csv; charset=utf-8"} <= seen


def active_in(pdf):
    """What a reader of the PDF would run or follow by itself."""
    with pikepdf.open(BytesIO(pdf)) as book:
        return {name for thing in book.objects for name in names_in(thing)} & ACTIVE


def names_in(thing):
    """Every name in a part of a PDF, as a key and as a value. What it points to is a part of its own."""
    if isinstance(thing, pikepdf.Name):
        yield str(thing)
    elif isinstance(thing, pikepdf.Dictionary | pikepdf.Stream):
        keys = list(thing.keys())
        yield from keys
        yield from (name for key in keys for name in names_in(_inside(thing[key])))
    elif isinstance(thing, pikepdf.Array):
        yield from (name for inner in thing for name in names_in(_inside(inner)))


def _inside(inner):
    return None if getattr(inner, "is_indirect", False) else inner


def test_a_script_in_a_pdf_would_be_found():
    out = BytesIO()
    book = pikepdf.new()
    book.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")
    book.save(out)
    assert active_in(out.getvalue()) == {"/OpenAction", "/JavaScript", "/JS"}


@pytest.mark.parametrize(
    ("name", "row", "field"),
    [
        ("intake", "inspection", "file"),
        ("record_intake", None, "file"),
        ("observation_add", "inspection", "photo"),
        ("load_add", "circuit", "photo"),
    ],
)
def test_a_file_over_ten_megabytes_is_refused_wherever_one_is_taken(browser, rows, name, row, field):
    where = reverse(name, args=[rows[row].pk] if row else [])
    response = browser.post(where, {field: SimpleUploadedFile("large", TOO_MUCH)})
    assert response.status_code in (200, 422)
    assert "larger than 10 MB" in response.text


def test_the_name_of_a_file_decides_nothing(browser, rows):
    inspection = rows["inspection"]
    Upload.objects.all().delete()
    sheet = SimpleUploadedFile("../../manage.py", SCHEDULE.read_bytes(), "text/x-python")
    picture = SimpleUploadedFile("../page.html", photograph("PNG"), "text/html")

    browser.post(reverse("intake", args=[inspection.pk]), {"file": sheet})
    browser.post(reverse("observation_add", args=[inspection.pk]), {"text": "Cover loose", "photo": picture})
    page = SimpleUploadedFile("schedule.xlsx", b"<script>alert(1)</script>")
    refused = browser.post(reverse("intake", args=[inspection.pk]), {"file": page})

    assert Upload.objects.get().name == "manage.py"
    kept = Observation.objects.exclude(photo="").exclude(photo=None).get().photo.name
    assert re.fullmatch(r"[\w/.-]+\.jpg", kept)
    assert ".." not in kept
    assert refused.status_code in (302, 422)
    assert Browser().get(f"/media/{kept}").status_code == 404


def test_a_name_longer_than_is_kept_is_cut(browser, rows):
    Upload.objects.all().delete()
    sheet = SimpleUploadedFile("x" * 250 + ".csv", SCHEDULE.read_bytes())
    assert browser.post(reverse("intake", args=[rows["inspection"].pk]), {"file": sheet}).status_code == 302
    assert len(Upload.objects.get().name) == 200


@pytest.mark.parametrize(
    "path",
    ["/media/", "/static/", "/.git/config", "/db.sqlite3", "/manage.py", "/static/../manage.py", "/.env"],
)
def test_no_folder_and_no_file_beside_the_site_is_served(browser, path):
    assert browser.get(path).status_code == 404


def test_no_answer_tells_a_version(browser):
    for where in ("/sign-in/", "/none/"):
        response = browser.get(where)
        assert not {"Server", "X-Powered-By"} & set(response.headers)
        assert "Django" not in response.text
