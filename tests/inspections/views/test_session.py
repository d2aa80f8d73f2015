"""Signing in and out."""

from django.urls import reverse

from tests.factories import PASSWORD, MemberFactory


def test_right_password_leads_to_today(db, client):
    member = MemberFactory(email="rowan@example.com")

    response = client.post(reverse("sign_in"), {"username": "Rowan@example.com", "password": PASSWORD})

    assert response.status_code == 302
    assert response.url == reverse("today")
    assert client.session["_auth_user_id"] == str(member.pk)


def test_wrong_password_keeps_the_address_typed_and_says_so(db, client, errors_of):
    MemberFactory(email="rowan@example.com")

    response = client.post(reverse("sign_in"), {"username": "rowan@example.com", "password": "not this one"})

    assert errors_of(response) == {
        "__all__": [
            "That e-mail address and password do not go together. Capital letters count in a password."
        ]
    }
    assert 'value="rowan@example.com"' in response.content.decode()


def test_sign_in_goes_on_to_the_page_asked_for(db, client):
    MemberFactory(email="rowan@example.com")
    typed = {"username": "rowan@example.com", "password": PASSWORD, "next": reverse("instruments")}

    assert client.post(reverse("sign_in"), typed).url == reverse("instruments")


def test_sign_in_does_not_go_on_to_another_site(db, client):
    MemberFactory(email="rowan@example.com")
    typed = {"username": "rowan@example.com", "password": PASSWORD, "next": "https://elsewhere.example.com/"}

    assert client.post(reverse("sign_in"), typed).url == reverse("today")


def test_sign_out_ends_the_session(place, inside):
    inside.post(reverse("sign_out"))

    assert inside.get(reverse("today")).status_code == 302
