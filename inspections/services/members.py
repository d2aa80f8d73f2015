"""Who works at a firm: the first supervisor, invitations, roles, leaving."""

from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.core.exceptions import ValidationError
from django.db import connection, transaction

from inspections.enums import Role
from inspections.models import Firm, Member
from inspections.services.record import save_record

LINK_ENDED = "This link has been used, or is older than three days. Ask your supervisor for another."
LAST_SUPERVISOR = "This is the firm’s only supervisor. Make another member a supervisor first."
HAS_JOINED = "This member has joined already."


class FirmIsThere(Exception):
    """The first firm has been made, so nobody makes another this way."""


class _Invitations(PasswordResetTokenGenerator):
    """Django's own link: it ends with time, and with the password that whoever follows it chooses."""

    key_salt = "inspections.services.members.invitation"

    def _make_hash_value(self, user, timestamp):
        return f"{super()._make_hash_value(user, timestamp)}{user.is_active}"


_invitations = _Invitations()


@transaction.atomic
def found_firm(*, firm_name: str, name: str, email: str, password: str) -> Member:
    """Make the firm and its first supervisor. Raises FirmIsThere where there is a firm already, be it made
    a moment ago by another; ValidationError when something does not hold."""
    if connection.vendor == "postgresql":  # SQLite has but one writer at a time
        with connection.cursor() as cursor:
            cursor.execute(f"LOCK TABLE {Firm._meta.db_table} IN SHARE ROW EXCLUSIVE MODE")
    if Firm.objects.exists():
        raise FirmIsThere
    firm = save_record(Firm(name=firm_name), member=None, reason="First run")
    return Member.objects.create_user(email, password, name=name, firm=firm, role=Role.SUPERVISOR)


@transaction.atomic
def invite(*, row: Member, member: Member) -> str:
    """Enter a member who has yet to join, or have one who left come back. What their link is made of."""
    if row.pk and row.is_active and row.has_usable_password():
        raise ValidationError(HAS_JOINED)
    row.is_active = True
    row.set_unusable_password()  # another each time, so that an earlier link ends
    save_record(row, member=member, reason="Invited")
    return _invitations.make_token(row)


def invited(pk: int, token: str) -> Member | None:
    """Whoever the link is for, while it holds."""
    row = Member.objects.filter(pk=pk, is_active=True).first()
    return row if row and not row.has_usable_password() and _invitations.check_token(row, token) else None


@transaction.atomic
def join_firm(*, pk: int, token: str, name: str, password: str) -> Member:
    """Take up an invitation, once. Raises ValidationError when the link holds no more."""
    Member.objects.select_for_update().filter(pk=pk).first()
    row = invited(pk, token)
    if row is None:
        raise ValidationError(LINK_ENDED)
    row.name = name
    row.set_password(password)
    return save_record(row, member=row, reason="Joined")


@transaction.atomic
def change_role(*, row: Member, role: str, member: Member) -> Member:
    """Raises ValidationError where the firm would be left without a supervisor."""
    if role != Role.SUPERVISOR:
        _require_another_supervisor(row)
    row.role = role
    return save_record(row, member=member, reason="Role changed")


@transaction.atomic
def leave_firm(*, row: Member, member: Member) -> Member:
    """End a sign-in, every session of it at once. What the member did stays under his or her name."""
    _require_another_supervisor(row)
    row.is_active = False
    row.set_unusable_password()
    row.authenticator_set.all().delete()
    return save_record(row, member=member, reason="Left the firm")


@transaction.atomic
def remove_second_factor(*, row: Member, member: Member | None) -> Member:
    """Take off whatever second factor a member has, as when the phone is lost. The next sign-in asks for the
    password alone, and for a new one where the firm requires it."""
    row.authenticator_set.all().delete()
    return save_record(row, member=member, reason="Second factor removed")


def _require_another_supervisor(row):
    Firm.objects.select_for_update().get(pk=row.firm_id)  # one at a time, lest two supervisors go together
    others = row.firm.members.filter(role=Role.SUPERVISOR, is_active=True).exclude(pk=row.pk)
    if not any(other.has_usable_password() for other in others):
        was = Member.objects.get(pk=row.pk)
        if was.role == Role.SUPERVISOR and was.is_active:
            raise ValidationError(LAST_SUPERVISOR)
