"""The pages of many reports at once."""

import io
import zipfile
from datetime import timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from inspections.enums import Role
from reports.kept_pdf import read
from reports.models import IssuedRecord, Run, RunItem
from reports.runs.tables import SILENCE, RunState
from reports.runs.work import work_off
from reports.services.runs import begin_export, begin_issue
from tests.factories import MemberFactory, RunFactory, RunItemFactory
from tests.reports.ready import issued, supervisor_of
from tests.reports.runs.test_work import visits

pytestmark = pytest.mark.django_db


def signed_in(member) -> Browser:
    browser = Browser()
    browser.force_login(member)
    return browser


def page_of(run, member):
    return signed_in(member).get(reverse("run", args=[run.pk])).content.decode()


def test_list_says_which_are_ready_and_begins_with_those_ticked():
    rows = visits(3)
    browser = signed_in(supervisor_of(rows[0]))

    page = browser.get(reverse("issue_many")).content.decode()
    assert [f'name="visit" value="{row.pk}"' in page for row in rows] == [True, False, True]
    assert "The general condition is not written." in page

    response = browser.post(reverse("issue_many"), {"visit": [rows[2].pk, "x"]})
    run = Run.objects.get()
    assert response.url == reverse("run", args=[run.pk])
    assert [item.inspection for item in run.items.all()] == [rows[2]]


def test_all_in_review_are_taken_whatever_page_is_shown():
    rows = visits(3)
    signed_in(supervisor_of(rows[0])).post(reverse("issue_many"), {"all": "yes"})
    assert {item.inspection for item in RunItem.objects.all()} == set(rows)


def test_nothing_ticked_or_another_under_way_is_explained():
    rows = visits(2)
    browser = signed_in(supervisor_of(rows[0]))
    assert "Choose at least one." in browser.post(reverse("issue_many")).content.decode()
    begin_issue(inspections=rows, member=supervisor_of(rows[0]))
    response = browser.post(reverse("issue_many"), {"all": "yes"})
    assert (response.status_code, "Another run is under way" in response.content.decode()) == (409, True)


def test_page_of_a_run_asks_for_itself_until_it_is_finished_and_links_what_was_left_out():
    rows = visits(2)
    member = supervisor_of(rows[0])
    run = begin_issue(inspections=rows, member=member)
    worker = work_off(run)
    next(worker)
    page = page_of(run, member)
    assert "<strong>1 of 2</strong>" in page
    assert 'hx-trigger="every 2s"' in page

    list(worker)
    page = page_of(run, member)
    assert "<strong>2 of 2</strong> done" in page
    assert "hx-trigger" not in page
    assert "The general condition is not written." in page
    assert reverse("review", args=[rows[1].pk]) in page
    assert reverse("record", args=[IssuedRecord.objects.get().pk]) in page


def test_stopped_and_gone_on_with_by_its_page():
    run = RunFactory(member__role=Role.SUPERVISOR, beat_at=timezone.now())
    browser = signed_in(run.member)
    browser.post(reverse("run_stop", args=[run.pk]))
    run.refresh_from_db()
    assert run.state == RunState.STOPPED
    assert "Go on" in page_of(run, run.member)
    browser.post(reverse("run_resume", args=[run.pk]))
    run.refresh_from_db()
    assert run.state == RunState.UNDER_WAY
    again = browser.post(reverse("run_resume", args=[run.pk]), follow=True).content.decode()
    assert "It is under way already." in again


def test_dead_worker_is_noticed_on_the_page():
    run = RunFactory(member__role=Role.SUPERVISOR, beat_at=timezone.now() - SILENCE - timedelta(seconds=1))
    page = page_of(run, run.member)
    assert "it was cut off" in page
    assert "Go on" in page
    assert "hx-trigger" not in page


@pytest.mark.parametrize("rows", [1, 3])
def test_page_of_a_run_takes_as_many_queries_whatever_was_left_out(rows, django_assert_num_queries):
    run = RunFactory(member__role=Role.SUPERVISOR)
    for _ in range(rows):
        item = RunItemFactory(run=run, inspection__installation__client__firm=run.firm)
        RunItem.objects.filter(pk=item.pk).update(outcome="left_out", said="No")
    browser = signed_in(run.member)
    with django_assert_num_queries(9):
        browser.get(reverse("run", args=[run.pk]))


def test_records_of_some_days_are_exported_as_one_zip():
    record = issued()
    member = record.issued_by
    browser = signed_in(member)
    tomorrow = timezone.localdate() + timedelta(days=1)
    nothing = browser.post(reverse("export_many"), {"since": tomorrow.isoformat()})
    assert "Choose at least one." in nothing.content.decode()
    wrong = browser.post(reverse("export_many"), {"since": "2026-11-02", "until": "2026-11-01"})
    assert "This is before the first day." in wrong.content.decode()

    browser.post(reverse("export_many"), {"draw_again": "on"})
    run = Run.objects.get()
    list(work_off(run))

    response = browser.get(reverse("run_archive", args=[run.pk]))
    record.refresh_from_db()
    with zipfile.ZipFile(io.BytesIO(response.getvalue())) as archive:
        assert archive.testzip() is None
        told, pdf, content = (archive.read(name) for name in archive.namelist())
    assert (pdf, content) == (read(record), record.json)
    assert told.decode() == f"No. 1, {record.inspection.installation.name}, {record.inspection}\tDone\n"


def test_stranger_finds_no_run():
    record = issued()
    run = begin_export(records=[record], draw_again=False, member=record.issued_by)
    stranger = signed_in(MemberFactory(role=Role.SUPERVISOR))
    assert stranger.get(reverse("run", args=[run.pk])).status_code == 404
    assert stranger.get(reverse("run_archive", args=[run.pk])).status_code == 404
    assert stranger.post(reverse("run_stop", args=[run.pk])).status_code == 404
    assert stranger.post(reverse("run_resume", args=[run.pk])).status_code == 404
