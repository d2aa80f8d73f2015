"""Issue, export, import elsewhere: the other firm’s record says the same."""

import hashlib
from datetime import UTC, date, datetime

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse

from fixtures.larkfield.load import load_scenario
from inspections.enums import InspectionStatus, Role
from inspections.models import Client, Inspection, Installation, Instrument
from inspections.services.visits import start_inspection
from remedies.models import ParallelLoad
from reports.content import Issue, canonical_json, content_of, gather
from reports.intake.bring_in import bring_in_record, keep_upload, preview_record
from reports.intake.read import RecordIntakeError, read_record
from reports.intake.uploads import RecordUpload
from reports.kept_pdf import read
from reports.report.draw import draw_report
from reports.services.pdf import draw_pdf
from tests.factories import (
    PASSWORD,
    ClientFactory,
    InspectionFactory,
    InstallationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
)
from tests.reports.intake.files import attached
from tests.reports.ready import issued
from tests.reports.report.contents import photos, picture, record

pytestmark = pytest.mark.django_db

PLACES = ["Larkfield Mill", "Larkfield Hall", "The Ferry Inn", "7 Weir Cottages"]


@pytest.fixture
def member():
    """An inspector of another firm, whose record is empty."""
    return MemberFactory(name="Wren Oakley", firm__name="Oakley and Daughter")


def issued_content(inspection: Inspection):
    by = MemberFactory(firm=inspection.installation.firm, role=Role.SUPERVISOR)
    issue = Issue(
        number=7, revision=1, at=datetime(2026, 11, 25, 15, 0, tzinfo=UTC), day=date(2026, 11, 25), by=by,
        previous_sha256="",
    )  # fmt: skip
    return gather(inspection, issue)


def bring_in(pdf: bytes, member, client="Larkfield Mill Estates", installation="Brought in"):
    upload = keep_upload(name="report.pdf", pdf=pdf, member=member)
    return bring_in_record(upload=upload, client=client, installation=installation, member=member)


def of_the_place(content):
    """What a former inspection of another firm keeps: all but whose it is."""
    kept = {
        key: content[key]
        for key in ("boards", "observations", "visual", "load_register", "outcome", "next_due", "cautions")
    }
    kept["installation"] = content["installation"] | {"name": ""}
    kept["inspection"] = content["inspection"] | {"inspector": None, "last_inspected_on": None}
    standing = [one for one in content["limitations"] if one["standing_answer"]["key"] != "lifted"]
    kept["limitations"] = [one | {"number": n, "standing_answer": None} for n, one in enumerate(standing)]
    return kept


@pytest.mark.parametrize("place", PLACES)
def test_issued_report_brought_in_elsewhere_says_the_same(place, member):
    load_scenario(password=PASSWORD)
    # What a tester shows follows from its current limit, and their instruments do not come along.
    Instrument.objects.update(insulation_current_ma=None)
    gathered = issued_content(Inspection.objects.filter(installation__name=place).first())
    brought = bring_in(draw_report(gathered.content, gathered.photos), member)
    assert of_the_place(content_of(brought.inspection)) == of_the_place(gathered.content)


def test_report_as_it_was_issued_comes_in_under_the_hash_of_its_record(member):
    record = draw_pdf(issued())
    pdf = read(record)
    assert read_record(pdf).sha256 == record.sha256
    assert bring_in(pdf, member).inspection.results.count() == record.inspection.results.count() == 1


def test_report_of_the_own_firm_is_here_already():
    record = draw_pdf(issued())
    with pytest.raises(RecordIntakeError, match="of your own firm"):
        keep_upload(name="own.pdf", pdf=read(record), member=record.issued_by)


def test_photographs_come_in_to_the_byte(member):
    inspection = InspectionFactory()
    seen = ObservationFactory(inspection=inspection)
    seen.photo.save("seen.jpg", ContentFile(picture("Board cover")))
    part = ParallelLoadFactory(circuit__board__installation=inspection.installation)
    part.photo.save("part.jpg", ContentFile(picture("Porch light")))
    gathered = issued_content(inspection)
    brought = bring_in(draw_report(gathered.content, gathered.photos), member)
    assert brought.inspection.observations.get().photo.read() == picture("Board cover")
    loads = ParallelLoad.objects.for_installation(brought.inspection.installation)
    assert loads.get().photo.read() == picture("Porch light")


def test_all_belongs_to_the_firm_that_brought_it_in_and_no_longer_changes(member):
    brought = bring_in(draw_report(record(), photos()), member)
    assert brought.inspection.installation.firm == member.firm
    assert brought.inspection.status == InspectionStatus.ISSUED
    assert brought.inspection.inspector == member
    assert dict(brought.counts) == {
        "Boards": 1, "Circuits": 12, "Circuits with results": 12, "Limitations": 2, "Observations": 5,
        "Visual inspection outcomes": 50, "Entries of the load register": 2,
    }  # fmt: skip
    upload = RecordUpload.objects.get()
    assert (upload.issued_by_firm, upload.inspected_by, upload.number) == (
        "Tidewell Electrical", "Idris Penhale", "No. 41",
    )  # fmt: skip
    assert upload.pdf is None
    assert hashlib.sha256(bytes(upload.record)).hexdigest() == upload.sha256


def test_history_says_from_which_report_each_row_came(member):
    brought = bring_in(draw_report(record(), photos()), member)
    board = brought.inspection.installation.boards.get()
    circuit = board.circuits.first()
    for row in (board, circuit, circuit.results.get(), brought.inspection.limitations.first()):
        entry = row.history.first()
        assert entry.history_change_reason == "From No. 41 of Tidewell Electrical"
        assert entry.history_user == member


def test_preview_tells_the_same_and_writes_nothing(member):
    upload = keep_upload(name="report.pdf", pdf=draw_report(record(), photos()), member=member)
    told = preview_record(upload=upload, client="New", installation="New", member=member)
    assert not Installation.objects.exists()
    assert not Client.objects.exists()
    done = bring_in_record(upload=upload, client="New", installation="New", member=member)
    assert told.counts == done.counts
    assert told.left_out == done.left_out


def test_what_stays_behind_or_differs_is_said(member):
    left_out = bring_in(draw_report(record(), photos()), member).left_out
    assert left_out == [
        "Limitation 3 was lifted, so it no longer stands.",
    ]


def test_client_of_that_name_is_used_again(member):
    client = ClientFactory(firm=member.firm, name="Larkfield Mill Estates")
    assert bring_in(draw_report(record()), member).inspection.installation.client == client


def test_installation_of_that_name_is_never_overwritten(member):
    client = ClientFactory(firm=member.firm, name="Larkfield Mill Estates")
    InstallationFactory(client=client, name="Brought in")
    with pytest.raises(RecordIntakeError, match="Give the incoming one another name"):
        bring_in(draw_report(record()), member)
    assert client.installations.count() == 1


def test_same_report_comes_in_once(member):
    pdf = draw_report(record())
    bring_in(pdf, member)
    with pytest.raises(RecordIntakeError, match=r"No\. 41 of Tidewell Electrical was brought in before"):
        keep_upload(name="again.pdf", pdf=pdf, member=member)
    assert keep_upload(name="other firm.pdf", pdf=pdf, member=MemberFactory())


def test_edition_that_is_not_known_here_is_said_and_another_stands_in(member):
    content = record()
    content["inspection"]["edition"] = {"key": "elsewhere_2031", "title": "Rules of elsewhere, 2031"}
    brought = bring_in(draw_report(content), member)
    assert brought.inspection.edition == "bs7671_2018_a2_2022"
    assert any("Rules of elsewhere, 2031" in line for line in brought.left_out)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda c: c["boards"][0].update(designation=""), "board"),
        (lambda c: c["boards"][0].update(designation="x" * 500), "board x"),
        (
            lambda c: c["boards"][0]["circuits"][1].update(way="1"),
            "the circuits: they do not fit together",
        ),
        (lambda c: c["boards"][0]["circuits"][1].update(number=1), "appears twice"),
        (
            lambda c: c["boards"][0]["circuits"][0]["details"].update(live_csa_mm2="99999999999"),
            "circuit DB1/1",
        ),
        (lambda c: c["installation"].update(earthing={"key": "IT", "words": "IT"}), "the installation"),
        (lambda c: c["installation"].update(nominal_voltage_v=10**30), "the installation"),
        (lambda c: c["inspection"].update(started_on="2026-02-30"), "not a date"),
        (lambda c: c["limitations"][0].update(circuits=[99]), "names a place that is not in it"),
        (lambda c: c["observations"][0].update(client_warned_on=None), "observation 1"),
        (lambda c: c["load_register"][1].update(taken_out_by=""), "load 2"),
        (lambda c: c["load_register"][0].update(count=10**30), "load 1"),
    ],
)
def test_record_that_does_not_hold_together_is_refused_whole(spoil, said, member):
    content = record()
    spoil(content)
    with pytest.raises(RecordIntakeError, match=said):
        bring_in(attached(canonical_json(content)), member)
    assert not Installation.objects.exists()
    assert not Client.objects.exists()


def test_page_of_the_visit_tells_of_their_inspector_and_instruments(member, client):
    brought = bring_in(draw_report(record(), photos()), member)
    client.force_login(member)
    page = client.get(reverse("inspection", args=[brought.inspection.pk])).content.decode()
    assert "as No. 41 of Tidewell Electrical, and inspected by Idris Penhale." in page
    for one in record()["instruments"]:
        assert one["serial"] in page


def test_limitation_goes_on_counting_from_where_it_stood_elsewhere(member):
    theirs = next(one for one in record()["limitations"] if one["visits"] > 1)
    brought = bring_in(draw_report(record(), photos()), member)
    later = start_inspection(
        installation=brought.inspection.installation,
        kind=brought.inspection.kind,
        started_on=date(2027, 11, 3),
        inspector=member,
        member=member,
    )
    mine = next(one for one in content_of(later)["limitations"] if one["reason"] == theirs["reason"])
    assert (mine["since"], mine["visits"]) == (theirs["since"], theirs["visits"] + 1)
