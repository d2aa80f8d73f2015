"""Test instruments, by generic kind and serial number."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.enums import Measures
from inspections.models.firm import Firm
from inspections.querysets import FirmQuerySet


class Instrument(models.Model):
    firm = models.ForeignKey(Firm, models.PROTECT, related_name="instruments")
    measures = models.CharField(max_length=20, choices=Measures, default=Measures.MULTIFUNCTION)
    serial = models.CharField("serial number", max_length=40)
    description = models.CharField(max_length=120, blank=True)
    group = models.CharField(
        max_length=6, blank=True, help_text="The mark that stands on the schedules, such as A"
    )
    calibrated_until = models.DateField(null=True, blank=True)
    input_resistance_ohm = models.PositiveBigIntegerField(
        "voltmeter input resistance (Ω)", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    input_capacitance_pf = models.PositiveIntegerField(
        "voltmeter input capacitance (pF)", null=True, blank=True
    )
    insulation_range_top_mohm = models.PositiveIntegerField(
        "insulation range top (MΩ)", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    insulation_current_ma = models.DecimalField(
        "insulation test current limit (mA)",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="From 1 to 15 mA by IEC 61557-2",
    )
    retired_on = models.DateField(null=True, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["group", "serial"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "serial"], name="instrument_serial_unique_in_firm"),
            models.CheckConstraint(condition=~Q(serial=""), name="instrument_has_a_serial"),
            models.CheckConstraint(
                condition=Q(measures__in=Measures.values), name="instrument_measures_known"
            ),
            models.CheckConstraint(
                condition=Q(insulation_current_ma__isnull=True) | Q(insulation_current_ma__range=(1, 15)),
                name="instrument_insulation_current_1_to_15_ma",
            ),
        ]

    def __str__(self):
        return f"{self.get_measures_display()}, {self.serial}"

    def is_calibrated_on(self, day):
        """Whether the calibration covers ``day``."""
        return self.calibrated_until is not None and day <= self.calibrated_until
