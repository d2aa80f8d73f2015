"""One visit: what kind, when, by whom, over what extent, and the supply as found."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inspections.enums import InspectionKind, InspectionStatus
from inspections.models.board import Board
from inspections.models.fields import ReadingField, TickField
from inspections.models.firm import Member
from inspections.models.installation import Installation
from inspections.models.instrument import Instrument
from inspections.querysets import FirmQuerySet, InspectionQuerySet


class Inspection(models.Model):
    installation = models.ForeignKey(Installation, models.PROTECT, related_name="inspections")
    kind = models.CharField(max_length=12, choices=InspectionKind, default=InspectionKind.PERIODIC)
    status = models.CharField(max_length=12, choices=InspectionStatus, default=InspectionStatus.DRAFT)
    started_on = models.DateField("date of the visit")
    finished_on = models.DateField("last day, if more than one", null=True, blank=True)
    inspector = models.ForeignKey(Member, models.PROTECT, related_name="inspections")
    based_on = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="followed_by")
    edition = models.CharField("held to", max_length=40, help_text="Rule set, fixed when the visit began")
    reason = models.TextField("reason for the report", blank=True)
    extent = models.TextField("extent covered", blank=True)
    general_condition = models.TextField(blank=True)
    instruments = models.ManyToManyField(Instrument, blank=True, related_name="inspections")

    ze = ReadingField("Ze (Ω)")
    ipf_ka = ReadingField("Ipf at the origin (kA)")
    supply_polarity = TickField("supply polarity confirmed")

    next_due_on = models.DateField("next inspection due", null=True, blank=True)
    next_due_reason = models.TextField("why then", blank=True)
    calibration_explanation = models.TextField("instruments out of calibration", blank=True)

    history = HistoricalRecords(m2m_fields=[instruments])
    FIRM_PATH = "installation__client__firm"
    objects = InspectionQuerySet.as_manager()

    class Meta:
        ordering = ["-started_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=InspectionKind.values), name="inspection_kind_known"),
            models.CheckConstraint(
                condition=Q(status__in=InspectionStatus.values), name="inspection_status_known"
            ),
            models.CheckConstraint(
                condition=Q(finished_on__isnull=True) | Q(finished_on__gte=F("started_on")),
                name="inspection_ends_after_it_begins",
                violation_error_message="The last day is before the first.",
            ),
            models.CheckConstraint(condition=~Q(edition=""), name="inspection_has_an_edition"),
            models.CheckConstraint(
                condition=Q(next_due_on__isnull=True) | Q(next_due_on__gt=F("started_on")),
                name="inspection_next_due_after_the_visit",
                violation_error_message="The next inspection is due after this visit.",
            ),
        ]
        indexes = [models.Index(fields=["installation", "-started_on"], name="inspection_latest_first")]

    def __str__(self):
        return f"{self.get_kind_display()}, {self.started_on:%-d %b %Y}"

    @property
    def last_day(self):
        """Of the visit; its first, if it took one day."""
        return self.finished_on or self.started_on

    @property
    def is_open(self):
        """Whether results may still be entered."""
        return self.status == InspectionStatus.DRAFT


class BoardResult(models.Model):
    """What was measured at one board during one inspection."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="board_results")
    board = models.ForeignKey(Board, models.PROTECT, related_name="results")
    zdb = ReadingField("Zs at the board (Ω)")
    ipf_ka = ReadingField("Ipf at the board (kA)")
    polarity = TickField("supply polarity confirmed")
    phase_sequence = TickField("phase sequence confirmed")
    surge_indicator = TickField("surge protection indicator checked")

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["inspection", "board__sort_key"]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "board"], name="board_result_once_an_inspection")
        ]

    def __str__(self):
        return f"{self.board}, {self.inspection}"
