"""The digest by e-mail."""

import io
from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.urls import reverse

from inspections.enums import Role
from inspections.models import Observation
from remedies.enums import LoadState
from reports.audit.tables import Reminder
from reports.audit.today import needs_of, waiting_for
from tests.factories import MemberFactory, ObservationFactory

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


DAY = datetime(2026, 11, 25, 12, tzinfo=UTC)


def sent_to(member, send, time_machine, *, days):
    """How many mails a member gets on the day that is so many days on."""
    mail.outbox.clear()
    time_machine.move_to(DAY + timedelta(days=days), tick=False)
    send()
    return [message.to for message in mail.outbox].count([member.email])


def test_the_same_is_not_mailed_again_before_a_week_has_passed(place, send, time_machine):
    days = [0, 1, 6, 7, 8, 13, 14]

    counts = [sent_to(place.member, send, time_machine, days=day) for day in days]

    assert dict(zip(days, counts, strict=True)) == {0: 1, 1: 0, 6: 0, 7: 1, 8: 0, 13: 0, 14: 1}


def test_something_new_is_mailed_the_next_day_once(place, send, time_machine):
    sent_to(place.member, send, time_machine, days=0)
    ObservationFactory(inspection=place.circuit.results.get().inspection, code="FI", text="No cover")

    assert sent_to(place.member, send, time_machine, days=1) == 1
    assert sent_to(place.member, send, time_machine, days=2) == 0


def test_what_was_done_and_comes_again_is_new(place, send, time_machine):
    def disconnect(state):
        place.load.state = state
        place.load.save()

    disconnect(LoadState.DISCONNECTED)
    sent_to(place.member, send, time_machine, days=0)
    disconnect(LoadState.IN_PLACE)
    assert sent_to(place.member, send, time_machine, days=1) == 0
    disconnect(LoadState.DISCONNECTED)

    assert sent_to(place.member, send, time_machine, days=2) == 1


def test_one_more_thing_is_new_though_another_was_done(place, send, time_machine):
    """The count is as before."""
    sent_to(place.member, send, time_machine, days=0)
    Observation.objects.filter(inspection__installation=place.circuit.board.installation).update(
        put_right_on="2026-11-25", put_right_by="J. Marlow"
    )
    ObservationFactory(inspection=place.circuit.results.get().inspection, code="C2", text="Another")

    assert sent_to(place.member, send, time_machine, days=1) == 1


def test_a_person_turns_reminders_off_and_on_again(place, browse, other, send, time_machine):
    page = browse.post(reverse("audit_reminders"), {"wanted": "no"}, follow=True)

    assert "Reminders by e-mail are off." in page.text
    assert sent_to(place.member, send, time_machine, days=0) == 0
    assert [message.to for message in mail.outbox] == [[other.member.email]]

    browse.post(reverse("audit_reminders"), {"wanted": "yes"})
    assert sent_to(place.member, send, time_machine, days=1) == 1


def test_a_mail_that_could_not_be_sent_is_tried_again(place, other, send, monkeypatch, time_machine):
    def refuse(self, messages):
        raise ConnectionError("no route")

    with monkeypatch.context() as broken:
        broken.setattr("django.core.mail.backends.locmem.EmailBackend.send_messages", refuse)
        with pytest.raises(ConnectionError):
            send()

    assert not Reminder.objects.exists()
    assert sent_to(place.member, send, time_machine, days=1) == 1


@pytest.mark.parametrize("role", Role.values)
def test_as_many_single_things_as_the_page_counts(place, role):
    place.load.state = LoadState.DISCONNECTED
    place.load.save()
    member = MemberFactory(firm=place.member.firm, role=role)

    counted = sum(int(need.words.split()[0]) for need in needs_of(member, DAY.date()))

    assert len(waiting_for(member, DAY.date())) == counted > 0


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
    assert not Reminder.objects.exists()
    assert "1 board label to print" in said.getvalue()
    assert "1 to send." in said.getvalue()


def test_the_address_of_the_site_must_be_given(db):
    with pytest.raises(CommandError, match="--site"):
        call_command("send_reminders")
