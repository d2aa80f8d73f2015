"""A circuit: one way of a board and all that the schedule of circuit details asks of it."""

from collections.abc import Set
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.enums import (
    Arrangement,
    CableInsulation,
    Phase,
    ResidualCurrent,
    Serves,
    VoltageBand,
)
from inspections.models.board import Board
from inspections.models.fields import NaturalSortField
from inspections.querysets import CircuitQuerySet


def positive_decimal(label, digits=7, places=2, top=None):
    """A figure above zero that may be unknown."""
    validators = [MinValueValidator(Decimal(1).scaleb(-places))]
    if top is not None:
        validators.append(MaxValueValidator(Decimal(top)))
    return models.DecimalField(
        label, max_digits=digits, decimal_places=places, null=True, blank=True, validators=validators
    )


class Circuit(models.Model):
    board = models.ForeignKey(Board, models.PROTECT, related_name="circuits")
    way = models.CharField(max_length=8)
    phase = models.CharField(max_length=4, choices=Phase, default=Phase.NONE, blank=True)
    description = models.CharField(max_length=200, blank=True)
    is_spare = models.BooleanField("spare way", default=False)

    wiring_type = models.CharField("type of wiring", max_length=20, blank=True)
    reference_method = models.CharField(max_length=20, blank=True)
    points = models.PositiveSmallIntegerField("points served", null=True, blank=True)
    live_csa_mm2 = positive_decimal("live conductors (mm²)", top=1000)
    cpc_csa_mm2 = positive_decimal("cpc (mm²)", top=1000)
    arrangement = models.CharField(max_length=10, choices=Arrangement, default=Arrangement.RADIAL)
    serves = models.CharField(max_length=12, choices=Serves, default=Serves.FIXED)
    voltage_band = models.CharField(max_length=4, choices=VoltageBand, default=VoltageBand.LOW)
    nominal_voltage_v = models.PositiveSmallIntegerField(
        "nominal voltage (V)", null=True, blank=True, help_text="Empty: that of the supply"
    )
    length_m = positive_decimal("length (m)", top=10000)
    design_current_a = positive_decimal("design current (A)", top=10000)
    serves_lighting = models.BooleanField("serves lighting alone", default=False)
    conductor_insulation = models.CharField(
        max_length=24, choices=CableInsulation, default=CableInsulation.NOT_SAID, blank=True
    )
    residual_current = models.CharField(
        "residual current the load can cause",
        max_length=24,
        choices=ResidualCurrent,
        default=ResidualCurrent.NOT_SAID,
        blank=True,
    )
    equipment_stays_connected = models.BooleanField(
        "equipment stays connected during the insulation test", default=False
    )

    disconnection_time_s = positive_decimal("disconnection time (s)", top=60)
    device_standard = models.CharField("protective device standard", max_length=30, blank=True)
    device_type = models.CharField("protective device type", max_length=20, blank=True)
    device_rating_a = positive_decimal("protective device rating (A)", top=10000)
    breaking_capacity_ka = positive_decimal("breaking capacity (kA)", top=300)
    max_zs_ohm = positive_decimal("maximum permitted Zs (Ω)", top=10000)
    rcd_standard = models.CharField("RCD standard", max_length=30, blank=True)
    rcd_type = models.CharField("RCD type", max_length=20, blank=True)
    rcd_residual_ma = positive_decimal("RCD IΔn (mA)", top=10000)
    rcd_rating_a = positive_decimal("RCD rating (A)", top=10000)

    retired_on = models.DateField(null=True, blank=True, help_text="When the circuit ceased to be")
    sort_key = NaturalSortField("way", "phase")

    history = HistoricalRecords(excluded_fields=["sort_key"])
    FIRM_PATH = "board__installation__client__firm"
    objects = CircuitQuerySet.as_manager()

    class Meta:
        ordering = ["board", "sort_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["board", "way", "phase"],
                condition=Q(retired_on__isnull=True),
                name="circuit_way_and_phase_unique_on_board",
                violation_error_message="That way and phase of this board already has a circuit.",
            ),
            models.CheckConstraint(condition=~Q(way=""), name="circuit_has_a_way"),
            models.CheckConstraint(condition=Q(phase__in=Phase.values), name="circuit_phase_known"),
            models.CheckConstraint(
                condition=Q(arrangement__in=Arrangement.values), name="circuit_arrangement_known"
            ),
            models.CheckConstraint(condition=Q(serves__in=Serves.values), name="circuit_serves_known"),
            models.CheckConstraint(
                condition=Q(conductor_insulation__in=CableInsulation.values), name="circuit_insulation_known"
            ),
            models.CheckConstraint(
                condition=Q(residual_current__in=ResidualCurrent.values),
                name="circuit_residual_current_known",
            ),
            models.CheckConstraint(
                condition=Q(voltage_band__in=VoltageBand.values), name="circuit_voltage_band_known"
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gt": 0}),
                    name=f"circuit_{name}_positive",
                )
                for name in (
                    "live_csa_mm2",
                    "cpc_csa_mm2",
                    "length_m",
                    "design_current_a",
                    "disconnection_time_s",
                    "device_rating_a",
                    "breaking_capacity_ka",
                    "max_zs_ohm",
                    "rcd_residual_ma",
                    "rcd_rating_a",
                )
            ),
        ]
        indexes = [models.Index(fields=["board", "sort_key"], name="circuit_in_way_order")]

    def __str__(self):
        return f"{self.board.designation}/{self.designation}"

    @property
    def designation(self):
        """The way, with its phase where it has one: ``3`` or ``3 L1``."""
        return f"{self.way} {self.phase}".strip()

    @property
    def is_unnamed_spare(self):
        """Whether it must still be said that the way is spare: its description does not."""
        return self.is_spare and "spare" not in self.description.lower()

    def clean(self):
        if self.retired_on is not None or self.board_id is None:
            return
        ways = Circuit.objects.in_use().filter(board=self.board_id, way=self.way).exclude(pk=self.pk)
        if not may_share_way(self.phase, set(ways.values_list("phase", flat=True))):
            raise ValidationError(
                {"phase": f"Way {self.way} cannot hold a three-phase circuit and another one at once."}
            )


def may_share_way(phase: str, others: Set[str]) -> bool:
    """Whether a circuit of a phase may stand in a way beside those of other phases."""
    return not others or Phase.ALL not in {phase, *others}
