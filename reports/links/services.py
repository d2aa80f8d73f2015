"""Giving a client a link to an issued record, ending it, and following it."""

import secrets
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.models import Member
from inspections.services.record import save_record
from reports.content import sha256_of
from reports.links.tables import ClientLink, LinkOpening, OpenedPart
from reports.models import IssuedRecord
from reports.services.pdf import draw_pdf

TOKEN_BYTES = 32


def give_link(*, record: IssuedRecord, given_to: str, expires_on: date, member: Member) -> str:
    """What the link is made of; it is kept nowhere. The report is drawn first where it was not yet.

    Raises ValidationError where the day has passed, or the report cannot be drawn.
    """
    if expires_on < timezone.localdate():
        raise ValidationError({"expires_on": "This day has passed. Choose one to come."})
    if not record.pdf_sha256:
        draw_pdf(record)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    link = ClientLink(
        record=record,
        given_to=given_to,
        token_sha256=sha256_of(token.encode()),
        expires_on=expires_on,
        given_by=member,
        given_at=timezone.now(),
    )
    save_record(link, member=member, reason="Link given")
    return token


@transaction.atomic
def end_link(*, link: ClientLink, member: Member) -> ClientLink:
    """From now on the link opens nothing. One that was ended before stays as it was."""
    if link.ended_at is None:
        link.ended_by, link.ended_at = member, timezone.now()
        save_record(link, member=member, reason="Link ended")
    return link


def follow(token: str, part: OpenedPart) -> ClientLink | None:
    """The link that ``token`` is of, while it holds; that it was opened is kept."""
    links = ClientLink.objects.open_on(timezone.localdate()).select_related("record__firm")
    link = links.filter(token_sha256=sha256_of(token.encode())).first()
    if link:
        LinkOpening.objects.create(link=link, part=part)
    return link
