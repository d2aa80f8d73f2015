"""Every page of the site under axe: no rule of WCAG 2.2 A and AA, nor of its good practice, is broken. The
same walk hears whether the strict Content-Security-Policy stops anything that a page of ours needs.
"""

from pathlib import Path

import axe_playwright_python
import pytest
from django.test import Client as Browser
from django.urls import reverse

from config.permissions import READ
from inspections.enums import Role
from inspections.models import CircuitResult
from tests.config.addresses import address, patterns, rows_of
from tests.factories import MemberFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
FOUND = """async (runOnly) => {
    const { violations } = await axe.run({ runOnly, resultTypes: ["violations"], preload: false });
    return violations.map(({ id, nodes }) => `${id}, ${nodes.length} times: ${nodes[0].html.slice(0, 160)}`);
}"""
# Where the work is done: looked at as the roles that do it, and in the dark.
MAIN = {
    Role.INSPECTOR: ("today", "inspection", "results_grid", "visual_items", "findings", "limitation_add"),
    Role.ELECTRICIAN: ("board", "circuit", "load_add", "before_you_test", "board_label", "glow"),
    Role.OFFICE: ("installation", "client_change", "audit", "audit_question", "record", "results_grid"),
}


@pytest.fixture
def look_at(page, sign_in):
    """``look_at(member, addresses)``: a line for what axe finds and what the policy stops there."""
    page.context.add_init_script(AXE)
    stopped = []
    page.on("console", lambda said: stopped.append(said.text) if "Security Policy" in said.text else None)

    def broken_at(member, addresses, *, rules=TAGS, dark=False):
        if member:
            sign_in(page, member)
        page.emulate_media(color_scheme="dark" if dark else "light")
        kind = "rule" if rules is not TAGS else "tag"
        broken = []
        for name, where in addresses.items():
            page.goto(where)
            broken += [f"{name}: {text}" for text in stopped]
            stopped.clear()
            broken += [f"{name}: {found}" for found in page.evaluate(FOUND, {"type": kind, "values": rules})]
        return "\n".join(broken)

    return broken_at


def pages_for(member, rows, names):
    """The addresses, of those named, at which the member is shown a whole page."""
    browser = Browser()
    browser.force_login(member)
    there = {}
    for pattern in patterns():
        if pattern.name in names:
            where, _ = address(pattern, rows)
            answer = browser.get(where)
            if (
                answer.status_code == 200
                and not answer.streaming
                and b"<!doctype html>" in answer.content[:99]
            ):
                there[pattern.name] = where
    return there


def test_no_page_breaks_a_rule_or_the_policy(look_at):
    supervisor = MemberFactory(role=Role.SUPERVISOR)
    pages = pages_for(supervisor, rows_of(supervisor), READ)
    assert {name for names in MAIN.values() for name in names} <= set(pages)
    assert len(pages) > 40
    assert look_at(supervisor, pages) == ""


@pytest.mark.parametrize("role", MAIN)
def test_the_pages_of_each_role_break_no_rule_and_are_readable_in_the_dark(look_at, role):
    member = MemberFactory(role=role)
    pages = pages_for(member, rows_of(member), MAIN[role])
    assert look_at(member, pages) == ""
    assert look_at(member, pages, rules=["color-contrast"], dark=True) == ""


@pytest.mark.parametrize("name", ["account_login", "account_reset_password", "first_run"])
def test_the_pages_before_signing_in_break_no_rule(look_at, name):
    if name != "first_run":
        MemberFactory()
    assert look_at(None, {name: reverse(name)}) == ""


def test_the_policy_is_at_work(page):
    page.goto("/sign-in/")

    with page.expect_console_message(lambda message: "Content Security Policy" in message.text) as said:
        page.evaluate(
            "document.body.append(Object.assign(document.createElement('style'), {textContent: 'p{}'}))"
        )

    assert said.value.type == "error"


def test_a_refused_form_says_first_what_to_put_right_and_leads_to_the_field(page, sign_in):
    supervisor = MemberFactory(role=Role.SUPERVISOR)
    sign_in(page, supervisor)
    page.goto(reverse("client_add"))
    page.get_by_role("button", name="Save").click()
    summary = page.get_by_role("alert")
    summary.wait_for()
    assert page.evaluate("document.activeElement.matches('.error-summary')")
    page.evaluate(AXE)
    assert page.evaluate(FOUND, {"type": "tag", "values": TAGS}) == []
    summary.get_by_role("link").first.press("Enter")
    field = page.locator(":target")
    assert field.get_attribute("aria-invalid") == "true"
    assert field.get_attribute("aria-describedby")


def test_a_cell_of_the_grid_names_circuit_test_and_unit_and_is_reached_by_key(page, sign_in):
    inspector = MemberFactory(role=Role.INSPECTOR)
    rows = rows_of(inspector)
    circuit = rows["circuit"]
    CircuitResult.objects.create(inspection=rows["inspection"], circuit=circuit, ir_live_earth="0.4")
    sign_in(page, inspector)
    page.goto(reverse("results_grid", args=[rows["inspection"].pk, circuit.board_id]))
    grid = page.get_by_role("grid")
    zs = grid.get_by_role("textbox", name=f"Circuit {circuit.designation} Zs, ohm", exact=True)
    zs.press("Home")
    assert page.evaluate("document.activeElement.name") == f"{circuit.pk}.r1"
    page.keyboard.press("End")
    assert page.evaluate("document.activeElement.name") == f"{circuit.pk}.remarks"
    low = grid.get_by_role("textbox", name=f"Circuit {circuit.designation} Live-earth, megohm", exact=True)
    described = page.locator(f'[id="{low.get_attribute("aria-describedby")}"]')
    assert "0.4 MΩ is below 1 MΩ" in described.inner_text()
    zs.fill("0,7")
    zs.press("Enter")
    refused = grid.get_by_role("textbox", name=f"Circuit {circuit.designation} Zs, ohm", exact=True)
    page.locator('[aria-invalid="true"]').wait_for()
    assert refused.get_attribute("aria-describedby")
    assert "needs attention" in page.get_by_role("status").last.inner_text()


def test_a_term_is_explained_by_key_and_without_a_script(browser, live_server, sign_in):
    inspector = MemberFactory(role=Role.INSPECTOR)
    rows = rows_of(inspector)
    context = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    sign_in(page, inspector)
    page.goto(reverse("results_grid", args=[rows["inspection"].pk, rows["board"].pk]))
    page.get_by_role("button", name="Zs", exact=True).press("Enter")
    page.get_by_text("BS 7671:2018+A2:2022, 411.4.4 and Appendix 3").wait_for()
    context.close()
