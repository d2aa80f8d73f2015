"""A run over many reports: what was asked for, how far it is, and what became of each."""

from datetime import datetime, timedelta

from django.db import models
from django.db.models import Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from inspections.models import Firm, Inspection, Member
from inspections.querysets import FirmQuerySet

SILENCE = timedelta(seconds=60)
"""A worker tells that it lives at every report. One not heard of for so long is taken for dead."""


class RunKind(models.TextChoices):
    ISSUE = "issue", "Issue"
    EXPORT = "export", "Export"


class RunState(models.TextChoices):
    UNDER_WAY = "under_way", "Under way"
    STOPPED = "stopped", "Stopped"
    FINISHED = "finished", "Finished"


class RunQuerySet(FirmQuerySet):
    def under_way(self):
        return self.filter(state=RunState.UNDER_WAY)

    def free(self):
        """Under way, and no living worker at it."""
        dead = Q(beat_at__lt=timezone.now() - SILENCE)
        return self.under_way().filter(Q(worker="") | dead)


class Run(models.Model):
    """``member`` is who began it or last had it go on: what it issues is issued in that name. ``worker`` is
    the mark of the one process that may work at it, and ``beat_at`` when it last told that it lives."""

    firm = models.ForeignKey(Firm, models.PROTECT, related_name="runs")
    kind = models.CharField(max_length=6, choices=RunKind)
    state = models.CharField(max_length=9, choices=RunState, default=RunState.UNDER_WAY)
    draw_again = models.BooleanField(default=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="+")
    begun_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    worker = models.CharField(max_length=32, blank=True)
    beat_at = models.DateTimeField()

    history = HistoricalRecords(excluded_fields=["worker", "beat_at"])
    FIRM_PATH = "firm"
    objects = RunQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=RunKind.values), name="run_kind_known"),
            models.CheckConstraint(condition=Q(state__in=RunState.values), name="run_state_known"),
            models.CheckConstraint(
                condition=Q(state=RunState.FINISHED) ^ Q(ended_at__isnull=True), name="run_finished_says_when"
            ),
            models.UniqueConstraint(
                fields=["firm"],
                condition=Q(state=RunState.UNDER_WAY),
                name="run_under_way_once_in_firm",
                violation_error_message="Another run is under way. Wait for it, or stop it first.",
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} of {timezone.localtime(self.begun_at):%-d %b %Y, %H:%M}"

    @property
    def is_under_way(self) -> bool:
        return self.state == RunState.UNDER_WAY

    @property
    def is_finished(self) -> bool:
        return self.state == RunState.FINISHED

    def is_silent(self, at: datetime) -> bool:
        """Whether it should be under way, and its worker is dead."""
        return self.is_under_way and self.beat_at < at - SILENCE


class RunOutcome(models.TextChoices):
    WAITING = "", "Waiting"
    DONE = "done", "Done"
    DIFFERS = "differs", "Drawn again, it differs"
    LEFT_OUT = "left_out", "Left out"


class RunItem(models.Model):
    """One report of a run. ``record`` is there from the beginning where records are exported, and once it is
    issued where visits are. ``said``: why it was left out, a reason a line."""

    run = models.ForeignKey(Run, models.PROTECT, related_name="items")
    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="+")
    record = models.ForeignKey("IssuedRecord", models.PROTECT, null=True, blank=True, related_name="+")
    outcome = models.CharField(max_length=8, choices=RunOutcome, blank=True, default=RunOutcome.WAITING)
    said = models.TextField(blank=True)

    FIRM_PATH = "run__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["run", "inspection"],
                condition=Q(record__isnull=True),
                name="run_has_a_visit_once",
            ),
            models.UniqueConstraint(fields=["run", "record"], name="run_has_a_record_once"),
            models.CheckConstraint(condition=Q(outcome__in=RunOutcome.values), name="run_outcome_known"),
            models.CheckConstraint(
                condition=~Q(outcome=RunOutcome.LEFT_OUT) | ~Q(said=""), name="run_left_out_says_why"
            ),
            models.CheckConstraint(
                condition=~Q(outcome__in=[RunOutcome.DONE, RunOutcome.DIFFERS]) | Q(record__isnull=False),
                name="run_done_has_its_record",
            ),
        ]
        indexes = [models.Index(fields=["run", "outcome"], name="run_item_outcome")]

    def __str__(self):
        return f"{self.run}: {self.record or self.inspection}"
