"""The first run, and who works at the firm: invited, joined, given another role, gone."""

import re

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import Role
from inspections.models import Firm, Member
from inspections.services.members import HAS_JOINED, LAST_SUPERVISOR, LINK_ENDED, FirmIsThere, found_firm
from tests.factories import FirmFactory, MemberFactory

pytestmark = pytest.mark.django_db

LONG = "three plain words here"
FIRST = {
    "firm_name": "Tidewell Electrical",
    "name": "Morag Tidewell",
    "email": "Morag@example.com",
    "password1": LONG,
    "password2": LONG,
}
NEW = {"name": "Rowan Hale", "email": "Rowan@example.com", "role": Role.INSPECTOR}
JOINING = {"name": "Rowan Hale", "password1": LONG, "password2": LONG}


@pytest.fixture
def supervisor():
    return MemberFactory(firm__name="Tidewell Electrical", role=Role.SUPERVISOR)


@pytest.fixture
def inside(supervisor, browser_of):
    return browser_of(supervisor)


def invite(inside, **changed):
    """The link that the page shows."""
    page = inside.post(reverse("member_invite"), NEW | changed).text
    return re.search(r'value="http://testserver(/join/[^"]+)"', page)[1]


# First run


def test_without_a_firm_signing_in_leads_to_the_first_run(client):
    assert client.get(reverse("account_login")).url == reverse("first_run")


def test_first_run_makes_the_firm_and_its_supervisor_signed_in(client):
    response = client.post(reverse("first_run"), FIRST)

    assert response.url == reverse("today")
    member = Firm.objects.get(name="Tidewell Electrical").members.get()
    assert (member.email, member.role, member.is_superuser) == ("morag@example.com", Role.SUPERVISOR, False)
    assert client.get(reverse("members")).status_code == 200


@pytest.mark.parametrize("method", ["get", "post"])
def test_first_run_is_shut_once_there_is_a_firm(client, method):
    FirmFactory()

    assert getattr(client, method)(reverse("first_run"), FIRST).status_code == 404
    assert Firm.objects.count() == 1
    assert not Member.objects.exists()


def test_a_first_run_overtaken_by_another_makes_no_second_firm():
    FirmFactory()
    with pytest.raises(FirmIsThere):
        found_firm(firm_name="Second", name="A", email="a@example.com", password=LONG)
    assert Firm.objects.count() == 1


def test_a_weak_password_is_explained_and_what_was_typed_is_kept(client, errors_of):
    response = client.post(reverse("first_run"), FIRST | {"password1": "short", "password2": "short"})

    assert "password2" in errors_of(response)
    assert 'value="Tidewell Electrical"' in response.text
    assert not Firm.objects.exists()


# Invitations


def test_an_invited_member_joins_with_the_link_once(inside, supervisor):
    link = invite(inside)
    newcomer = Browser()
    assert "Join Tidewell Electrical" in newcomer.get(link).text

    assert newcomer.post(link, JOINING).url == reverse("today")

    member = Member.objects.get(email="rowan@example.com")
    assert (member.firm, member.role) == (supervisor.firm, Role.INSPECTOR)
    assert member.check_password(LONG)
    assert newcomer.get(reverse("today")).status_code == 200
    again = Browser().post(link, JOINING | {"password1": "another long one", "password2": "another long one"})
    assert again.status_code == 410
    assert LINK_ENDED in again.text
    member.refresh_from_db()
    assert member.check_password(LONG)


def test_nobody_signs_in_as_an_invited_member_before_joining(inside):
    invite(inside)
    for password in ("", "!", Member.objects.get(email="rowan@example.com").password):
        Browser().post(reverse("account_login"), {"login": "rowan@example.com", "password": password})
        assert not Browser().login(username="rowan@example.com", password=password)


def test_a_link_ends_after_three_days(supervisor, browser_of):
    with time_machine.travel("2026-11-03 09:00:00+00:00", tick=False):
        link = invite(browser_of(supervisor))
    with time_machine.travel("2026-11-06 08:59:00+00:00", tick=False):
        assert Browser().get(link).status_code == 200
    with time_machine.travel("2026-11-06 09:01:00+00:00", tick=False):
        assert Browser().get(link).status_code == 410
        assert Browser().post(link, JOINING).status_code == 410


def test_another_link_ends_the_earlier_one(inside):
    first = invite(inside)
    row = Member.objects.get(email="rowan@example.com")

    inside.post(reverse("member_invite_again", args=[row.pk]))

    assert Browser().get(first).status_code == 410


def test_a_link_is_for_one_member_and_not_to_be_made_up(inside, supervisor):
    link = invite(inside)
    other = MemberFactory(firm=supervisor.firm)
    token = link.split(".", 1)[1]
    for made_up in (
        f"/join/{other.pk}.{token}",
        link[:-2] + "x/",
        f"/join/{other.pk}.a-b/",
        "/join/9999.a-b/",
    ):
        assert Browser().get(made_up).status_code == 410


def test_one_who_has_joined_is_not_invited_again(inside, supervisor):
    joined = MemberFactory(firm=supervisor.firm)

    page = inside.post(reverse("member_invite_again", args=[joined.pk]), follow=True)

    assert HAS_JOINED in page.text
    assert Member.objects.get(pk=joined.pk).has_usable_password()


def test_an_address_that_signs_in_already_is_refused(inside, errors_of):
    there = MemberFactory()
    response = inside.post(reverse("member_invite"), NEW | {"email": there.email.upper()})
    assert errors_of(response) == {"email": ["This address has a sign-in already."]}


def test_the_link_is_mailed_where_mail_is_set(inside, settings, mailoutbox):
    settings.MAIL_IS_SET = True
    link = invite(inside)
    (mail,) = mailoutbox
    assert mail.to == ["rowan@example.com"]
    assert link in mail.body


def test_mail_that_does_not_go_out_leaves_the_link_to_copy(inside, settings, monkeypatch):
    settings.MAIL_IS_SET = True

    def fail(*args):
        raise OSError("no route")

    monkeypatch.setattr("inspections.views.members.send_mail", fail)
    page = inside.post(reverse("member_invite"), NEW).text
    assert "could not be mailed" in page
    assert "/join/" in page


def test_no_mail_is_tried_where_none_is_set(inside, mailoutbox):
    invite(inside)
    assert mailoutbox == []


# Roles, and leaving


def test_another_role_holds_at_the_next_page(inside, supervisor, browser_of):
    colleague = MemberFactory(firm=supervisor.firm, role=Role.SUPERVISOR)
    theirs = browser_of(colleague)
    assert theirs.get(reverse("members")).status_code == 200

    inside.post(reverse("member_role", args=[colleague.pk]), {"role": Role.OFFICE})

    assert theirs.get(reverse("members")).status_code == 403
    latest = Member.history.filter(id=colleague.pk).latest()
    assert (latest.role, latest.history_user) == (Role.OFFICE, supervisor)


def test_leaving_ends_every_session_and_the_sign_in_at_once(inside, supervisor, browser_of):
    colleague = MemberFactory(firm=supervisor.firm)
    phone, laptop = browser_of(colleague), browser_of(colleague)

    inside.post(reverse("member_leave", args=[colleague.pk]))

    for browser in (phone, laptop):
        assert browser.get(reverse("today")).url.startswith(reverse("account_login"))
    assert not Browser().login(username=colleague.email, password="a plain long password")
    assert colleague.name in inside.get(reverse("members")).text


def test_one_who_left_is_invited_back(inside, supervisor):
    colleague = MemberFactory(firm=supervisor.firm)
    inside.post(reverse("member_leave", args=[colleague.pk]))

    page = inside.post(reverse("member_invite_again", args=[colleague.pk])).text
    link = re.search(r'value="http://testserver(/join/[^"]+)"', page)[1]

    assert Browser().post(link, JOINING).url == reverse("today")


def test_leaving_ends_a_link_not_yet_used(inside):
    link = invite(inside)
    row = Member.objects.get(email="rowan@example.com")
    inside.post(reverse("member_leave", args=[row.pk]))
    assert Browser().get(link).status_code == 410


def test_the_only_supervisor_neither_leaves_nor_steps_down(inside, supervisor, errors_of):
    MemberFactory(firm=supervisor.firm, role=Role.OFFICE)
    invite(inside, role=Role.SUPERVISOR)  # not joined yet, so it is no other supervisor

    left = inside.post(reverse("member_leave", args=[supervisor.pk]))
    stepped = inside.post(reverse("member_role", args=[supervisor.pk]), {"role": Role.OFFICE})

    assert LAST_SUPERVISOR in left.text
    assert errors_of(stepped) == {"__all__": [LAST_SUPERVISOR]}
    supervisor.refresh_from_db()
    assert (supervisor.role, supervisor.is_active) == (Role.SUPERVISOR, True)
