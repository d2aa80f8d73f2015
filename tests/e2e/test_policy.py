"""The strict Content-Security-Policy stops nothing that a page of ours needs."""

import pytest

from config.permissions import READ
from tests.config.addresses import address, patterns, rows_of
from tests.factories import MemberFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

NO_PAGE = (
    "_pdf", "_json", "_photo", "_file", "_download", "_archive", "report_preview", "visit_pack",
    "remedial_report",
)  # fmt: skip


def test_no_page_breaks_the_policy(page, sign_in):
    member = MemberFactory()
    rows = rows_of(member)
    sign_in(page, member)
    pages = [
        address(pattern, rows)[0]
        for pattern in patterns()
        if pattern.name in READ and not pattern.name.endswith(NO_PAGE)
    ]
    broken = []
    page.on(
        "console",
        lambda said: broken.append((page.url, said.text)) if "Security Policy" in said.text else None,
    )

    not_shown = [where for where in ["/sign-in/", *pages] if page.goto(where).status not in (200, 409)]

    assert not_shown == []
    assert len(pages) > 40
    assert broken == []


def test_the_policy_is_at_work(page):
    page.goto("/sign-in/")

    with page.expect_console_message(lambda message: "Content Security Policy" in message.text) as said:
        page.evaluate(
            "document.body.append(Object.assign(document.createElement('style'), {textContent: 'p{}'}))"
        )

    assert said.value.type == "error"
