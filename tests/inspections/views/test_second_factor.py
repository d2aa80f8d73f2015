"""The second factor: an app, recovery codes, and a firm that requires one. Passkeys are tried in a browser,
in tests/e2e/test_passkey.py."""

import re

import pyotp
import pytest
import time_machine
from allauth.mfa.models import Authenticator
from django.core.management import CommandError, call_command
from django.test import Client as Browser
from django.urls import reverse

from config.guard import SECOND_FACTOR_FIRST
from config.permissions import READ, SETTING_UP_SECOND_FACTOR, TABLE
from inspections.enums import Role
from inspections.models import Member
from inspections.services.members import remove_second_factor
from inspections.sign_in import WRONG_CODE
from tests.config.addresses import address, patterns, rows_of
from tests.factories import PASSWORD, MemberFactory
from tests.factories.sign_in import SECRET, app_of, passkey_of, recovery_codes_of

pytestmark = pytest.mark.django_db

# RFC 6238, Appendix B, SHA1: what the app shows at 59 s and at 1111111111 s after 1970, last six digits.
AT_59_S, AT_1111111111_S = "287082", "050471"


def password_given(member, **further):
    """A browser in which the member has given the password, and the answer."""
    browser = Browser()
    answer = browser.post(reverse("account_login"), {"login": member.email, "password": PASSWORD, **further})
    return browser, answer


def code_given(browser, code):
    return browser.post(reverse("mfa_authenticate"), {"code": code})


def is_in(browser):
    return browser.get(reverse("who_may")).status_code == 200


@pytest.fixture
def strict():
    """A member of a firm that requires a second factor, without one yet."""
    return MemberFactory(firm__requires_second_factor=True)


# The app


def test_the_password_alone_does_not_sign_in_whoever_has_an_app():
    member = MemberFactory()
    app_of(member)

    browser, answer = password_given(member)

    assert answer.url == reverse("mfa_authenticate")
    assert not is_in(browser)


@pytest.mark.parametrize(("second", "code"), [(59, AT_59_S), (1111111111, AT_1111111111_S)])
def test_the_code_of_the_published_vectors_signs_in(second, code):
    with time_machine.travel(second, tick=False):
        member = MemberFactory()
        app_of(member)
        browser, _ = password_given(member, next=reverse("clients"))

        answer = code_given(browser, code)

        assert answer.url == reverse("clients")
        assert is_in(browser)


def test_a_code_holds_once_and_not_when_its_time_is_over():
    member = MemberFactory()
    app_of(member)
    with time_machine.travel(59, tick=False):
        code_given(password_given(member)[0], AT_59_S)
        again, _ = password_given(member)
        assert WRONG_CODE in code_given(again, AT_59_S).text
        assert not is_in(again)
    with time_machine.travel(120, tick=False):
        late, _ = password_given(member)
        assert WRONG_CODE in code_given(late, AT_59_S).text


def test_an_app_is_set_up_after_the_password_is_given_again(django_capture_on_commit_callbacks):
    member = MemberFactory()
    browser, _ = password_given(member)
    asked = browser.get(reverse("mfa_activate_totp"))
    assert asked.url.startswith(reverse("account_reauthenticate"))
    assert browser.post(asked.url, {"password": "not this one"}).context["form"].errors
    browser.post(asked.url, {"password": PASSWORD})
    page = browser.get(reverse("mfa_activate_totp")).text
    secret = re.search(r'<code class="key">([A-Z2-7]+)</code>', page)[1]
    assert "data:image/svg+xml;base64," in page
    wrong = str((int(pyotp.TOTP(secret).now()) + 1) % 10**6).zfill(6)
    assert WRONG_CODE in browser.post(reverse("mfa_activate_totp"), {"code": wrong}).text

    with django_capture_on_commit_callbacks(execute=True):
        answer = browser.post(reverse("mfa_activate_totp"), {"code": pyotp.TOTP(secret).now()})

    assert answer.url == reverse("mfa_view_recovery_codes")
    assert len(re.findall(r'<code class="key">\d{8}</code>', browser.get(answer.url).text)) == 10
    kept = Authenticator.objects.get(user=member, type=Authenticator.Type.TOTP)
    assert secret not in str(kept.data)
    assert password_given(member)[1].url == reverse("mfa_authenticate")


def test_an_app_is_taken_off_where_the_firm_does_not_require_one():
    member = MemberFactory()
    app_of(member)
    recovery_codes_of(member)
    browser = Browser()
    browser.force_login(member)
    browser.post(reverse("account_reauthenticate"), {"password": PASSWORD})

    browser.post(reverse("mfa_deactivate_totp"))

    assert not Authenticator.objects.exists()
    assert is_in(password_given(member)[0])


# Recovery codes


def test_a_recovery_code_signs_in_once():
    member = MemberFactory()
    app_of(member)
    first, second, *_ = recovery_codes_of(member)

    once, _ = password_given(member)
    code_given(once, first)
    assert is_in(once)

    again, _ = password_given(member)
    assert WRONG_CODE in code_given(again, first).text
    assert not is_in(again)
    code_given(again, second)
    assert is_in(again)


def test_recovery_codes_come_as_a_file_and_new_ones_end_the_old():
    member = MemberFactory()
    app_of(member)
    old = recovery_codes_of(member)
    browser = Browser()
    browser.force_login(member)
    assert browser.get(reverse("mfa_download_recovery_codes")).status_code == 302
    browser.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    given = browser.get(reverse("mfa_download_recovery_codes")).text
    assert set(old) <= set(given.split())

    browser.post(reverse("mfa_generate_recovery_codes"))

    assert WRONG_CODE in code_given(password_given(member)[0], old[0]).text


# What is tried too often


def test_guessing_codes_is_stopped_even_for_the_right_one():
    member = MemberFactory()
    app_of(member)
    with time_machine.travel(59, tick=False):
        browser, _ = password_given(member)
        for code in ("000000", "000001", "000002", "000003", "000004"):
            assert WRONG_CODE in code_given(browser, code).text
        assert "Wait five minutes" in code_given(browser, AT_59_S).text
        assert not is_in(browser)


# A firm that requires one


@pytest.mark.parametrize("role", Role)
def test_without_the_second_factor_a_firm_requires_no_address_is_open(role):
    rows = rows_of(MemberFactory(role=role))
    member = MemberFactory(role=role, firm=rows["client"].firm, is_staff=True)
    member.firm.requires_second_factor = True
    member.firm.save()
    browser, answer = password_given(member)
    assert answer.url == reverse("today")
    open_ones = []
    closed = [(pattern.name, address(pattern, rows)[0]) for pattern in patterns() if pattern.name in READ]
    for name, where in [*closed, ("admin", reverse("admin:index")), ("admin", "/admin/inspections/member/")]:
        looked = browser.get(where)
        posted = browser.post(where, {})
        shut = looked.status_code == 302 and looked.url == reverse("mfa_index") and posted.status_code == 403
        if not shut and name not in SETTING_UP_SECOND_FACTOR:
            open_ones.append((name, looked.status_code, posted.status_code))
    assert open_ones == []
    assert len(closed) > 60


def test_a_refused_save_says_what_to_do_first(strict):
    browser, _ = password_given(strict)
    assert SECOND_FACTOR_FIRST in browser.post(reverse("client_add"), {"name": "Larkfield Estate"}).text


@pytest.mark.django_db(transaction=True)
def test_whoever_sets_one_up_goes_straight_on(strict):
    browser, _ = password_given(strict)
    assert strict.firm.name in browser.get(reverse("mfa_index")).text
    browser.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    page = browser.get(reverse("mfa_activate_totp")).text
    secret = re.search(r'<code class="key">([A-Z2-7]+)</code>', page)[1]

    browser.post(reverse("mfa_activate_totp"), {"code": pyotp.TOTP(secret).now()})

    assert is_in(browser)


def test_a_session_from_before_gives_the_factor_and_nothing_else_will_do(strict):
    """Whoever holds the password and an old session neither reads recovery codes nor takes the app off."""
    browser, _ = password_given(strict)
    app_of(strict)
    recovery_codes_of(strict)
    kept_out = {
        name
        for line in TABLE
        for name in (*line.reads, *line.forms)
        if name.startswith(("mfa_", "account_")) and "webauthn" not in name
    } - {"mfa_reauthenticate"}
    assert {browser.get(reverse(name)).url for name in kept_out} == {reverse("mfa_reauthenticate")}

    browser.post(reverse("mfa_reauthenticate"), {"code": pyotp.TOTP(SECRET).now()})

    assert is_in(browser)


def test_the_only_factor_is_not_taken_off_but_one_of_two_is(strict):
    app_of(strict)
    browser, _ = password_given(strict)
    code_given(browser, pyotp.TOTP(SECRET).now())
    browser.post(reverse("account_reauthenticate"), {"password": PASSWORD})

    refused = browser.post(reverse("mfa_deactivate_totp"))
    assert "Add another first" in refused.text
    assert Authenticator.objects.filter(user=strict).exists()

    passkey = passkey_of(strict)
    browser.post(reverse("mfa_deactivate_totp"))
    assert Authenticator.objects.get(user=strict) == passkey
    browser.post(reverse("mfa_remove_webauthn", args=[passkey.pk]))
    assert Authenticator.objects.filter(pk=passkey.pk).exists()


def test_a_supervisor_requires_one_on_the_page_of_the_firm(browser_of):
    supervisor = MemberFactory(firm__name="Tidewell Electrical")
    browser = browser_of(supervisor)

    browser.post(reverse("firm_change"), {"name": "Tidewell Electrical", "requires_second_factor": "on"})

    supervisor.firm.refresh_from_db()
    assert supervisor.firm.requires_second_factor
    assert supervisor.firm.history.latest().history_user == supervisor
    assert browser.get(reverse("today")).url == reverse("mfa_index")


def test_without_a_firm_the_service_keeps_its_own_second_factor():
    service = MemberFactory(firm=None, is_superuser=True, is_staff=True)
    browser, _ = password_given(service)
    assert browser.get(reverse("mfa_index")).status_code == 200
    app_of(service)

    browser, answer = password_given(service, next="/admin/")

    assert answer.url.startswith(reverse("mfa_authenticate"))
    assert browser.get("/admin/", follow=True).redirect_chain[-1][0].startswith(reverse("account_login"))


def test_the_admin_has_no_sign_in_of_its_own():
    service = MemberFactory(firm=None, is_superuser=True, is_staff=True)
    app_of(service)
    browser = Browser()

    answer = browser.post("/admin/login/", {"username": service.email, "password": PASSWORD})

    assert answer.url.startswith(reverse("account_login"))
    assert "_auth_user_id" not in browser.session


# One that is lost


def test_a_supervisor_takes_off_what_a_member_has_lost(browser_of):
    supervisor = MemberFactory()
    member = MemberFactory(firm=supervisor.firm, role=Role.INSPECTOR)
    app_of(member)
    browser = browser_of(supervisor)
    where = reverse("member_second_factor", args=[member.pk])
    assert where in browser.get(reverse("members")).text
    assert member.name in browser.get(where).text

    browser.post(where)

    assert Member.history.filter(id=member.pk).latest().history_user == supervisor
    assert is_in(password_given(member)[0])
    assert where not in browser.get(reverse("members")).text


def test_one_who_left_comes_back_without_the_factor_of_before(browser_of):
    supervisor = MemberFactory()
    member = MemberFactory(firm=supervisor.firm)
    app_of(member)
    browser_of(supervisor).post(reverse("member_leave", args=[member.pk]))
    assert not Authenticator.objects.filter(user=member).exists()


def test_what_was_lost_no_longer_counts_in_a_session_still_open(strict):
    app_of(strict)
    browser, _ = password_given(strict)
    code_given(browser, pyotp.TOTP(SECRET).now())
    assert is_in(browser)

    remove_second_factor(row=strict, member=None)

    assert browser.get(reverse("today")).url == reverse("mfa_index")


def test_the_only_supervisor_has_it_taken_off_by_a_command(capsys):
    member = MemberFactory(email="morag@example.com", name="Morag Tidewell")
    app_of(member)

    call_command("forget_second_factor", "Morag@example.com")

    assert "Morag Tidewell signs in with the password alone" in capsys.readouterr().out
    assert is_in(password_given(member)[0])
    with pytest.raises(CommandError, match="Nobody signs in as"):
        call_command("forget_second_factor", "none@example.com")
