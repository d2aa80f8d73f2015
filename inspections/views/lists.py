"""What the pages with long lists do."""

from django.core.paginator import Paginator
from django.db.models import Q

ROWS_A_PAGE = 50


def matching(rows, words: str, *fields: str):
    """Rows in which every one of ``words`` stands somewhere in ``fields``."""
    for word in words.split():
        anywhere = Q()
        for field in fields:
            anywhere |= Q(**{f"{field}__icontains": word})
        rows = rows.filter(anywhere)
    return rows


def page_of(request, rows):
    """The page asked for; the nearest there is, when the number is nonsense."""
    return Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
