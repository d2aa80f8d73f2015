"""The glow worksheet: one case of a lamp that glows when off, from what is seen down to what was done."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inspections.models import Circuit, Member
from inspections.querysets import FirmQuerySet
from remedies.enums import GlowStatus
from remedies.models.load import ParallelLoad
from remedies.physics.cause import CAUSES

CAUSE_CHOICES = [(cause.key, cause.name) for cause in CAUSES]


def _json(**kwargs):
    return models.JSONField(blank=True, encoder=DjangoJSONEncoder, **kwargs)


class GlowWorksheetQuerySet(FirmQuerySet):
    def for_installation(self, installation):
        return self.filter(circuit__board__installation=installation)

    def open_first(self):
        """Those still to be ended, then the others, latest first."""
        is_open = models.Case(models.When(status=GlowStatus.OPEN, then=0), default=1)
        return self.order_by(is_open, "-opened_on", "-pk")

    def for_lists(self):
        """With all that a line of a list names."""
        return self.select_related("circuit__board__installation", "opened_by", "load")


class GlowWorksheet(models.Model):
    """The readings and the reasoning of one case.

    answers: by question, the answer; empty where it cannot be answered there. readings: one entry a meter,
    in SI units. inputs: by section of the page, what was entered, in SI units, in the words of the physics.
    chosen: key of the remedy chosen. compared: the remedies as they stood when the case was ended.
    """

    circuit = models.ForeignKey(Circuit, models.PROTECT, related_name="glow_worksheets")
    complaint = models.CharField("what is complained of", max_length=200, blank=True)
    opened_on = models.DateField()
    opened_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    status = models.CharField(max_length=8, choices=GlowStatus, default=GlowStatus.OPEN)

    answers = _json(default=dict)
    readings = _json(default=list)
    inputs = _json(default=dict)
    cause = models.CharField("cause found", max_length=20, choices=CAUSE_CHOICES, blank=True)
    conclusion = models.CharField("why that cause", max_length=500, blank=True)

    chosen = models.CharField(max_length=120, blank=True, editable=False)
    compared = _json(default=list, editable=False)
    load = models.OneToOneField(
        ParallelLoad, models.PROTECT, null=True, blank=True, related_name="glow_worksheet", editable=False
    )
    ended_on = models.DateField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        Member, models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    outcome = models.CharField("what was done", max_length=300, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "circuit__board__installation__client__firm"
    objects = GlowWorksheetQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(status__in=GlowStatus.values), name="glow_status_known"),
            models.CheckConstraint(
                condition=Q(cause="") | Q(cause__in=[key for key, _ in CAUSE_CHOICES]),
                name="glow_cause_known",
            ),
            models.CheckConstraint(
                condition=Q(status=GlowStatus.FITTED, load__isnull=False) & ~Q(chosen="")
                | ~Q(status=GlowStatus.FITTED) & Q(load__isnull=True),
                name="glow_fitted_has_its_load",
            ),
            models.CheckConstraint(
                condition=Q(status=GlowStatus.OPEN, ended_on__isnull=True, ended_by__isnull=True, outcome="")
                | ~Q(status=GlowStatus.OPEN)
                & Q(ended_on__isnull=False, ended_by__isnull=False)
                & ~Q(outcome=""),
                name="glow_ended_says_what_when_and_by_whom",
            ),
            models.CheckConstraint(
                condition=Q(status=GlowStatus.OPEN) | ~Q(cause=""), name="glow_ended_names_a_cause"
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=F("opened_on")),
                name="glow_ended_after_it_was_opened",
                violation_error_message="It cannot be ended before it was opened.",
            ),
        ]

    def __str__(self):
        return f"Glow worksheet of {self.circuit}, {self.opened_on:%-d %b %Y}"

    @property
    def is_open(self):
        return self.status == GlowStatus.OPEN
