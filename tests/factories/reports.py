"""Dull rows of what leaves the program."""

from datetime import UTC, date, datetime

import factory
from factory.django import DjangoModelFactory

from reports.audit.tables import Reminder
from reports.links.tables import OpenedPart
from reports.models import (
    ClientLink,
    Correction,
    IssuedRecord,
    LinkOpening,
    PointAnswer,
    RecordPhoto,
    RecordSeries,
    RecordUpload,
    Review,
    Run,
    RunItem,
    SavedFilter,
)
from reports.runs.tables import RunKind
from tests.factories.inspections import VISIT, FirmFactory, InspectionFactory, MemberFactory

AT = datetime(2026, 11, 9, 12, tzinfo=UTC)
SHA256 = "0" * 64


def of_the_firm(path: str):
    """A member of the firm that ``path`` leads to."""
    return factory.SubFactory(MemberFactory, firm=factory.SelfAttribute(f"..{path}"))


INSPECTIONS_FIRM = "inspection.installation.client.firm"


class ReviewFactory(DjangoModelFactory):
    class Meta:
        model = Review

    inspection = factory.SubFactory(InspectionFactory)
    sent_by = of_the_firm(INSPECTIONS_FIRM)
    sent_at = AT


class PointAnswerFactory(DjangoModelFactory):
    class Meta:
        model = PointAnswer

    inspection = factory.SubFactory(InspectionFactory)
    key = factory.Sequence(lambda n: f"finding {n}")
    said = "Zs is high"
    text = "Measured again"
    answered_by = of_the_firm(INSPECTIONS_FIRM)
    answered_on = AT.date()


class RecordSeriesFactory(DjangoModelFactory):
    class Meta:
        model = RecordSeries

    firm = factory.SubFactory(FirmFactory)


class IssuedRecordFactory(DjangoModelFactory):
    class Meta:
        model = IssuedRecord

    inspection = factory.SubFactory(InspectionFactory)
    firm = factory.SelfAttribute(INSPECTIONS_FIRM)
    number = 1
    issued_at = AT
    issued_by = of_the_firm("firm")
    schema = "stillacross-record/1"
    content = b"{}"
    sha256 = SHA256


class RecordPhotoFactory(DjangoModelFactory):
    class Meta:
        model = RecordPhoto

    record = factory.SubFactory(IssuedRecordFactory)
    sha256 = SHA256
    content = b"as taken"


class CorrectionFactory(DjangoModelFactory):
    class Meta:
        model = Correction

    corrects = factory.SubFactory(IssuedRecordFactory)
    inspection = factory.SelfAttribute("corrects.inspection")
    what_changed = "A name"
    opened_by = of_the_firm("corrects.firm")
    opened_at = AT


class RecordUploadFactory(DjangoModelFactory):
    class Meta:
        model = RecordUpload

    firm = factory.SubFactory(FirmFactory)
    name = "theirs.pdf"
    pdf = b"as sent"
    record = b"{}"
    sha256 = SHA256
    issued_by_firm = "Oakley and Daughter"
    inspected_by = "Wren Oakley"
    number = "No. 41"
    sent_by = of_the_firm("firm")


class SavedFilterFactory(DjangoModelFactory):
    class Meta:
        model = SavedFilter

    firm = factory.SubFactory(FirmFactory)
    question = "loads-in-the-way"
    name = factory.Sequence(lambda n: f"Filter {n}")
    saved_by = of_the_firm("firm")


class RunFactory(DjangoModelFactory):
    class Meta:
        model = Run

    firm = factory.SubFactory(FirmFactory)
    kind = RunKind.ISSUE
    member = of_the_firm("firm")
    begun_at = AT
    beat_at = AT


class RunItemFactory(DjangoModelFactory):
    class Meta:
        model = RunItem

    inspection = factory.SubFactory(InspectionFactory, started_on=VISIT)
    run = factory.SubFactory(RunFactory, firm=factory.SelfAttribute(f"..{INSPECTIONS_FIRM}"))


class ClientLinkFactory(DjangoModelFactory):
    class Meta:
        model = ClientLink

    record = factory.SubFactory(IssuedRecordFactory)
    given_to = "The tenant"
    token_sha256 = factory.Sequence(lambda n: f"{n:064x}")
    expires_on = date(2099, 12, 31)
    given_by = of_the_firm("record.firm")
    given_at = AT


class LinkOpeningFactory(DjangoModelFactory):
    class Meta:
        model = LinkOpening

    link = factory.SubFactory(ClientLinkFactory)
    part = OpenedPart.SUMMARY


class ReminderFactory(DjangoModelFactory):
    class Meta:
        model = Reminder

    member = factory.SubFactory(MemberFactory)
