"""Reminders by mail: one digest a person, when something new waits or the last one is a week old."""

from collections.abc import Iterator
from datetime import date, timedelta

from django.core.mail import EmailMessage
from django.db import transaction

from inspections.models import Member
from reports.audit.tables import Reminder
from reports.audit.today import needs_of, waiting_for

AGAIN_AFTER = timedelta(days=7)


def due_reminders(day: date, site: str) -> Iterator[tuple[EmailMessage, Reminder]]:
    """Each mail to be sent on a day, with the memory of it, which is kept once the mail has gone. None goes
    to a sample's people, whose addresses are invented."""
    members = Member.objects.filter(is_active=True, firm__isnull=False, firm__sample_of=None)
    members = members.select_related("firm", "reminder")
    for member in members.order_by("pk"):
        reminder = reminder_of(member)
        needs = needs_of(member, day) if reminder.is_wanted else []
        waiting = waiting_for(member, day) if reminder.is_wanted else set()
        is_new = not waiting <= set(reminder.told)
        if needs and (is_new or reminder.sent_on is None or day - reminder.sent_on >= AGAIN_AFTER):
            reminder.sent_on, reminder.told = day, sorted(waiting)
            yield _mail(member, needs, day, site), reminder
        elif reminder.pk and not set(reminder.told) <= waiting:
            # What was done and comes again is new then.
            reminder.told = sorted(waiting & set(reminder.told))
            reminder.save()


def reminder_of(member: Member) -> Reminder:
    """What is kept of a member's reminders; a new one, not saved, where nothing is."""
    return getattr(member, "reminder", None) or Reminder(member=member)


@transaction.atomic
def want_reminders(*, member: Member, wanted: bool) -> None:
    """Turn a member's own reminders on or off."""
    Reminder.objects.update_or_create(member=member, defaults={"is_wanted": wanted})


def _mail(member: Member, needs, day: date, site: str) -> EmailMessage:
    body = "\n\n".join(
        [
            f"{member.firm}, {day:%-d %b %Y}",
            *(f"{need.words}\n{site}{need.link}" for need in needs),
            "This is all that needs you. The next mail comes when something new does, or in a week. Turn "
            f"these reminders off on your first page: {site}/",
        ]
    )
    how_many = "1 thing needs you" if len(needs) == 1 else f"{len(needs)} things need you"
    return EmailMessage(f"{member.firm}: {how_many}", body, to=[member.email])
