"""The place: its use, its supply and when it falls due."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.enums import Earthing, Phases, Use
from inspections.models.client import Client
from inspections.querysets import FirmQuerySet

DEFAULT_EDITION = "bs7671_2018_a2_2022"


class Installation(models.Model):
    client = models.ForeignKey(Client, models.PROTECT, related_name="installations")
    name = models.CharField(max_length=120, help_text="As people call it: Larkfield Hall, 12 Mill Lane")
    address = models.TextField(blank=True)
    postcode = models.CharField(max_length=12, blank=True)
    use = models.CharField("use of premises", max_length=20, choices=Use, default=Use.DWELLING_OWNER)
    built = models.CharField("estimated age", max_length=60, blank=True, help_text="A year or about how old")
    alterations = models.TextField("evidence of additions or alterations", blank=True)

    earthing = models.CharField(
        "earthing arrangement", max_length=6, choices=Earthing, default=Earthing.TN_C_S
    )
    phases = models.CharField(max_length=1, choices=Phases, default=Phases.SINGLE)
    nominal_voltage_v = models.PositiveSmallIntegerField(
        "U0, line to earth (V)", default=230, validators=[MinValueValidator(12), MaxValueValidator(690)]
    )
    frequency_hz = models.PositiveSmallIntegerField(
        "frequency (Hz)", default=50, validators=[MinValueValidator(16), MaxValueValidator(400)]
    )
    rule_set = models.CharField(
        max_length=40, default=DEFAULT_EDITION, help_text="Edition results are held to"
    )
    interval_months = models.PositiveSmallIntegerField(
        "interval (months)", null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(240)]
    )
    next_due_on = models.DateField("next inspection due", null=True, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "client__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        indexes = [models.Index(fields=["next_due_on", "name"], name="installation_due_first")]
        constraints = [
            models.UniqueConstraint(fields=["client", "name"], name="installation_name_unique_for_client"),
            models.CheckConstraint(condition=~Q(name=""), name="installation_has_a_name"),
            models.CheckConstraint(condition=Q(use__in=Use.values), name="installation_use_known"),
            models.CheckConstraint(
                condition=Q(earthing__in=Earthing.values), name="installation_earthing_known"
            ),
            models.CheckConstraint(condition=Q(phases__in=Phases.values), name="installation_phases_known"),
            models.CheckConstraint(
                condition=Q(nominal_voltage_v__range=(12, 690)), name="installation_voltage_sensible"
            ),
            models.CheckConstraint(
                condition=Q(frequency_hz__range=(16, 400)), name="installation_frequency_sensible"
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def firm(self):
        return self.client.firm
