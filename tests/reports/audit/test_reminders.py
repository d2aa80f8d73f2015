"""The digest by e-mail."""

import io

import pytest
from django.core import mail
from django.core.management import CommandError, call_command

from inspections.enums import Role
from tests.factories import MemberFactory

SITE = "https://records.example.com/"


@pytest.fixture
def send(settings):
    settings.MAIL_IS_SET = True

    def run():
        said = io.StringIO()
        call_command("send_reminders", site=SITE, stdout=said)
        return said.getvalue()

    return run


def test_each_member_gets_one_mail_with_all_that_needs_them_and_of_their_firm_alone(place, other, send):
    electrician = MemberFactory(firm=place.member.firm, role=Role.ELECTRICIAN)

    said = send()
    sent = {message.to[0]: message for message in mail.outbox}

    assert said == "3 sent.\n"
    assert len(sent) == len(mail.outbox) == 3
    ours = sent[place.member.email]
    assert ours.subject == "Tidewell Electrical: 3 things need you"
    assert "1 board label to print" in ours.body
    assert "https://records.example.com/audit/falling-due/?what=label_none" in ours.body
    assert sent[electrician.email].subject == "Tidewell Electrical: 1 thing needs you"
    assert all("Elsewhere" not in message.body for to, message in sent.items() if to != other.member.email)


def test_whoever_nothing_needs_or_has_left_gets_none(place, send):
    idle = MemberFactory(role=Role.ELECTRICIAN)
    gone = MemberFactory(firm=place.member.firm, role=Role.OFFICE, is_active=False)

    send()

    assert not {idle.email, gone.email} & {message.to[0] for message in mail.outbox}


def test_without_a_mail_server_the_mails_are_printed(place, settings):
    settings.MAIL_IS_SET = False
    said = io.StringIO()

    call_command("send_reminders", site=SITE, stdout=said)

    assert mail.outbox == []
    assert "1 board label to print" in said.getvalue()
    assert "1 to send." in said.getvalue()


def test_the_address_of_the_site_must_be_given(db):
    with pytest.raises(CommandError, match="--site"):
        call_command("send_reminders")
