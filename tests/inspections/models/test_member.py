"""Signing in: by email, in any case."""

import pytest
from django.core.exceptions import ValidationError

from inspections.models import Member
from tests.factories import PASSWORD, FirmFactory, MemberFactory

pytestmark = pytest.mark.django_db


def test_a_new_member_signs_in_by_email_in_any_case():
    member = Member.objects.create_user("Sam@Example.com", PASSWORD, name="Sam Weir", firm=FirmFactory())
    assert member.email == "sam@example.com"
    assert member.check_password(PASSWORD)
    assert Member.objects.get_by_natural_key("SAM@example.COM") == member
    assert not member.is_staff


def test_a_member_without_firm_is_refused():
    with pytest.raises(ValidationError):
        Member.objects.create_user("sam@example.com", PASSWORD, name="Sam Weir")


def test_whoever_runs_the_service_has_the_admin_and_no_firm():
    member = Member.objects.create_superuser("host@example.com", PASSWORD, name="Host")
    assert (member.is_staff, member.is_superuser, member.firm) == (True, True, None)


def test_a_factory_member_has_the_password_of_the_tests():
    assert MemberFactory().check_password(PASSWORD)
