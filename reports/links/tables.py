"""Links by which a client reads one issued record, and when each was opened."""

from datetime import date

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models import Member
from inspections.querysets import FirmQuerySet


class ClientLinkQuerySet(FirmQuerySet):
    def open_on(self, day: date):
        """Neither expired on ``day`` nor ended."""
        return self.filter(expires_on__gte=day, ended_at__isnull=True)


class ClientLink(models.Model):
    """What the link holds is kept as its SHA-256 alone: whoever reads the database cannot follow it."""

    record = models.ForeignKey("reports.IssuedRecord", models.PROTECT, related_name="client_links")
    given_to = models.CharField(max_length=120)
    token_sha256 = models.CharField("SHA-256 of the link", max_length=64, unique=True)
    expires_on = models.DateField("holds until")
    given_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    given_at = models.DateTimeField()
    ended_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "record__firm"
    objects = ClientLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(given_to=""), name="client_link_says_to_whom"),
            models.CheckConstraint(
                condition=Q(ended_by__isnull=True, ended_at__isnull=True)
                | Q(ended_by__isnull=False, ended_at__isnull=False),
                name="client_link_ended_says_when_and_by_whom",
            ),
        ]

    def __str__(self):
        return f"{self.record} for {self.given_to}"


class OpenedPart(models.TextChoices):
    SUMMARY = "summary", "Summary"
    REPORT = "report", "Report"


class LinkOpening(models.Model):
    """That a link was opened, and when; nothing of who did."""

    link = models.ForeignKey(ClientLink, models.PROTECT, related_name="openings")
    part = models.CharField(max_length=7, choices=OpenedPart)
    opened_at = models.DateTimeField(auto_now_add=True)

    FIRM_PATH = "link__record__firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(part__in=OpenedPart.values), name="link_opening_part_known")
        ]

    def __str__(self):
        return f"{self.get_part_display()}, {self.opened_at:%-d %b %Y, %H:%M}"
