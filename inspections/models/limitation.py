"""What could not be tested, and why: agreed beforehand, or met on the day."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.columns import TESTS
from inspections.enums import LimitationKind, LimitationScope, StandingAnswer
from inspections.models.board import Board
from inspections.models.circuit import Circuit
from inspections.models.inspection import Inspection
from inspections.querysets import FirmQuerySet


class Limitation(models.Model):
    """Covers the tests named in ``tests`` (names of result columns) over its scope. A standing limitation is
    carried to the next inspection, where ``carried_from`` points back."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="limitations")
    kind = models.CharField(max_length=12, choices=LimitationKind, default=LimitationKind.OPERATIONAL)
    tests = models.JSONField(default=list)
    scope = models.CharField(max_length=10, choices=LimitationScope, default=LimitationScope.CIRCUITS)
    boards = models.ManyToManyField(Board, blank=True, related_name="limitations")
    circuits = models.ManyToManyField(Circuit, blank=True, related_name="limitations")
    reason = models.TextField()
    agreed_with = models.CharField(max_length=120, blank=True)
    agreed_on = models.DateField(null=True, blank=True)
    agreed_how = models.CharField(
        "how agreed", max_length=120, blank=True, help_text="In writing, by telephone"
    )
    is_standing = models.BooleanField("stands until lifted", default=False)
    carried_from = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="carried_to", editable=False
    )
    standing_answer = models.CharField(
        max_length=8, choices=StandingAnswer, default=StandingAnswer.NONE, blank=True, editable=False
    )
    known_since = models.DateField("recorded first, by another firm", null=True, blank=True, editable=False)
    visits_elsewhere = models.PositiveSmallIntegerField(
        "inspections of other firms it had stood at", default=0, editable=False
    )

    history = HistoricalRecords(m2m_fields=[boards, circuits])
    FIRM_PATH = "inspection__installation__client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=LimitationKind.values), name="limitation_kind_known"),
            models.CheckConstraint(
                condition=Q(scope__in=LimitationScope.values), name="limitation_scope_known"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="limitation_has_a_reason"),
            models.CheckConstraint(
                condition=Q(carried_from__isnull=True, standing_answer="")
                | Q(carried_from__isnull=False, standing_answer__in=StandingAnswer.values[1:]),
                name="carried_limitation_has_an_answer_or_waits_for_one",
            ),
            models.CheckConstraint(
                condition=Q(known_since__isnull=True, visits_elsewhere=0)
                | Q(known_since__isnull=False, visits_elsewhere__gte=1, carried_from__isnull=True),
                name="limitation_known_elsewhere_says_since_when",
            ),
            models.UniqueConstraint(fields=["inspection", "carried_from"], name="limitation_carried_once"),
            models.CheckConstraint(
                condition=~Q(kind=LimitationKind.AGREED) | (~Q(agreed_with="") & Q(agreed_on__isnull=False)),
                name="agreed_limitation_says_with_whom_and_when",
                violation_error_message="An agreed limitation says with whom it was agreed, and when.",
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()}: {self.reason}"

    def clean(self):
        if not isinstance(self.tests, list) or not self.tests or not set(self.tests) <= set(TESTS):
            raise ValidationError({"tests": "Choose at least one test that was not done."})

    @property
    def test_headings(self):
        return [TESTS[name] for name in self.tests]
