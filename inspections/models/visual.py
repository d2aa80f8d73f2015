"""Outcome of each visual inspection item at one inspection."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.enums import Outcome
from inspections.models.inspection import Inspection
from inspections.querysets import FirmQuerySet


class VisualOutcome(models.Model):
    """``item`` is a key of the visual items listed beside the rules."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="visual_outcomes")
    item = models.CharField(max_length=60)
    outcome = models.CharField(max_length=3, choices=Outcome)
    remark = models.CharField(max_length=300, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["inspection", "item"]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "item"], name="visual_item_once_an_inspection"),
            models.CheckConstraint(condition=Q(outcome__in=Outcome.values), name="visual_outcome_known"),
        ]

    def __str__(self):
        return f"{self.item}: {self.outcome}"
