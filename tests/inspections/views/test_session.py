"""Signing in and out, passwords forgotten, addresses confirmed, and what is tried too often."""

import re

import pytest
import time_machine
from allauth.account.models import EmailAddress
from django.test import Client as Browser
from django.urls import reverse

from tests.factories import PASSWORD, MemberFactory
from tests.factories.sign_in import app_of


def test_right_password_leads_to_today(db, client):
    member = MemberFactory(email="rowan@example.com")

    response = client.post(reverse("account_login"), {"login": "Rowan@example.com", "password": PASSWORD})

    assert response.status_code == 302
    assert response.url == reverse("today")
    assert client.session["_auth_user_id"] == str(member.pk)


def test_wrong_password_keeps_the_address_typed_and_says_so(db, client, errors_of):
    MemberFactory(email="rowan@example.com")

    response = client.post(
        reverse("account_login"), {"login": "rowan@example.com", "password": "not this one"}
    )

    assert errors_of(response) == {
        "__all__": ["That e-mail address and password do not match. Capital letters count in a password."]
    }
    assert 'value="rowan@example.com"' in response.content.decode()
    assert "Not done yet: one thing to put right" in response.text


def test_sign_in_goes_on_to_the_page_asked_for(db, client):
    MemberFactory(email="rowan@example.com")
    typed = {"login": "rowan@example.com", "password": PASSWORD, "next": reverse("instruments")}

    assert client.post(reverse("account_login"), typed).url == reverse("instruments")


def test_sign_in_does_not_go_on_to_another_site(db, client):
    MemberFactory(email="rowan@example.com")
    typed = {"login": "rowan@example.com", "password": PASSWORD, "next": "https://elsewhere.example.com/"}

    assert client.post(reverse("account_login"), typed).url == reverse("today")


def test_sign_out_ends_the_session(place, inside):
    inside.post(reverse("account_logout"))

    assert inside.get(reverse("today")).status_code == 302


def test_sign_out_is_asked_for_before_it_is_done(place, inside):
    assert "Sign out?" in inside.get(reverse("account_logout")).text

    assert inside.get(reverse("today")).status_code == 200


# What is tried too often


def tried(client, login, password):
    return client.post(reverse("account_login"), {"login": login, "password": password})


def test_guessing_a_password_is_stopped_even_for_the_right_one_until_five_minutes_are_over(db, client):
    MemberFactory(email="rowan@example.com")
    with time_machine.travel("2026-11-03 09:00:00+00:00", tick=False):
        for word in ("one", "two", "three", "four", "five"):
            assert "do not match" in tried(client, "rowan@example.com", word).text
        assert "Wait five minutes" in tried(client, "rowan@example.com", PASSWORD).text
    with time_machine.travel("2026-11-03 09:05:01+00:00", tick=False):
        assert tried(client, "rowan@example.com", PASSWORD).url == reverse("today")


def test_guessing_many_peoples_passwords_from_one_place_is_stopped(db, client):
    with time_machine.travel("2026-11-03 09:00:00+00:00", tick=False):
        said = [tried(client, f"nobody{n}@example.com", "one").text for n in range(11)]
    assert ["Wait five minutes" in text for text in said] == [False] * 10 + [True]


def test_asking_the_sign_in_page_without_end_is_stopped_with_a_page_that_says_what_to_do(db, client):
    with time_machine.travel("2026-11-03 09:00:00+00:00", tick=False):
        answers = [client.post(reverse("account_login"), {}) for _ in range(31)]
    assert [answer.status_code for answer in answers] == [200] * 30 + [429]
    assert "tried too often" in answers[-1].text


# A password forgotten


@pytest.fixture
def mail(settings):
    settings.MAIL_IS_SET = settings.ACCOUNT_EMAIL_NOTIFICATIONS = True
    settings.ACCOUNT_EMAIL_VERIFICATION = "mandatory"
    settings.MFA_ALLOW_UNVERIFIED_EMAIL = False


NEW = {"password1": "three plain words here", "password2": "three plain words here"}


def reset_link(client, mailoutbox, email):
    client.post(reverse("account_reset_password"), {"email": email})
    return re.search(r"http://testserver(/password/new/\S+)", mailoutbox[-1].body)[1]


def test_a_new_password_is_chosen_by_a_mailed_link_once_and_ends_every_session(
    db, client, mail, mailoutbox, browser_of
):
    member = MemberFactory(email="rowan@example.com")
    elsewhere = browser_of(member)
    link = reset_link(client, mailoutbox, "Rowan@example.com")
    assert mailoutbox[-1].to == ["rowan@example.com"]
    form = client.get(link).url  # the link's key is put away before the page is shown
    weak = client.post(form, {"password1": "short", "password2": "short"})
    assert "password1" in weak.context["form"].errors

    assert client.post(form, NEW).url == reverse("account_reset_password_from_key_done")

    member.refresh_from_db()
    assert member.check_password(NEW["password1"])
    assert elsewhere.get(reverse("today")).status_code == 302
    assert "Link ended" in Browser().get(link).text
    assert "was changed by a link" in mailoutbox[-1].body


def test_a_reset_link_ends_after_three_days(db, client, mail, mailoutbox):
    MemberFactory(email="rowan@example.com")
    with time_machine.travel("2026-11-03 09:00:00+00:00", tick=False):
        link = reset_link(client, mailoutbox, "rowan@example.com")
    with time_machine.travel("2026-11-06 09:01:00+00:00", tick=False):
        page = client.get(link).text
        assert "Link ended" in page
        assert 'name="password1"' not in page


def test_a_reset_does_not_sign_in_nor_pass_the_second_factor_by(db, client, mail, mailoutbox):
    member = MemberFactory(email="rowan@example.com")
    EmailAddress.objects.create(user=member, email=member.email, verified=True, primary=True)
    app_of(member)
    client.post(client.get(reset_link(client, mailoutbox, member.email)).url, NEW)
    assert client.get(reverse("today")).status_code == 302

    assert tried(client, member.email, NEW["password1"]).url == reverse("mfa_authenticate")


def test_whether_an_address_signs_in_here_is_not_told(db, client, mail, mailoutbox):
    left = MemberFactory(is_active=False)
    here = MemberFactory()
    asked = [
        client.post(reverse("account_reset_password"), {"email": email}, follow=True)
        for email in ("nobody@example.com", left.email, here.email)
    ]
    assert len({re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.text) for answer in asked}) == 1
    assert [one.to for one in mailoutbox] == [[here.email]]


def test_links_to_one_address_are_not_mailed_without_end(db, client, mail, mailoutbox):
    member = MemberFactory()
    answers = [client.post(reverse("account_reset_password"), {"email": member.email}) for _ in range(6)]
    assert [answer.status_code for answer in answers] == [302] * 5 + [429]
    assert len(mailoutbox) == 5


@pytest.mark.parametrize("method", ["get", "post"])
def test_without_mail_whoever_forgot_is_told_whom_to_ask(db, client, mailoutbox, method):
    member = MemberFactory()
    page = getattr(client, method)(reverse("account_reset_password"), {"email": member.email})
    assert "Ask a supervisor" in page.text
    assert mailoutbox == []


def test_a_password_is_changed_by_whoever_gives_the_present_one(place, inside, browser_of):
    elsewhere = browser_of(place.member)
    wrong = inside.post(reverse("account_change_password"), {"oldpassword": "not this one"} | NEW)
    assert "not your present password" in wrong.text

    inside.post(reverse("account_change_password"), {"oldpassword": PASSWORD} | NEW)

    assert inside.get(reverse("today")).status_code == 200
    assert elsewhere.get(reverse("today")).status_code == 302


# An e-mail address confirmed


def test_where_mail_is_set_the_address_is_confirmed_before_the_first_page(db, client, mail, mailoutbox):
    member = MemberFactory(email="rowan@example.com")
    answer = tried(client, member.email, PASSWORD)
    assert answer.url == reverse("account_email_verification_sent")
    assert "Look in your mail" in client.get(answer.url).text
    assert client.get(reverse("today")).status_code == 302
    link = re.search(r"http://testserver(/sign-in/address/\S+)", mailoutbox[0].body)[1]
    assert member.email in client.get(link).text

    assert client.post(link).url == reverse("today")

    assert client.get(reverse("today")).status_code == 200
    assert tried(Browser(), member.email, PASSWORD).url == reverse("today")
    assert len(mailoutbox) == 1


def test_a_confirming_link_signs_nobody_in_where_no_password_was_given(db, client, mail, mailoutbox):
    member = MemberFactory(email="rowan@example.com")
    tried(client, member.email, PASSWORD)
    link = re.search(r"http://testserver(/sign-in/address/\S+)", mailoutbox[0].body)[1]
    stranger = Browser()

    stranger.post(link)

    assert stranger.get(reverse("today")).status_code == 302


def test_where_no_mail_is_set_nothing_is_to_be_confirmed(db, client, mailoutbox):
    member = MemberFactory()
    assert tried(client, member.email, PASSWORD).url == reverse("today")
    assert mailoutbox == []


def test_a_mail_that_does_not_go_out_is_told_and_breaks_nothing(db, client, mail, monkeypatch):
    member = MemberFactory()

    def fail(*args, **kwargs):
        raise OSError("no route")

    monkeypatch.setattr("django.core.mail.EmailMessage.send", fail)
    page = client.post(reverse("account_reset_password"), {"email": member.email}, follow=True)
    assert "could not be sent" in page.text
