"""Who orders the work."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models.firm import Firm
from inspections.querysets import FirmQuerySet


class Client(models.Model):
    firm = models.ForeignKey(Firm, models.PROTECT, related_name="clients")
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    notes = models.TextField(blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "name"], name="client_name_unique_in_firm"),
            models.CheckConstraint(condition=~Q(name=""), name="client_has_a_name"),
        ]

    def __str__(self):
        return self.name
