"""What was seen to be wrong, its classification, and later what put it right."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.enums import Code
from inspections.models.board import Board
from inspections.models.circuit import Circuit
from inspections.models.inspection import Inspection
from inspections.querysets import ObservationQuerySet


class Observation(models.Model):
    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="observations")
    board = models.ForeignKey(Board, models.PROTECT, null=True, blank=True, related_name="observations")
    circuit = models.ForeignKey(Circuit, models.PROTECT, null=True, blank=True, related_name="observations")
    place = models.CharField("where", max_length=200, blank=True)
    text = models.TextField("what was seen")
    code = models.CharField(max_length=2, choices=Code, blank=True, help_text="Yours to give")
    regulation = models.CharField("regulation number", max_length=40, blank=True)
    made_from = models.CharField(
        max_length=80,
        blank=True,
        editable=False,
        help_text="The finding or the visual item that it was made from, as inspections.origins writes it",
    )
    photo = models.ImageField(upload_to="observations/", blank=True)
    action_on_day = models.TextField("what was done about it on the day", blank=True)
    client_warned_on = models.DateField("client warned of danger on", null=True, blank=True)

    put_right_on = models.DateField(null=True, blank=True)
    put_right_by = models.CharField(max_length=120, blank=True)
    evidence = models.TextField("evidence that it was put right", blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = ObservationQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(code__in=["", *Code.values]), name="observation_code_known"),
            models.CheckConstraint(condition=~Q(text=""), name="observation_has_a_text"),
            models.CheckConstraint(
                condition=~Q(code=Code.C1) | (~Q(action_on_day="") & Q(client_warned_on__isnull=False)),
                name="c1_says_what_was_done_and_that_the_client_was_warned",
                violation_error_message=(
                    "A C1 says what was done about it on the day, and when the client was warned."
                ),
            ),
            models.CheckConstraint(
                condition=Q(put_right_on__isnull=True) | ~Q(put_right_by=""),
                name="observation_put_right_says_by_whom",
                violation_error_message="Say who put it right.",
            ),
        ]

    def __str__(self):
        return f"{self.code or 'No code yet'}: {self.text[:60]}"
