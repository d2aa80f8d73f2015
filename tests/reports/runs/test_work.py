"""A run over many reports: each issued once, in order; stopped, taken over, killed and gone on with."""

import json
import subprocess
import sys
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.management import CommandError, call_command
from django.utils import timezone

from inspections.enums import InspectionStatus, Role
from reports.kept_pdf import read
from reports.models import IssuedRecord, Run
from reports.runs import work
from reports.runs.tables import SILENCE, RunOutcome, RunState
from reports.runs.work import RunTaken, work_off
from reports.services.pdf import add_pdf
from reports.services.runs import begin_export, begin_issue, in_review, resume_run, stop_run
from reports.verify import verify_chain
from tests.factories import InstallationFactory, MemberFactory, RunFactory
from tests.reports.ready import in_review as sent
from tests.reports.ready import issued, ready_visit, supervisor_of
from tests.reports.services.test_verify import change

ROOT = Path(__file__).parents[3]
in_database = pytest.mark.django_db


def visits(count):
    """So many visits of one firm in review; what stands in the way of the second is its condition."""
    first = ready_visit()
    rows = [first]
    for _ in range(count - 1):
        rows.append(ready_visit(InstallationFactory(client=first.installation.client)))
    rows[1].general_condition = ""
    rows[1].save()
    return [sent(row) for row in rows]


def numbers():
    return list(IssuedRecord.objects.order_by("pk").values_list("number", flat=True))


def outcomes(run):
    return list(run.items.values_list("outcome", flat=True))


@in_database
def test_all_that_are_ready_are_issued_in_order_and_the_rest_says_why():
    rows = visits(3)
    member = supervisor_of(rows[0])

    run = begin_issue(inspections=in_review(member), member=member)
    items = list(work_off(run))

    run.refresh_from_db()
    assert [item.outcome for item in items] == ["done", "left_out", "done"]
    assert items[1].said == "The general condition is not written."
    assert [item.record.inspection for item in (items[0], items[2])] == [rows[0], rows[2]]
    assert numbers() == [1, 2]
    assert all(IssuedRecord.objects.values_list("pdf_sha256", flat=True))
    assert (run.state, run.ended_at is None) == (RunState.FINISHED, False)
    assert verify_chain(run.firm) is None


@in_database
@pytest.mark.parametrize("role", [Role.INSPECTOR, Role.ELECTRICIAN, Role.OFFICE])
def test_only_a_supervisor_begins_stops_or_goes_on(role):
    run = RunFactory()
    member = MemberFactory(firm=run.firm, role=role)
    for act in (
        lambda: begin_issue(inspections=[], member=member),
        lambda: begin_export(records=[], draw_again=False, member=member),
        lambda: stop_run(run=run, member=member),
        lambda: resume_run(run=run, member=member),
    ):
        with pytest.raises(PermissionDenied, match="supervisor"):
            act()


@in_database
def test_one_run_of_a_firm_is_under_way_at_a_time():
    rows = visits(2)
    member = supervisor_of(rows[0])
    begin_issue(inspections=rows, member=member)
    with pytest.raises(ValidationError, match="Another run is under way"):
        begin_issue(inspections=rows, member=member)
    with pytest.raises(ValidationError, match="Choose at least one"):
        begin_issue(inspections=[], member=member)


@in_database
def test_stopped_it_ends_after_the_report_in_hand_and_goes_on_where_it_was():
    rows = visits(4)
    member = supervisor_of(rows[0])
    run = begin_issue(inspections=rows, member=member)

    for _ in work_off(run):
        stop_run(run=run, member=member)
    assert outcomes(run) == ["done", "", "", ""]
    with pytest.raises(RunTaken):
        next(work_off(run))

    resume_run(run=run, member=member)
    assert [item.outcome for item in work_off(run)] == ["left_out", "done", "done"]
    assert numbers() == [1, 2, 3]
    with pytest.raises(ValidationError, match="finished"):
        resume_run(run=run, member=member)


@in_database
def test_what_goes_on_in_another_name_is_issued_in_that_name():
    rows = visits(3)
    member = supervisor_of(rows[0])
    other = MemberFactory(firm=member.firm, role=Role.SUPERVISOR)
    run = begin_issue(inspections=rows, member=member)
    for _ in work_off(run):
        stop_run(run=run, member=member)
    list(work_off(resume_run(run=run, member=other)))
    assert [record.issued_by for record in IssuedRecord.objects.order_by("pk")] == [member, other]


@in_database
def test_a_second_worker_is_turned_away_while_the_first_lives_and_takes_over_once_it_is_dead():
    rows = visits(3)
    run = begin_issue(inspections=rows, member=supervisor_of(rows[0]))
    first = work_off(run)
    next(first)
    with pytest.raises(RunTaken):
        next(work_off(run))

    Run.objects.update(beat_at=timezone.now() - SILENCE - timedelta(seconds=1))
    run.refresh_from_db()
    assert run.is_silent(timezone.now())
    second = work_off(run)
    next(second)

    assert list(first) == []  # it wakes again, and writes nothing more
    assert [item.outcome for item in second] == ["done"]
    assert numbers() == [1, 2]


@in_database
def test_issued_but_not_drawn_when_it_was_cut_off_it_is_drawn_and_not_issued_again(monkeypatch):
    rows = visits(2)
    run = begin_issue(inspections=rows[:1], member=supervisor_of(rows[0]))

    def cut_off(record):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(work, "draw_pdf", cut_off)
        with pytest.raises(KeyboardInterrupt):
            next(work_off(run))
    assert outcomes(run) == [""]
    Run.objects.update(beat_at=timezone.now() - 2 * SILENCE)
    run.refresh_from_db()

    list(work_off(run))

    record = IssuedRecord.objects.get()
    assert (record.number, bool(record.pdf_sha256)) == (1, True)
    assert run.items.get().record == record


@in_database
def test_a_report_that_breaks_the_program_does_not_keep_back_those_after_it(monkeypatch, caplog):
    rows = visits(3)
    run = begin_issue(inspections=rows, member=supervisor_of(rows[0]))
    real = work.issue_inspection

    def broken(*, inspection, member):
        if inspection == rows[0]:
            raise ZeroDivisionError
        return real(inspection=inspection, member=member)

    monkeypatch.setattr(work, "issue_inspection", broken)

    assert [item.outcome for item in work_off(run)] == ["left_out", "left_out", "done"]
    assert run.items.first().said == work.BROKE_DOWN
    assert "ZeroDivisionError" in caplog.text
    assert numbers() == [1]


@in_database
def test_nothing_is_issued_in_the_name_of_one_who_left_or_lost_the_role():
    rows = visits(2)
    member = supervisor_of(rows[0])
    run = begin_issue(inspections=rows, member=member)
    member.role = Role.OFFICE
    member.save()
    worker = work_off(run)
    assert "supervisor" in next(worker).said
    member.role, member.is_active = Role.SUPERVISOR, False
    member.save()
    assert next(worker).said == work.HAS_LEFT
    assert numbers() == []


@in_database
def test_exported_each_is_checked_drawn_and_compared():
    first = issued()
    client = first.inspection.installation.client
    rows = [first, *(issued(ready_visit(InstallationFactory(client=client))) for _ in range(2))]
    add_pdf(record=rows[1], pdf=b"%PDF-1.7 another")
    change(rows[2], content=b"{}")

    run = begin_export(records=rows, draw_again=True, member=first.issued_by)

    assert [(item.outcome, item.said) for item in work_off(run)] == [
        (RunOutcome.DONE, ""),
        (RunOutcome.DIFFERS, ""),
        (RunOutcome.LEFT_OUT, "its content is not what was hashed"),
    ]
    first.refresh_from_db()
    assert read(first).startswith(b"%PDF-")


# The commands


@in_database
def test_command_issues_all_that_are_ready_and_names_the_others():
    rows = visits(3)
    out = StringIO()
    with pytest.raises(CommandError, match="1 could not be issued"):
        call_command("issue_ready", "--by", supervisor_of(rows[0]).email, stdout=out)
    places = [row.installation.name for row in rows]
    assert out.getvalue().splitlines() == [
        f"1/3 {places[0]}: No. 1",
        f"2/3 {places[1]}: The general condition is not written.",
        f"3/3 {places[2]}: No. 2",
    ]


@in_database
def test_command_says_who_may_not():
    with pytest.raises(CommandError, match=r"Nobody signs in as nobody@example\.com"):
        call_command("issue_ready", "--by", "nobody@example.com")
    with pytest.raises(CommandError, match="supervisor"):
        call_command("issue_ready", "--by", MemberFactory(role=Role.OFFICE).email)


@in_database
def test_worker_takes_what_nobody_is_at_and_leaves_the_rest():
    rows = visits(2)
    run = begin_issue(inspections=rows, member=supervisor_of(rows[0]))
    stopped, taken = (
        RunFactory(state=RunState.STOPPED),
        RunFactory(worker="a living one", beat_at=timezone.now()),
    )
    call_command("work_runs", stdout=StringIO())
    assert [Run.objects.get(pk=one.pk).state for one in (run, stopped, taken)] == [
        RunState.FINISHED, RunState.STOPPED, RunState.UNDER_WAY,
    ]  # fmt: skip


def test_killed_worker_is_followed_by_another_and_no_number_is_lost_or_given_twice(laid_out_database):
    environment = laid_out_database | {"DJANGO_SETTINGS_MODULE": "tests.settings"}
    run = {"cwd": ROOT, "env": environment, "text": True}
    subprocess.run([sys.executable, "-m", "tests.reports.runs.killed", "begin"], check=True, **run)
    command = [sys.executable, "manage.py", "work_runs"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, **run) as worker:
        assert worker.stdout.readline().endswith(": Done\n")
        worker.kill()  # SIGKILL: nothing of the program is run after it

    told = subprocess.run(
        [sys.executable, "-m", "tests.reports.runs.killed", "go on"], capture_output=True, check=True, **run
    )
    assert json.loads(told.stdout) == {
        "numbers": [1, 2, 3, 4, 5, 6], "drawn": 6, "lost": 0, "state": "finished", "chain_holds": True,
    }  # fmt: skip


@in_database
def test_visit_that_was_returned_meanwhile_is_left_out():
    rows = visits(2)
    run = begin_issue(inspections=rows[:1], member=supervisor_of(rows[0]))
    type(rows[0]).objects.filter(pk=rows[0].pk).update(status=InspectionStatus.DRAFT)
    assert [item.said for item in work_off(run)] == ["It is a draft: send it for review first."]
