"""Distribution boards. They form a tree: each is fed from another, or from the supply."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inspections.enums import Phases
from inspections.models.fields import NaturalSortField
from inspections.models.installation import Installation
from inspections.querysets import BoardQuerySet


class Board(models.Model):
    installation = models.ForeignKey(Installation, models.PROTECT, related_name="boards")
    designation = models.CharField(max_length=20, help_text="As marked on it: DB1")
    location = models.CharField(max_length=120, blank=True)
    fed_from = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="feeds",
        help_text="Empty: the supply itself",
    )
    fed_from_way = models.CharField("way that feeds it", max_length=8, blank=True)
    phases = models.CharField(max_length=1, choices=Phases, default=Phases.SINGLE)
    ways = models.PositiveSmallIntegerField(null=True, blank=True)
    main_switch = models.CharField(max_length=120, blank=True, help_text="Standard, poles, rating")
    surge_protection = models.CharField(
        max_length=120, blank=True, help_text="Type and continuous voltage, or none"
    )
    retired_on = models.DateField(null=True, blank=True)
    sort_key = NaturalSortField("designation")

    history = HistoricalRecords(excluded_fields=["sort_key"])
    FIRM_PATH = "installation__client__firm"
    objects = BoardQuerySet.as_manager()

    class Meta:
        ordering = ["sort_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["installation", "designation"], name="board_designation_unique_in_installation"
            ),
            models.CheckConstraint(condition=~Q(designation=""), name="board_has_a_designation"),
            models.CheckConstraint(condition=Q(phases__in=Phases.values), name="board_phases_known"),
            models.CheckConstraint(
                condition=Q(fed_from__isnull=True) | ~Q(fed_from=F("id")), name="board_not_fed_from_itself"
            ),
        ]

    def __str__(self):
        return f"{self.designation} {self.location}".strip()

    def clean(self):
        board, seen = self.fed_from, {self.pk} if self.pk else set()
        while board is not None:
            if board.installation_id != self.installation_id:
                raise ValidationError({"fed_from": f"{board} is in another installation."})
            if board.pk in seen:
                raise ValidationError(
                    {"fed_from": f"{self} would feed itself by way of {board}. Choose one nearer the supply."}
                )
            seen.add(board.pk)
            board = board.fed_from

    @property
    def is_three_phase(self):
        return self.phases == Phases.THREE
