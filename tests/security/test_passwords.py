"""Passwords: how long, which, and how they are kept."""

import pytest
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from config import settings as site

LONG = "ein Zug fährt über Nacht  nach Łódź ⚡ " * 3  # capitals, two spaces and signs, and not one digit


@pytest.fixture(autouse=True)
def hashers_of_the_site(settings):
    settings.PASSWORD_HASHERS = site.PASSWORD_HASHERS


def test_a_long_password_is_taken_whole_and_an_endless_one_refused():
    validate_password(LONG)
    assert 64 < len(LONG) <= 128
    kept = make_password(LONG)
    assert check_password(LONG, kept)
    assert not check_password(LONG[:-1], kept)
    with pytest.raises(ValidationError, match="longer than 128"):
        validate_password("x" * 129 + LONG)


def test_a_password_that_everyone_tries_is_refused():
    with pytest.raises(ValidationError, match="too common"):
        validate_password("qwerty123456")


def test_passwords_are_kept_as_argon2_with_a_salt_each():
    one, two = make_password(LONG), make_password(LONG)
    assert one.startswith("argon2$argon2id$")
    assert one != two
