"""A sample firm with its people and nothing else, which takes no time to make; and a browser in one."""

from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import Role
from inspections.models import Firm, Member
from tests.factories.inspections import FirmFactory, MemberFactory


def small_sample(member: Member) -> Firm:
    """The member's own."""
    sample = FirmFactory(sample_of=member)
    for role in Role:
        MemberFactory(firm=sample, role=role, password="!")
    return sample


def browser_in(sample: Firm, role: str = Role.SUPERVISOR) -> Browser:
    """Whoever opened the sample has gone there."""
    browser = Browser()
    browser.force_login(sample.sample_of)
    browser.post(reverse("sample_enter"), {"role": role})
    return browser
