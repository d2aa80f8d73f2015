"""Queries that have a name. Every view's query begins with ``for_firm``."""

from django.db import models


class FirmQuerySet(models.QuerySet):
    """Rows that belong to a firm by the path the model names in ``FIRM_PATH``."""

    def for_firm(self, firm):
        """Only the rows of ``firm``."""
        return self.filter(**{self.model.FIRM_PATH: firm.pk})


class BoardQuerySet(FirmQuerySet):
    def in_use(self):
        return self.filter(retired_on__isnull=True)


class CircuitQuerySet(FirmQuerySet):
    def in_use(self):
        """Circuits still there: not retired."""
        return self.filter(retired_on__isnull=True)


class InspectionQuerySet(FirmQuerySet):
    def before(self, inspection):
        """Earlier inspections of the same installation, latest first."""
        return (
            self.filter(installation=inspection.installation_id, started_on__lte=inspection.started_on)
            .exclude(pk=inspection.pk)
            .order_by("-started_on", "-pk")
        )


class ResultQuerySet(FirmQuerySet):
    def on_board(self, inspection, board):
        """Results of one inspection on one board, in the order of its ways."""
        return self.filter(inspection=inspection, circuit__board=board).order_by("circuit__sort_key")


class UploadQuerySet(FirmQuerySet):
    def not_dropped(self):
        return self.filter(dropped_at__isnull=True)


class ObservationQuerySet(FirmQuerySet):
    def open(self):
        """Not yet put right."""
        return self.filter(put_right_on__isnull=True)
