"""A spreadsheet on its way in: kept between its preview and its commit, and named in the history after."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models.firm import Member
from inspections.models.inspection import Inspection
from inspections.querysets import UploadQuerySet


class Upload(models.Model):
    """``content`` is the file as sent; it is emptied once its rows are in the record for good, and one
    that was dropped is deleted (``inspections.services.uploads``). ``choices`` holds what the person chose on
    the preview: columns re-mapped, the board when the file names none, notes taken as limitations."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="uploads")
    name = models.CharField(max_length=200)
    content = models.BinaryField(null=True)
    choices = models.JSONField(default=dict, blank=True)
    sent_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(auto_now_add=True)
    committed_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords(excluded_fields=["content", "choices"])
    FIRM_PATH = "inspection__installation__client__firm"
    objects = UploadQuerySet.as_manager()

    class Meta:
        ordering = ["-sent_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(content__isnull=False) | Q(committed_at__isnull=False),
                name="upload_holds_its_file_until_committed",
            )
        ]

    def __str__(self):
        return self.name
