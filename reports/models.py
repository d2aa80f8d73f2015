"""What is kept of a report: its review, and the record once it is issued."""

import json

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact
from simple_history.models import HistoricalRecords

from inspections.models import Firm, Inspection, Member
from inspections.querysets import FirmQuerySet
from reports.audit.tables import (  # noqa: F401 - rows of the audit belong to this app
    AuditMark,
    CircuitAudit,
    DueAudit,
    LoadAudit,
    PlaceAudit,
    Reminder,
    SavedFilter,
    TrendAudit,
    YearAudit,
)
from reports.intake.uploads import RecordUpload  # noqa: F401 - it belongs to this app
from reports.links.tables import ClientLink, LinkOpening  # noqa: F401 - so do these
from reports.runs.tables import Run, RunItem  # noqa: F401 - and these
from reports.search.tables import (  # noqa: F401 - rows of the search belong to this app
    SearchMark,
    SearchRow,
    SearchSpelling,
    SearchText,
    SearchWord,
)


class ReviewOutcome(models.TextChoices):
    RETURNED = "returned", "Returned"
    ISSUED = "issued", "Issued"


class Review(models.Model):
    """One sending of an inspection for review, until it was returned with remarks or issued."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="reviews")
    sent_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField()
    note = models.TextField("for the reviewer", blank=True)
    outcome = models.CharField(max_length=8, choices=ReviewOutcome, blank=True)
    signature = models.JSONField(null=True, blank=True, editable=False)
    remarks = models.TextField(blank=True)
    closed_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["-sent_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["inspection"], condition=Q(outcome=""), name="review_open_once_an_inspection"
            ),
            models.CheckConstraint(
                condition=Q(outcome__in=["", *ReviewOutcome.values]), name="review_outcome_known"
            ),
            models.CheckConstraint(
                condition=Q(outcome="", closed_by__isnull=True, closed_at__isnull=True)
                | ~Q(outcome="") & Q(closed_by__isnull=False, closed_at__isnull=False),
                name="review_closed_says_when_and_by_whom",
            ),
            models.CheckConstraint(
                condition=~Q(outcome=ReviewOutcome.RETURNED) | ~Q(remarks=""),
                name="review_returned_says_why",
                violation_error_message="Say what is to be put right.",
            ),
        ]

    def __str__(self):
        return f"Review of {self.inspection}, sent {self.sent_at:%-d %b %Y}"


class PointAnswer(models.Model):
    """What the reviewer answered to one point. ``said`` is what the point said then; ``key`` holds its
    digest, so that the answer is to that and nothing else."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="point_answers")
    key = models.CharField(max_length=160)
    said = models.TextField()
    text = models.TextField("answer")
    answered_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    answered_on = models.DateField()

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "key"], name="point_answered_once"),
            models.CheckConstraint(condition=~Q(text=""), name="point_answer_says_something"),
        ]

    def __str__(self):
        return f"{self.said[:60]} – {self.text[:60]}"


class RecordSeries(models.Model):
    """Where a firm's series of issued records stands: the last number given, and the hash the next record is
    chained to. Held while a record is issued, so that two never take one number."""

    firm = models.OneToOneField(Firm, models.PROTECT, related_name="record_series")
    last_number = models.PositiveIntegerField(default=0)
    last_sha256 = models.CharField(max_length=64, blank=True)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "record series"

    def __str__(self):
        return f"{self.firm}: {self.last_number}"


class IssuedRecord(models.Model):
    """A report once issued: its content to the byte, numbered in the firm's series, chained to the record the
    firm issued before. Nothing changes it; a correction is a new revision. The database refuses every change
    but one: the hash of its PDF, which ``kept_pdf`` keeps, is added once, when that has been drawn."""

    firm = models.ForeignKey(Firm, models.PROTECT, related_name="issued_records")
    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="issued_records")
    number = models.PositiveIntegerField()
    revision = models.PositiveSmallIntegerField(default=1)
    what_changed = models.TextField(blank=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    schema = models.CharField(max_length=40)
    content = models.BinaryField()
    sha256 = models.CharField("SHA-256", max_length=64)
    previous_sha256 = models.CharField("SHA-256 of the record before", max_length=64, blank=True)
    pdf_sha256 = models.CharField("SHA-256 of the PDF", max_length=64, blank=True)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "number", "revision"], name="record_number_once_in_firm"),
            models.UniqueConstraint(fields=["firm", "previous_sha256"], name="record_chain_never_forks"),
            models.UniqueConstraint(fields=["inspection", "revision"], name="record_revision_once"),
            models.CheckConstraint(
                condition=Q(number__gte=1, revision__gte=1), name="record_numbers_begin_at_1"
            ),
            models.CheckConstraint(
                condition=Q(revision=1) | ~Q(what_changed=""), name="record_revision_says_what_changed"
            ),
            models.CheckConstraint(
                condition=Q(pdf_sha256="") | Q(Exact(Length("pdf_sha256"), 64)),
                name="record_pdf_has_its_hash",
            ),
        ]

    def __str__(self):
        return f"No. {self.designation}"

    @property
    def designation(self):
        """The number, with the revision where there is a later one: ``12``, ``12 revision 2``."""
        return f"{self.number}" if self.revision == 1 else f"{self.number} revision {self.revision}"

    @property
    def json(self) -> bytes:
        """The content exactly as it was hashed."""
        return bytes(self.content)

    def read(self) -> dict:
        """The content as values."""
        return json.loads(self.json)


class RecordPhoto(models.Model):
    """The bytes of a photograph that an issued record names."""

    record = models.ForeignKey(IssuedRecord, models.PROTECT, related_name="photos")
    sha256 = models.CharField("SHA-256", max_length=64)
    content = models.BinaryField()

    FIRM_PATH = "record__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["record", "sha256"], name="record_photo_once")]

    def __str__(self):
        return f"{self.record}: {self.sha256[:12]}"


class CorrectionQuerySet(FirmQuerySet):
    def waiting(self):
        """Opened, and neither issued nor dropped."""
        return self.filter(issued_as__isnull=True, dropped_at__isnull=True)

    def waiting_at(self, inspection):
        """The one that waits at a visit, with the record it corrects; None where none does."""
        return self.waiting().filter(inspection=inspection).select_related("corrects").first()


class Correction(models.Model):
    """An issued inspection opened again to correct its record. ``issued_as`` is the new revision, once there
    is one; one opened by mistake is dropped instead. The database lets an issued inspection go back to draft
    only while a correction waits for it."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="corrections")
    corrects = models.ForeignKey(IssuedRecord, models.PROTECT, related_name="corrections")
    what_changed = models.TextField("what is corrected, and why")
    opened_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    issued_as = models.OneToOneField(
        IssuedRecord, models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    dropped_why = models.TextField("why it was dropped", blank=True)
    dropped_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    dropped_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = CorrectionQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(what_changed=""),
                name="correction_says_what",
                violation_error_message="Say what is corrected, and why.",
            ),
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True, dropped_by__isnull=True, dropped_why="")
                | Q(dropped_at__isnull=False, dropped_by__isnull=False, issued_as__isnull=True)
                & ~Q(dropped_why=""),
                name="correction_dropped_says_why_when_and_by_whom",
                violation_error_message="Say why it is dropped.",
            ),
            models.UniqueConstraint(
                fields=["inspection"],
                condition=Q(issued_as__isnull=True, dropped_at__isnull=True),
                name="correction_waits_once",
            ),
            models.UniqueConstraint(
                fields=["corrects"], condition=Q(dropped_at__isnull=True), name="record_corrected_once"
            ),
        ]

    def __str__(self):
        return f"Correction of {self.corrects}"
