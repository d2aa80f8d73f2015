"""All readings of one circuit at one inspection."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models.circuit import Circuit
from inspections.models.fields import ReadingField, TickField
from inspections.models.inspection import Inspection
from inspections.querysets import ResultQuerySet

INSULATION_TEST_VOLTAGES = [(250, "250 V"), (500, "500 V"), (1000, "1000 V")]


class CircuitResult(models.Model):
    """The row of the schedule of test results. ``version`` counts its saves: a row that another person saved
    meanwhile is known by it, and the history holds what it was before."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="results")
    circuit = models.ForeignKey(Circuit, models.PROTECT, related_name="results")
    version = models.PositiveIntegerField(default=1, editable=False)

    r1 = ReadingField("r1 (Ω)")
    rn = ReadingField("rn (Ω)")
    r2 = ReadingField("r2 (Ω)")
    r1_r2 = ReadingField("R1+R2 (Ω)")
    r2_only = ReadingField("R2 (Ω)")
    ir_voltage_v = models.PositiveSmallIntegerField(
        "insulation test voltage (V)", null=True, blank=True, choices=INSULATION_TEST_VOLTAGES
    )
    ir_live_live = ReadingField("insulation live-live (MΩ)")
    ir_live_earth = ReadingField("insulation live-earth (MΩ)")
    polarity = TickField("polarity")
    zs = ReadingField("Zs (Ω)")
    rcd_trip_ms = ReadingField("RCD trip time (ms)")
    rcd_button = TickField("RCD test button")
    afdd_button = TickField("AFDD test button")
    instrument_group = models.CharField(max_length=6, blank=True)
    remarks = models.TextField(blank=True, max_length=2000)

    history = HistoricalRecords()
    FIRM_PATH = "inspection__installation__client__firm"
    objects = ResultQuerySet.as_manager()

    class Meta:
        ordering = ["circuit__board__sort_key", "circuit__sort_key"]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "circuit"], name="result_once_an_inspection"),
            models.CheckConstraint(
                condition=Q(ir_voltage_v__isnull=True)
                | Q(ir_voltage_v__in=[volts for volts, _ in INSULATION_TEST_VOLTAGES]),
                name="result_test_voltage_known",
            ),
        ]

    def __str__(self):
        return f"{self.circuit}, {self.inspection}"
