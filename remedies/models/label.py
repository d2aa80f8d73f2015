"""The label at a board that names its hidden loads."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models import Board, Member
from inspections.querysets import FirmQuerySet


class BoardLabel(models.Model):
    """A label printed for a board. ``text`` is all that stands on it, and what its QR code holds; the label
    is out of date as soon as the loads of the board would be written differently."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="load_labels")
    text = models.TextField()
    printed_at = models.DateTimeField()
    printed_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    stuck_on = models.DateField(null=True, blank=True)
    stuck_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")

    history = HistoricalRecords()
    FIRM_PATH = "board__installation__client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["-printed_at"]
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="board_label_says_something"),
            models.CheckConstraint(
                condition=Q(stuck_on__isnull=True, stuck_by__isnull=True)
                | Q(stuck_on__isnull=False, stuck_by__isnull=False),
                name="board_label_stuck_says_when_and_by_whom",
            ),
        ]

    def __str__(self):
        return f"Label of {self.board}, printed {self.printed_at:%-d %b %Y}"
