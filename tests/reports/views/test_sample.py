"""Into a sample firm, about in it, back, and away with it; and that nothing of it passes for a record."""

import json
import zipfile
from datetime import date
from io import BytesIO

import pikepdf
import pytest
from django.core import mail
from django.core.management import call_command
from django.test import Client as Browser
from django.urls import reverse
from openpyxl import load_workbook

from config.guard import May
from inspections.columns import Column, Kind
from inspections.enums import Role
from inspections.models import Client, Firm, Member
from inspections.services import members as services
from inspections.words import SAMPLE_NOTICE
from reports.intake.bring_in import OF_A_SAMPLE
from reports.links.services import give_link
from reports.models import IssuedRecord, RecordUpload
from reports.services.pdf import draw_pdf
from reports.sheets.sheet import Document, Sheet
from reports.xlsx.long import write_long_xlsx
from tests.config.addresses import rows_of
from tests.config.test_permissions import signed_in
from tests.factories import PASSWORD, MemberFactory
from tests.factories.sample import browser_in, small_sample
from tests.reports.pdf.reading_back import opened, squeezed
from tests.security.test_files import files

pytestmark = pytest.mark.django_db
BAND = 'class="sample-band"'


@pytest.fixture
def member():
    return MemberFactory(role=Role.OFFICE)


@pytest.fixture
def sample(member):
    return small_sample(member)


def whoever(browser):
    return Member.objects.get(pk=browser.session["_auth_user_id"])


def post(browser, name, **typed):
    return browser.post(reverse(name), typed)


def leads_to_sign_in(browser):
    return browser.get("/", follow=True).wsgi_request.path == reverse("account_login")


# ---- in, about, back ----


def test_one_comes_as_ones_own_role_and_acts_as_each_and_is_oneself_again_with_all_of_the_session(
    member, sample
):
    browser = signed_in(member)
    own = dict(browser.session.items())

    post(browser, "sample_enter")
    assert whoever(browser) == sample.members.get(role=Role.OFFICE)
    for role in Role:
        post(browser, "sample_enter", role=role)
        assert whoever(browser) == sample.members.get(role=role)
        assert BAND in browser.get("/").text
    post(browser, "sample_enter", role="nobody")
    assert whoever(browser).role == Role.OFFICE
    response = post(browser, "sample_leave")

    assert response.url == reverse("today")
    assert dict(browser.session.items()) == own
    assert BAND not in browser.get("/").text
    post(browser, "sample_leave")
    assert whoever(browser) == member


def test_what_is_done_there_is_done_there(member, sample):
    browser = browser_in(sample, Role.OFFICE)
    browser.post(reverse("client_add"), {"name": "Weir Lane School"})
    assert Client.objects.get().firm == sample
    post(browser, "sample_leave")
    assert "Weir Lane School" not in browser.get(reverse("clients")).text


def test_a_sample_is_thrown_away_by_whoever_opened_it_once_asked(member, sample):
    other = small_sample(MemberFactory())
    browser = browser_in(sample)

    asked = browser.get(reverse("sample_throw_away")).text
    assert sample.name in asked
    assert Firm.objects.filter(pk=sample.pk).exists()
    response = browser.post(reverse("sample_throw_away"), follow=True)

    assert "thrown away" in response.text
    assert whoever(browser) == member
    assert list(Firm.objects.filter(sample_of__isnull=False)) == [other]
    assert browser.post(reverse("sample_throw_away")).url == reverse("today")


@pytest.mark.parametrize("how", ["another password", "left the firm"])
def test_a_session_in_the_sample_ends_with_the_sign_in_it_came_from(member, sample, how):
    MemberFactory(firm=member.firm)
    browser = browser_in(sample)
    assert not leads_to_sign_in(browser)
    if how == "left the firm":
        services.leave_firm(row=member, member=member)
    else:
        member.set_password("another long password")
        member.save()
    assert leads_to_sign_in(browser)
    assert not browser.session.get("_auth_user_id")


# ---- nobody signs in there ----


def test_nobody_is_there_but_who_came_from_the_firm_of_the_sample(sample):
    for role in Role:
        browser = Browser()
        browser.force_login(sample.members.get(role=role))
        assert leads_to_sign_in(browser)
    stranger = signed_in(MemberFactory())
    session = stranger.session
    session["came_to_sample_as"] = dict(session.items())
    session.save()
    stranger.force_login(sample.members.first())
    assert leads_to_sign_in(stranger)


def test_no_password_opens_it_and_no_mail_offers_one(sample, settings):
    settings.MAIL_IS_SET = True
    invented = sample.members.first()
    Member.objects.filter(pk=invented.pk).update(is_active=True)
    browser = Browser()

    browser.post(reverse("account_login"), {"login": invented.email, "password": PASSWORD})
    assert "_auth_user_id" not in browser.session
    browser.post(reverse("account_reset_password"), {"email": invented.email})
    assert mail.outbox == []


def test_nothing_of_signing_in_is_offered_or_done_there(sample, settings):
    settings.MAIL_IS_SET = True
    browser = browser_in(sample)
    for name in ("mfa_index", "members", "member_invite", "account_change_password", "mfa_activate_totp"):
        response = browser.get(reverse(name))
        assert (response.status_code, "In a sample firm nobody may" in response.text) == (403, True), name
    typed = {"name": "Someone", "email": "someone@example.com", "role": Role.OFFICE}
    assert browser.post(reverse("member_invite"), typed).status_code == 403
    assert not Member.objects.filter(email="someone@example.com").exists()
    assert mail.outbox == []
    may = May(sample.members.first())
    assert not may["members"]
    assert may["clients"]
    page = browser.get("/").text
    assert reverse("mfa_index") not in page
    assert reverse("audit_reminders") not in page


def test_a_second_factor_is_asked_for_at_home_alone(member, sample):
    Firm.objects.update(requires_second_factor=True)
    browser = browser_in(sample)
    assert whoever(browser) == member  # refused: it is to be given first
    Firm.objects.filter(pk=member.firm_id).update(requires_second_factor=False)
    assert browser_in(sample).get("/").status_code == 200


def test_no_reminder_goes_there(sample, capsys):
    rows_of(sample.members.get(role=Role.SUPERVISOR))
    call_command("send_reminders", site="https://records.example.com")
    assert "0 to send." in capsys.readouterr().out


# ---- where it is offered ----


def test_a_firm_without_a_client_is_offered_one_and_later_at_the_foot_and_beside_the_days(member):
    browser = signed_in(member)
    offer = "Look round in a sample firm"
    assert offer in browser.get("/").text
    Client.objects.create(firm=member.firm, name="Larkfield Estate")
    page = browser.get("/").text
    assert offer not in page
    assert reverse("sample_enter") in page
    assert offer in browser.get(reverse("days")).text


# ---- nothing passes for a record ----


def says_so(kind, content):
    """Whether every page of a file says that it is of a sample."""
    if kind == "application/pdf":
        with opened(content) as book:
            return all(squeezed(SAMPLE_NOTICE) in _drawn(page) for page in book.pages)
    if kind == "application/json":
        return json.loads(content).get("sample") is True
    if kind == "application/zip":
        with zipfile.ZipFile(BytesIO(content)) as archive:
            inside = {name: archive.read(name) for name in archive.namelist()}
        kinds = {"pdf": "application/pdf", "json": "application/json", "txt": "text/plain"}
        return all(says_so(kinds[name.rpartition(".")[2]], read) for name, read in inside.items())
    if kind.startswith("text/"):
        return SAMPLE_NOTICE in content.decode().partition("\n")[0]
    pages = load_workbook(BytesIO(content)).worksheets
    return all(
        page["A1"].value.startswith(SAMPLE_NOTICE) and SAMPLE_NOTICE in (page.oddFooter.center.text or "")
        for page in pages
    )


def _drawn(page):
    """What stands on a page, in the order it was drawn."""
    return squeezed("".join(char["text"] for char in page.chars))


def handed_out(member, browser):
    """Every file that goes out of the member's firm but photographs: address, kind, content."""
    rows = rows_of(member)
    draw_pdf(rows["record"])
    for where, kind, _, content in files(browser, rows):
        if not kind.startswith("image/") and "recovery-codes" not in where:
            yield where, kind, content


def test_every_file_that_leaves_a_sample_says_so_on_every_page(sample):
    silent, kinds = [], set()
    for where, kind, content in handed_out(sample.members.get(role=Role.SUPERVISOR), browser_in(sample)):
        kinds.add(kind.partition(";")[0].rpartition(".")[2].rpartition("/")[2])
        if not says_so(kind, content):
            silent.append((where, kind))
    assert silent == []
    assert kinds == {"pdf", "json", "zip", "csv", "sheet"}


def test_no_file_of_a_record_says_so():
    """Its reports are to the byte what they were: the golden files of the report hold that."""
    member = MemberFactory(role=Role.SUPERVISOR)
    small_sample(member)
    told = {kind: says_so(kind, content) for _, kind, content in handed_out(member, signed_in(member))}
    assert len(told) == 5
    assert not any(told.values())


def test_a_long_workbook_says_so():
    out = BytesIO()
    sheet = Sheet("Places", (Column("name", "Name", Kind.TEXT, "", ""),), ())
    write_long_xlsx(Document("Answer", (sheet,), identity="All", made_by="Us", notice=SAMPLE_NOTICE), out)
    assert says_so("sheet", out.getvalue())


def test_a_clients_page_says_so(sample):
    playing = sample.members.get(role=Role.SUPERVISOR)
    record = rows_of(playing)["record"]
    token = give_link(record=record, given_to="A client", expires_on=date(2099, 1, 1), member=playing)
    page = Browser().get(reverse("client_report", args=[token])).text
    pdf = Browser().get(reverse("client_report_pdf", args=[token])).content
    assert SAMPLE_NOTICE in page
    assert says_so("application/pdf", pdf)


def test_a_report_of_a_sample_is_brought_into_no_record_but_into_a_sample(member, sample, settings):
    record = draw_pdf(rows_of(sample.members.get(role=Role.SUPERVISOR))["record"])
    pdf = browser_in(sample).get(reverse("record_pdf", args=[record.pk])).content
    own = signed_in(MemberFactory())
    elsewhere = browser_in(small_sample(MemberFactory()))
    before = RecordUpload.objects.count()

    refused = own.post(reverse("record_intake"), {"file": BytesIO(pdf)})
    assert OF_A_SAMPLE in refused.text
    assert RecordUpload.objects.count() == before
    assert elsewhere.post(reverse("record_intake"), {"file": BytesIO(pdf)}).status_code == 302


def test_no_certificate_stands_for_a_sample(sample, settings, tmp_path):
    settings.SIGNING_CERTIFICATE = str(tmp_path / "not there.p12")
    record = draw_pdf(rows_of(sample.members.get(role=Role.SUPERVISOR))["record"])
    assert IssuedRecord.objects.get(pk=record.pk).pdf_sha256
    with pikepdf.open(
        BytesIO(browser_in(sample).get(reverse("record_pdf", args=[record.pk])).content)
    ) as book:
        assert "/AcroForm" not in book.Root
