"""Fetching rows and deciding whether this person may see them, in one call.

Every object view begins with ``fetch``; no view trusts a number in an address by itself.
"""

from typing import TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from inspections.models import Firm

Row = TypeVar("Row", bound=Model)

NO_FIRM = "Your sign-in belongs to no firm, so there is no record to show."


def firm_of(request: HttpRequest) -> Firm:
    """The firm of whoever asks. Raises PermissionDenied for whoever runs the service, who has none."""
    if request.user.firm is None:
        raise PermissionDenied(NO_FIRM)
    return request.user.firm


def own(request: HttpRequest, rows: QuerySet[Row]) -> QuerySet[Row]:
    """Those of ``rows`` that belong to the firm of whoever asks."""
    return rows.for_firm(firm_of(request))


def fetch(request: HttpRequest, rows: QuerySet[Row], pk: int) -> Row:
    """The row ``pk`` of the asker's own firm. Raises Http404 when there is none, or it is another firm's."""
    return get_object_or_404(own(request, rows), pk=pk)
