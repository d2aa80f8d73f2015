"""Into a sample firm and back in one browser: its session is the member's own, then that of one of the
sample's people, then the member's own again.

What the session held as the member's own is kept in it meanwhile, and holds only as long as it would have
held: not after another password, nor after leaving the firm.
"""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import HASH_SESSION_KEY, SESSION_KEY, get_user, login
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare

from inspections.models import Firm, Member

_CAME_AS = "came_to_sample_as"


def whose(member: Member) -> Member:
    """Whoever a sign-in stands for: of one of a sample's people, the member who opened the sample."""
    return member.firm.sample_of if member.is_in_sample else member


def act_as(request: HttpRequest, sample: Firm, role: str) -> None:
    """Be whoever has the role in the sample, coming from one's own firm or from another role."""
    _leave_unsaid(request)
    came_as = request.session.get(_CAME_AS) or dict(request.session.items())
    login(request, sample.members.filter(role=role).first(), settings.AUTHENTICATION_BACKENDS[0])
    request.session[_CAME_AS] = came_as


def may_stay(request: HttpRequest) -> bool:
    """Whether whoever looks round in a sample came there as the member who opened it, and would still be
    signed in as that member."""
    opened_by, came_as = whose(request.user), request.session.get(_CAME_AS, {})
    return (
        opened_by.is_active
        and came_as.get(SESSION_KEY) == str(opened_by.pk)
        and constant_time_compare(came_as.get(HASH_SESSION_KEY, ""), opened_by.get_session_auth_hash())
    )


def go_back(request: HttpRequest) -> None:
    """Be the member again who opened the sample."""
    _leave_unsaid(request)
    came_as = request.session[_CAME_AS]
    request.session.flush()
    request.session.update(came_as)
    request.user = get_user(request)


def _leave_unsaid(request: HttpRequest) -> None:
    """What waits to be said of one firm is not said in another."""
    list(messages.get_messages(request))
