"""Who may do what to a report."""

from django.core.exceptions import PermissionDenied

from inspections.enums import Role
from inspections.models import Member

ONLY_A_SUPERVISOR = "Only a supervisor reviews, returns, issues and corrects reports."


def may_issue(member: Member) -> bool:
    """Whether this member reviews and issues."""
    return member.role == Role.SUPERVISOR


def require_may_issue(member: Member) -> None:
    if not may_issue(member):
        raise PermissionDenied(ONLY_A_SUPERVISOR)
