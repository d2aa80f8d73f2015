"""The parts a firm usually fits."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models import Firm
from inspections.querysets import FirmQuerySet
from remedies.enums import LoadKind
from remedies.models.values import ElectricalValues


class LoadPreset(ElectricalValues):
    """A firm's own usual part, to fill a new entry from."""

    firm = models.ForeignKey(Firm, models.PROTECT, related_name="load_presets")
    name = models.CharField(max_length=80)

    history = HistoricalRecords()
    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "name"], name="load_preset_name_unique_in_firm"),
            models.CheckConstraint(condition=Q(kind__in=LoadKind.values), name="load_preset_kind_known"),
        ]

    def __str__(self):
        return self.name

    def clean(self):
        self.clean_values()
