"""From draft to review, back, and to an issued record and its corrections."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.files.base import ContentFile

from inspections.enums import Code, InspectionStatus, Role
from inspections.services.still_open import require_open
from reports.content import canonical_json, gather, sha256_of
from reports.examination import Examination
from reports.kept_pdf import read
from reports.models import Correction, IssuedRecord, PointAnswer, RecordSeries
from reports.points import About, points_of
from reports.services.correction import revise
from reports.services.issue import IssueBlocked, issue_inspection
from reports.services.pdf import add_pdf
from reports.services.review import answer_points, return_with_remarks, send_for_review
from tests.factories import CircuitResultFactory, InspectionFactory, MemberFactory, ObservationFactory
from tests.reports.ready import SOUND, in_review, issued, ready_inspection, ready_visit, supervisor_of

pytestmark = pytest.mark.django_db


def fresh(inspection):
    inspection.refresh_from_db()
    return inspection


def out_of_limit(**fields):
    """A visit whose Zs is over its limit, and above the sum of Ze and R1+R2."""
    inspection = ready_visit(**fields)
    result = inspection.results.get()
    result.zs = "9.00"
    result.save()
    return inspection


def answer_all(inspection):
    answers = {point.key: "Seen" for point in points_of(Examination(inspection)) if point.is_open}
    answer_points(inspection=inspection, answers=answers, member=supervisor_of(inspection))


def ready_visit_after(earlier):
    later = ready_inspection(earlier.installation, based_on=earlier, next_due_on=date(2031, 1, 1))
    circuit = earlier.results.get().circuit
    circuit.refresh_from_db()
    CircuitResultFactory(inspection=later, circuit=circuit, **SOUND)
    return later


# Review


def test_sent_for_review_the_record_no_longer_changes():
    inspection = ready_visit()

    review = send_for_review(inspection=inspection, member=inspection.inspector, note="Roof seen from below")

    assert fresh(inspection).status == InspectionStatus.IN_REVIEW
    assert (review.sent_by, review.note) == (inspection.inspector, "Roof seen from below")
    with pytest.raises(ValidationError, match="in review"):
        require_open(inspection)
    last = inspection.history.latest()
    assert (last.history_user, last.history_change_reason) == (inspection.inspector, "Sent for review")


def test_sent_twice_is_refused():
    inspection = in_review()

    with pytest.raises(ValidationError, match="in review: a supervisor returns or issues it"):
        send_for_review(inspection=inspection, member=inspection.inspector)


def test_returned_it_is_a_draft_again_and_says_what_to_put_right():
    inspection = in_review()
    supervisor = supervisor_of(inspection)

    review = return_with_remarks(inspection=inspection, remarks="Zs of DB1/1 again", member=supervisor)

    assert fresh(inspection).is_open
    assert (review.remarks, review.closed_by, review.outcome) == ("Zs of DB1/1 again", supervisor, "returned")
    in_review(inspection)
    assert inspection.reviews.count() == 2


def test_returned_without_a_remark_is_refused_and_nothing_changes():
    inspection = in_review()

    with pytest.raises(ValidationError, match="Say what is to be put right"):
        return_with_remarks(inspection=inspection, remarks="  ", member=supervisor_of(inspection))

    assert fresh(inspection).status == InspectionStatus.IN_REVIEW


@pytest.mark.parametrize("role", [Role.INSPECTOR, Role.ELECTRICIAN, Role.OFFICE])
def test_only_a_supervisor_returns_answers_issues_and_corrects(role):
    inspection = in_review(out_of_limit())
    member = MemberFactory(firm=inspection.installation.firm, role=role)
    key = points_of(Examination(inspection))[0].key

    for act in (
        lambda: return_with_remarks(inspection=inspection, remarks="x", member=member),
        lambda: answer_points(inspection=inspection, answers={key: "x"}, member=member),
        lambda: issue_inspection(inspection=inspection, member=member),
        lambda: revise(inspection=inspection, what_changed="x", member=member),
    ):
        with pytest.raises(PermissionDenied, match="supervisor"):
            act()

    assert fresh(inspection).status == InspectionStatus.IN_REVIEW


# Points


def test_a_finding_out_of_limit_is_answered_and_no_longer_stands_in_the_way():
    inspection = in_review(out_of_limit())
    supervisor = supervisor_of(inspection)
    with pytest.raises(IssueBlocked):
        issue_inspection(inspection=inspection, member=supervisor)

    answer_all(inspection)

    record = issue_inspection(inspection=inspection, member=supervisor)
    answers = {one["code"]: one["answer"] for one in record.read()["findings"] if one["answer"]}
    assert answers["zs-over-limit"]["by"] == supervisor.name


def test_a_finding_made_into_an_observation_needs_no_answer():
    inspection = out_of_limit()
    circuit = inspection.results.get().circuit
    for origin in ("finding zs-over-limit zs", "finding zs-above-sum zs"):
        ObservationFactory(
            inspection=inspection, board=circuit.board, circuit=circuit, code=Code.C2, made_from=origin
        )

    assert [point for point in points_of(Examination(inspection)) if point.is_open] == []


def test_an_answer_no_longer_holds_once_the_reading_says_something_else():
    inspection = in_review(out_of_limit())
    answer_all(inspection)
    return_with_remarks(inspection=inspection, remarks="Measure again", member=supervisor_of(inspection))
    result = inspection.results.get()
    result.zs = "9.10"
    result.save()

    assert any(point.is_open for point in points_of(Examination(fresh(inspection))))
    assert PointAnswer.objects.exists()


def test_an_answer_to_what_is_no_point_is_refused():
    inspection = in_review()

    with pytest.raises(ValidationError, match="is no longer there"):
        answer_points(
            inspection=inspection, answers={"finding x 1": "Seen"}, member=supervisor_of(inspection)
        )


def test_an_answer_may_be_changed_while_in_review_and_keeps_its_history():
    inspection = in_review(out_of_limit())
    key = points_of(Examination(inspection))[0].key
    for text in ("Seen", "Measured again on the day"):
        [answer] = answer_points(inspection=inspection, answers={key: text}, member=supervisor_of(inspection))

    assert [row.text for row in answer.history.all()] == ["Measured again on the day", "Seen"]


def test_a_limit_set_by_hand_asks_for_an_answer():
    inspection = ready_visit()
    circuit = inspection.results.get().circuit
    circuit.max_zs_ohm = "8.00"  # BS 7671 Table 41.3: 7.28 Ω for 6 A type B
    circuit.save()

    points = points_of(Examination(inspection))

    assert [(point.about, point.where, point.is_open) for point in points] == [(About.BY_HAND, "DB1/1", True)]


def test_a_detail_changed_since_the_last_issue_asks_for_an_answer():
    first = issued()
    circuit = first.inspection.results.get().circuit
    circuit.device_rating_a, circuit.description = "10", "Lights and landing"
    circuit.save()
    later = ready_visit_after(first.inspection)

    seen = Examination(later)

    changed = {(change.what, change.was, change.now) for change in seen.changes}
    assert changed == {
        ("Protective device rating (A)", "6", "10"),
        ("Description", "Lights", "Lights and landing"),
    }
    assert [point.said for point in points_of(seen) if point.about is About.CHANGED] == [
        "Protective device rating (A): was 6, is 10"
    ]


# Issue


def test_issued_it_is_frozen_numbered_and_hashed():
    inspection = in_review()
    supervisor = supervisor_of(inspection)

    record = issue_inspection(inspection=inspection, member=supervisor)

    record.refresh_from_db()
    assert fresh(inspection).status == InspectionStatus.ISSUED
    assert (record.number, record.revision, record.issued_by) == (1, 1, supervisor)
    assert record.sha256 == sha256_of(record.json)
    content = record.read()
    assert canonical_json(content) == record.json
    assert content["issue"]["number"] == 1
    assert content["issue"]["issued_by"]["name"] == supervisor.name
    review = inspection.reviews.get()
    assert (review.outcome, review.closed_by) == ("issued", supervisor)


def test_what_happens_later_does_not_change_it():
    record = issued()
    before = record.json
    circuit = record.inspection.results.get().circuit
    circuit.description = "Renamed since"
    circuit.save()
    record.firm.name = "Renamed too"
    record.firm.save()

    record.refresh_from_db()

    assert record.json == before
    assert b"Renamed" not in record.json


def test_the_installation_falls_due_again_on_the_day_the_record_says():
    record = issued()
    installation = record.inspection.installation
    installation.refresh_from_db()
    assert installation.next_due_on == date(2030, 11, 3)
    assert installation.history.latest().history_change_reason == "As No. 1 says"


def test_records_of_a_firm_are_numbered_in_order_and_chained():
    first = issued()
    second = issued(ready_visit_after(first.inspection))
    assert (second.number, second.previous_sha256) == (2, first.sha256)
    assert second.read()["issue"]["previous_sha256"] == first.sha256
    series = RecordSeries.objects.get()
    assert (series.last_number, series.last_sha256) == (2, second.sha256)


def test_a_refused_issue_takes_no_number():
    first = issued()
    inspection = ready_visit_after(first.inspection)
    inspection.general_condition = ""
    inspection.save()
    in_review(inspection)

    with pytest.raises(IssueBlocked) as refusal:
        issue_inspection(inspection=inspection, member=supervisor_of(inspection))

    assert [block.subject for block in refusal.value.blocks] == ["Report"]
    assert refusal.value.summary == "It cannot be issued yet: 1 thing stands in the way."
    assert RecordSeries.objects.get().last_number == 1
    assert fresh(inspection).status == InspectionStatus.IN_REVIEW


def test_issued_twice_is_refused():
    inspection = in_review()
    issue_inspection(inspection=inspection, member=supervisor_of(inspection))

    with pytest.raises(ValidationError, match="issued"):
        issue_inspection(inspection=inspection, member=supervisor_of(inspection))

    assert IssuedRecord.objects.count() == 1


def test_a_draft_is_not_issued_past_its_review():
    inspection = ready_visit()

    with pytest.raises(ValidationError, match="send it for review first"):
        issue_inspection(inspection=inspection, member=supervisor_of(inspection))


def test_photographs_are_kept_with_the_record():
    inspection = ready_visit()
    ObservationFactory(inspection=inspection, code=Code.C3, photo=ContentFile(b"as taken", name="board.jpg"))

    record = issued(inspection)

    (photo,) = record.photos.all()
    assert bytes(photo.content) == b"as taken"
    assert record.read()["observations"][0]["photo"]["sha256"] == photo.sha256


def test_the_pdf_is_added_with_its_hash_and_not_again():
    record = add_pdf(record=issued(), pdf=b"%PDF-1.7 drawn")

    record.refresh_from_db()
    assert (read(record), record.pdf_sha256) == (b"%PDF-1.7 drawn", sha256_of(b"%PDF-1.7 drawn"))
    with pytest.raises(ValidationError, match="has its PDF already"):
        add_pdf(record=record, pdf=b"%PDF-1.7 another")


# Correction


def test_a_correction_is_a_new_revision_and_the_former_record_stays():
    record = issued()
    inspection, supervisor = record.inspection, record.issued_by
    before = record.json

    revise(inspection=inspection, what_changed="The condition was told too well", member=supervisor)
    fresh(inspection).general_condition = "Fair"
    inspection.save()
    in_review(inspection)
    second = issue_inspection(inspection=inspection, member=supervisor)

    record.refresh_from_db()
    assert record.json == before
    assert (second.number, second.revision) == (1, 2)
    assert str(second) == "No. 1 revision 2"
    issue = second.read()["issue"]
    assert issue["what_changed"] == "The condition was told too well"
    assert (issue["replaces_sha256"], issue["previous_sha256"]) == (record.sha256, record.sha256)
    assert issue["changes"] == [
        {"where": "The visit", "what": "general condition", "was": "Sound", "now": "Fair"}
    ]
    assert Correction.objects.get().issued_as == second


def test_what_changed_may_be_told_anew_at_the_issue():
    record = issued()
    revise(inspection=record.inspection, what_changed="Condition", member=record.issued_by)
    in_review(fresh(record.inspection))

    second = issue_inspection(
        inspection=record.inspection, member=record.issued_by, what_changed="Condition and extent"
    )

    assert second.what_changed == "Condition and extent"


def test_the_next_number_follows_the_last_one_given_also_after_a_correction():
    first = issued()
    second = issued(ready_visit_after(first.inspection))
    revise(inspection=first.inspection, what_changed="A name", member=first.issued_by)
    corrected = issued(fresh(first.inspection))
    third = issued(
        ready_visit(installation=first.inspection.installation.client.installations.create(name="Barn"))
    )
    assert [str(record) for record in (second, corrected, third)] == ["No. 2", "No. 1 revision 2", "No. 3"]
    assert third.previous_sha256 == corrected.sha256
    assert corrected.previous_sha256 == second.sha256


def test_a_correction_says_what_is_corrected():
    record = issued()

    with pytest.raises(ValidationError):
        revise(inspection=record.inspection, what_changed=" ", member=record.issued_by)

    assert fresh(record.inspection).status == InspectionStatus.ISSUED


def test_a_visit_issued_elsewhere_has_no_record_to_correct():
    inspection = InspectionFactory(status=InspectionStatus.ISSUED)

    with pytest.raises(ValidationError, match="No record was issued here"):
        revise(inspection=inspection, what_changed="x", member=supervisor_of(inspection))


def test_content_of_an_issue_can_be_gathered_again_to_the_byte():
    record = issued()
    again = gather(record.inspection).content
    content = record.read()
    assert again["issue"] is None
    assert {**again, "issue": content["issue"]} == content
