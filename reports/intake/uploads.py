"""A report of another firm on its way in: kept between its preview and its commit, and what it was after."""

import json
from typing import Any

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models import Firm, Inspection, Member
from inspections.querysets import UploadQuerySet


class RecordUpload(models.Model):
    """``pdf`` is the file as sent; it is emptied once it is brought in. ``record`` stays: what the other firm
    issued, to the byte, by whom and under which number, beside the inspection that was made of it here."""

    firm = models.ForeignKey(Firm, models.PROTECT, related_name="record_uploads")
    name = models.CharField(max_length=200)
    pdf = models.BinaryField(null=True)
    record = models.BinaryField()
    sha256 = models.CharField("SHA-256", max_length=64)
    issued_by_firm = models.CharField(max_length=120)
    inspected_by = models.CharField(max_length=120)
    number = models.CharField(max_length=40)
    sent_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(auto_now_add=True)
    committed_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)
    inspection = models.OneToOneField(
        Inspection, models.PROTECT, null=True, blank=True, related_name="brought_in_by"
    )

    history = HistoricalRecords(excluded_fields=["pdf", "record"])
    FIRM_PATH = "firm"
    objects = UploadQuerySet.as_manager()

    class Meta:
        ordering = ["-sent_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(committed_at__isnull=True, inspection__isnull=True, pdf__isnull=False)
                | Q(committed_at__isnull=False, inspection__isnull=False),
                name="record_upload_holds_its_file_until_committed",
            ),
            models.UniqueConstraint(
                fields=["firm", "sha256"],
                condition=Q(committed_at__isnull=False),
                name="record_brought_in_once_by_a_firm",
            ),
        ]

    def __str__(self):
        return f"{self.number} of {self.issued_by_firm}"

    @property
    def is_committed(self):
        return self.committed_at is not None


def content_as_kept(upload: RecordUpload) -> dict[str, Any]:
    """What the record of a kept upload says; it was read and checked when it was sent."""
    return json.loads(bytes(upload.record))
