"""The pages of the audit: what they show, to whom, in how many statements, and what leaves in files."""

import csv
import io
import re
from datetime import date

import openpyxl
import pdfplumber
import pytest
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import Role
from remedies.models import ParallelLoad
from reports.audit import views as audit
from reports.audit.export import PDF_ROWS
from reports.audit.questions import QUESTIONS
from reports.audit.tables import LoadAudit, SavedFilter
from tests.factories import ClientFactory, InstallationFactory, MemberFactory
from tests.reports.audit.conftest import make_place

KEYS = list(QUESTIONS)
every_question = pytest.mark.parametrize("key", KEYS)


def page_of(browser, key, choices=""):
    return browser.get(f"{reverse('audit_question', args=[key])}?{choices}")


def file_of(browser, key, ext, choices=""):
    response = browser.get(f"{reverse('audit_file', args=[key, ext])}?{choices}")
    assert response.status_code == 200
    return response, b"".join(response.streaming_content) if response.streaming else response.content


def cells_of(response):
    return [[cell.value for cell in line] for line in response.context["table"]]


@every_question
def test_the_firm_sees_its_place_and_nothing_of_another_firm(browse, stranger, key):
    ours, theirs = page_of(browse, key), page_of(stranger, key)

    assert "Larkfield Hall" in ours.text
    assert "Elsewhere" not in ours.text
    assert "XX-9" not in ours.text
    assert "Elsewhere" in theirs.text
    assert "Larkfield Hall" not in theirs.text


@every_question
@pytest.mark.parametrize("ext", ["csv", "xlsx", "pdf"])
def test_a_file_holds_nothing_of_another_firm(browse, other, key, ext):
    _, content = file_of(browse, key, ext)
    if ext == "csv":
        text = content.decode()
    elif ext == "xlsx":
        book = openpyxl.load_workbook(io.BytesIO(content))
        text = " ".join(str(cell.value) for page in book for row in page for cell in row if cell.value)
    else:
        with pdfplumber.open(io.BytesIO(content)) as pdf:
            text = " ".join(page.extract_text() for page in pdf.pages)
    assert "Larkfield Hall" in text
    assert "Elsewhere" not in text
    assert "XX-9" not in text


def test_counts_stand_beside_the_choices(browse):
    page = page_of(browse, "loads-in-the-way")

    assert "1 installation with 1 load in the register" in page.text
    told = {
        facet.name: [(one.choice.words, one.count) for one in counted]
        for facet, counted in page.context["answer"].facets
    }
    assert told["kind"] == [("Neon with series resistor", 1)]
    assert told["label"] == [("No label at the board", 1)]


def test_rows_lead_down_to_installation_circuit_and_load(place, browse):
    page = page_of(browse, "parts").text

    for name, pk in (
        ("installation", place.circuit.board.installation_id),
        ("circuit", place.circuit.pk),
        ("load", place.load.pk),
    ):
        assert f'href="{reverse(name, args=[pk])}"' in page


@pytest.mark.parametrize("role", Role)
def test_whatever_falls_due_leads_to_a_page_that_this_person_may_open(place, role):
    browser = Browser()
    browser.force_login(MemberFactory(firm=place.member.firm, role=role))

    page = page_of(browser, "falling-due").text
    links = set(re.findall(r'href="([^"]+)"', page[page.index("<tbody>") : page.index("</tbody>")]))

    assert len(links) > 2
    assert {browser.get(link).status_code for link in links} == {200}
    assert any(link.startswith("/instruments/") for link in links) == (role != Role.ELECTRICIAN)


def test_a_choice_in_the_address_is_kept_in_the_links_of_the_page(browse):
    page = page_of(browse, "parts", "kind=neon&years=5&order=oldest")

    assert page.context["address"] == "kind=neon&years=5&order=oldest"
    assert (
        f"{reverse('audit_file', args=['parts', 'csv'])}?kind=neon&amp;years=5&amp;order=oldest" in page.text
    )


def test_what_is_no_choice_is_left_out(browse):
    page = page_of(browse, "parts", "kind=zebra&years=many&order=x&after=abc&client=99999999&by=x&colour=red")

    assert page.status_code == 200
    assert page.context["answer"].total == 1


def test_a_number_too_large_is_brought_inside_its_bounds(browse):
    assert page_of(browse, "parts", "years=999999999999").context["asked"].numbers == {"years": 100}


def test_another_firms_client_or_row_in_the_address_tells_nothing(browse, other):
    client = other.circuit.board.installation.client

    assert page_of(browse, "parts", f"client={client.pk}").context["asked"].client is None
    assert page_of(browse, "parts", f"after={other.load.pk}").context["answer"].total == 1
    assert "Elsewhere" not in page_of(browse, "parts", f"after={other.load.pk}").text


def test_one_place_alone_is_in_the_address_and_left_again(place, browse, other):
    make_place(place.member, "Second place")
    installation = place.circuit.board.installation

    page = page_of(browse, "getting-worse", f"place={installation.pk}")

    assert page.context["answer"].total == 1
    assert page.context["address"] == f"place={installation.pk}"
    assert "Larkfield Hall alone" in page.text
    assert "Second place" not in page.text
    assert "Second place" in page_of(browse, "getting-worse").text
    theirs = page_of(browse, "getting-worse", f"place={other.circuit.board.installation_id}")
    assert theirs.context["asked"].place is None


def test_a_count_of_circuits_leads_to_them(place, browse):
    [line] = page_of(browse, "insulation-and-zs", "latest=yes").context["table"]
    count = next(cell for cell in line if cell.heading == "Circuits worse than before")

    found = browse.get(count.link.address).context["answer"]

    assert (count.value, found.total) == (1, 1)


@every_question
def test_an_answer_with_no_row_says_so_and_leads_back(browse, key):
    facet = next(facet for facet in QUESTIONS[key].facets if not facet.is_open)
    never = [choice.key for choice in facet.choices]
    page = page_of(browse, key, "&".join(f"{facet.name}={one}" for one in never[-1:]))

    assert page.status_code == 200
    assert page.context["table"] or "Nothing matches" in page.text


@pytest.mark.parametrize("name", ["audit", "audit_question", "audit_file"])
def test_whoever_is_not_signed_in_is_asked_to(place, name):
    args = {"audit": [], "audit_question": ["parts"], "audit_file": ["parts", "csv"]}[name]

    answer = Browser().get(reverse(name, args=args))

    assert answer.status_code == 302
    assert answer.url.startswith(reverse("account_login"))


def test_a_question_that_is_none_is_not_found(browse):
    assert page_of(browse, "nothing").status_code == 404


# Pages


def test_pages_follow_each_other_without_gap_or_repeat(place, browse, monkeypatch):
    monkeypatch.setattr("reports.audit.question.ROWS_A_PAGE", 2)
    for number in range(6):
        make_place(place.member, f"Place {number % 2} {number}", circuit=place.circuit)

    shown, further = [], ""
    while True:
        page = page_of(browse, "parts", further)
        shown += [row.pk for row in page.context["answer"].rows]
        further = page.context["further"]
        if not further:
            break

    rows = LoadAudit.objects.order_by("place", "pk").values_list("pk", flat=True)
    assert shown == list(rows)
    assert len(shown) == 7


@every_question
@pytest.mark.parametrize("places", [1, 4])
def test_the_number_of_statements_does_not_grow(
    place, browse, key, places, django_assert_max_num_queries, django_assert_num_queries
):
    for number in range(places - 1):
        make_place(place.member, f"Place {number}")
    page_of(browse, key)  # works out what changed
    # Session, member, firm; marks of instruments and places; clients; saved filters; and the answer itself.
    expected = {
        "loads-in-the-way": 12,
        "parts": 12,
        "without-a-full-test": 12,
        "unexplained": 10,
        "falling-due": 10,
        "getting-worse": 10,
        "insulation-and-zs": 12,
    }
    with django_assert_num_queries(expected[key]):
        page_of(browse, key)


# What changed is worked out anew


def test_a_change_by_whatever_way_is_seen_at_the_next_look(place, browse):
    assert page_of(browse, "loads-in-the-way").context["answer"].total == 1

    ParallelLoad.objects.filter(pk=place.load.pk).update(connection="L-E")

    assert page_of(browse, "loads-in-the-way").context["answer"].total == 0


def test_a_renamed_place_and_client_are_seen_under_their_names(place, browse):
    page_of(browse, "loads-in-the-way")
    installation = place.circuit.board.installation
    installation.name = "Larkfield Old Hall"
    installation.save()
    type(installation.client).objects.update(name="The Trust")

    [row] = cells_of(page_of(browse, "loads-in-the-way"))

    assert row[:2] == ["Larkfield Old Hall", "The Trust"]


def test_a_load_that_is_deleted_is_gone(place, browse):
    page_of(browse, "parts")
    place.load.delete()

    assert page_of(browse, "parts").context["answer"].total == 0


def test_when_too_much_changed_the_page_says_that_it_is_not_complete(place, browse, monkeypatch):
    make_place(place.member, "Another place")
    # Two places are marked; a person waits for one alone.
    monkeypatch.setattr(
        audit, "bring_up_to_date", lambda firm, day, real=audit.bring_up_to_date: real(firm, day, limit=1)
    )

    first, second = page_of(browse, "parts"), page_of(browse, "parts")

    assert "1 installation changed and is not worked out yet" in first.text
    assert first.context["answer"].total == 1
    assert second.context["answer"].total == 2
    assert "not worked out yet" not in second.text


# Files


@every_question
def test_every_file_holds_the_rows_of_the_page(browse, key):
    page = page_of(browse, key)
    headings = [column.heading for column in QUESTIONS[key].columns]
    expected = [["" if cell is None else str(cell) for cell in row] for row in cells_of(page)]

    _, content = file_of(browse, key, "csv")
    rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))
    assert rows == [headings, *expected]

    _, content = file_of(browse, key, "xlsx")
    sheet = openpyxl.load_workbook(io.BytesIO(content))["Answer"]
    first = sheet[sheet.freeze_panes].row
    read = [
        ["" if cell.value is None else str(cell.value.date() if cell.is_date else cell.value) for cell in row]
        for row in sheet.iter_rows(min_row=first, max_row=first + len(expected) - 1, max_col=len(headings))
    ]
    assert [cell.value for cell in sheet[first - 1]][: len(headings)] == headings
    assert read == expected

    _, content = file_of(browse, key, "pdf")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        text = " ".join(page.extract_text() for page in pdf.pages)
    assert text.count(QUESTIONS[key].title) == 1
    for day in (cell for row in cells_of(page) for cell in row if isinstance(cell, date)):
        assert f"{day:%-d %b %Y}" in text
    assert all(caution.split()[0] in text for caution in QUESTIONS[key].cautions)


def test_a_long_workbook_is_written_row_by_row_and_reads_the_same(place, browse, monkeypatch):
    monkeypatch.setattr("reports.audit.export.IN_ONE_PIECE", 0)
    monkeypatch.setattr("reports.audit.question.ROWS_A_CHUNK", 2)
    for number in range(4):
        make_place(place.member, f"Place {number}")

    _, content = file_of(browse, "parts", "xlsx")

    sheet = openpyxl.load_workbook(io.BytesIO(content))["Answer"]
    first = sheet[sheet.freeze_panes].row
    places = [sheet.cell(row, 1).value for row in range(first, first + 6)]
    assert places == ["Larkfield Hall", "Place 0", "Place 1", "Place 2", "Place 3", None]


@pytest.mark.parametrize("in_one_piece", [0, 10_000])
@pytest.mark.parametrize("start", "=+-@")
def test_what_a_spreadsheet_would_run_stays_a_text(place, browse, monkeypatch, start, in_one_piece):
    monkeypatch.setattr("reports.audit.export.IN_ONE_PIECE", in_one_piece)
    bad = f"{start}HYPERLINK(1)"
    ParallelLoad.objects.update(place=bad)

    _, content = file_of(browse, "parts", "csv")
    [_, row] = csv.reader(io.StringIO(content.decode("utf-8-sig")))
    assert row[3] == f"'{bad}"

    _, content = file_of(browse, "parts", "xlsx")
    book = openpyxl.load_workbook(io.BytesIO(content))
    [cell] = [cell for page in book for line in page for cell in line if cell.value == bad]
    assert cell.data_type == "s"


def test_a_pdf_that_would_be_too_long_is_refused_with_what_to_do(browse, monkeypatch):
    monkeypatch.setattr("reports.audit.export.PDF_ROWS", 0)

    page = browse.get(reverse("audit_file", args=["parts", "pdf"]), follow=True)

    assert PDF_ROWS == 5000
    assert "Choose fewer, or take the workbook or CSV." in page.text


def test_a_file_says_what_was_chosen(place, browse):
    installation = place.circuit.board.installation
    choices = f"kind=neon&years=5&client={installation.client_id}&place={installation.pk}"
    _, content = file_of(browse, "parts", "xlsx", choices)

    book = openpyxl.load_workbook(io.BytesIO(content))
    first = {row[0].value: row[2].value for row in book.worksheets[0] if row[0].value}
    assert first["Kind:"] == "Neon with series resistor"
    assert (first["Client:"], first["Installation:"]) == (installation.client.name, "Larkfield Hall")
    assert first["There for at least (years):"] == "5"


# Saved under a name


def save(browser, name, choices="kind=neon"):
    return browser.post(
        reverse("audit_save", args=["parts"]), {"name": name, "choices": choices}, follow=True
    )


def test_choices_are_saved_under_a_name_and_opened_again(place, browse):
    page = save(browse, "Neons", "kind=neon&colour=red&after=3")

    row = SavedFilter.objects.get()
    assert (row.name, row.choices, row.firm) == ("Neons", "kind=neon&years=", place.member.firm)
    assert "Saved as “Neons”" in page.text
    assert (
        f"{reverse('audit_question', args=['parts'])}?kind=neon&amp;years="
        in browse.get(reverse("audit")).text
    )


@pytest.mark.parametrize(("name", "said"), [("Neons", "That name is taken"), ("  ", "cannot be blank")])
def test_a_name_that_is_taken_or_empty_is_refused_and_the_choices_stay(browse, name, said):
    save(browse, "Neons")

    page = save(browse, name, "kind=resistor")

    assert said in page.text
    assert page.context["asked"].chosen == {"kind": ("resistor",)}
    assert SavedFilter.objects.count() == 1


def test_a_saved_filter_is_its_firms_alone(browse, stranger):
    save(browse, "Neons")
    row = SavedFilter.objects.get()

    assert "Neons</a>" not in stranger.get(reverse("audit")).text
    assert stranger.post(reverse("audit_forget", args=[row.pk])).status_code == 404
    assert SavedFilter.objects.count() == 1

    browse.post(reverse("audit_forget", args=[row.pk]))
    assert not SavedFilter.objects.exists()
    assert [past.history_type for past in SavedFilter.history.order_by("history_id")] == ["+", "-"]


def test_clients_of_the_firm_alone_are_to_choose_from(place, browse, other):
    InstallationFactory(client=ClientFactory(firm=place.member.firm, name="Second client"))

    page = page_of(browse, "parts")

    assert {client.firm for client in page.context["clients"]} == {place.member.firm}
    assert len(page.context["clients"]) == 2


def test_whoever_may_not_save_is_shown_no_form_for_it(place, browse):
    save(browse, "Neons")
    inspector = Browser()
    inspector.force_login(MemberFactory(firm=place.member.firm, role=Role.INSPECTOR))

    assert reverse("audit_save", args=["parts"]) in page_of(browse, "parts").text
    assert reverse("audit_save", args=["parts"]) not in page_of(inspector, "parts").text
    assert "Neons" in page_of(inspector, "parts").text
    assert "remove/" in browse.get(reverse("audit")).text
    assert "remove/" not in inspector.get(reverse("audit")).text
