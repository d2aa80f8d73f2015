"""Without a connection: what was opened is there; what is typed is kept, sent once, overwrites nothing."""

from threading import Event
from time import monotonic

import pytest
from django.contrib.sessions.models import Session
from django.db import OperationalError
from django.urls import reverse
from playwright.sync_api import expect

from config import offline
from inspections.enums import InspectionStatus, Role
from inspections.models import CircuitResult, Inspection
from inspections.selectors import board_record
from inspections.services.results import TypedRow, record_results
from tests.conftest import CHROMIUM_ARGUMENTS, CHROMIUM_NAMES, PATIENCE_MS
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    MemberFactory,
)

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

NO_NETWORK = ["--proxy-server=127.0.0.1:9", "--proxy-bypass-list=<-loopback>"]  # a proxy that is not there
PAGES_KEPT = """async () => {
    const names = (await caches.keys()).filter((name) => name.startsWith("pages-"));
    const kept = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
    return kept.flat().map((request) => new URL(request.url).pathname);
}"""

KEPT_TEXT = """async () => {
    const kept = await caches.match(location.href, { ignoreVary: true });
    return kept ? kept.text() : "";
}"""

CELLS_KEPT = """() => new Promise((resolve) => {
    indexedDB.open("stillacross").onsuccess = (event) => {
        event.target.result.transaction("cells").objectStore("cells").count().onsuccess =
            (counted) => resolve(counted.target.result);
    };
})"""


@pytest.fixture
def board():
    return BoardFactory(designation="DB1", installation__name="Larkfield Mill")


@pytest.fixture
def inspection(board):
    return InspectionFactory(installation=board.installation)


@pytest.fixture
def circuit(board):
    return CircuitFactory(board=board, way="1", description="Hall lights")


@pytest.fixture
def address(inspection, board):
    return reverse("results_grid", args=[inspection.pk, board.pk])


@pytest.fixture
def at_grid(sign_in, inspection, circuit, address):
    """Opens the grid with a connection and waits until the device has kept it."""

    def open_grid(page):
        sign_in(page, inspection.inspector)
        page.goto(address)
        wait_until_kept(page, address)
        return page

    return open_grid


@pytest.fixture
def open_browser(browser, needed_program, live_server, tmp_path):
    """Opens a browser of one and the same person's device: what it keeps is there when it is opened again."""

    def start(*more):
        context = browser.browser_type.launch_persistent_context(
            tmp_path,
            executable_path=needed_program(*CHROMIUM_NAMES),
            args=[*CHROMIUM_ARGUMENTS, *more],
            base_url=live_server.url,
        )
        context.set_default_timeout(PATIENCE_MS)
        return context

    return start


def wait_until(page, ready, otherwise):
    end = monotonic() + PATIENCE_MS / 1000
    while not ready():
        assert monotonic() < end, otherwise
        page.wait_for_timeout(20)


def wait_until_kept(page, path):
    """Until the device has the page."""
    wait_until(page, lambda: path in page.evaluate(PAGES_KEPT), f"{path} was not kept")


def cell(page, circuit, name):
    return page.locator(f'[name="{circuit.pk}.{name}"]')


def told(page, words):
    expect(page.locator("main > .kept-here")).to_contain_text(words)


def row_says(page, circuit, words):
    expect(page.locator(f"#row-{circuit.pk} [data-state]")).to_contain_text(words)


def type_in(page, circuit, **cells):
    for name, text in cells.items():
        cell(page, circuit, name).fill(text)
    page.keyboard.press("Tab")
    page.locator(".grid-scroll").focus()


def result_of(circuit):
    return CircuitResult.objects.get(circuit=circuit)


def versions_of(circuit):
    """What the history holds, and who wrote it."""
    history = CircuitResult.history.filter(circuit=circuit).order_by("history_id")
    return [(row.zs.text, row.history_user_id) for row in history]


def test_what_is_typed_without_a_connection_outlasts_a_closed_browser_and_is_sent_once(
    open_browser, sign_in, at_grid, inspection, circuit, address
):
    context = open_browser()
    page = at_grid(context.new_page())
    context.set_offline(True)
    page.reload()
    told(page, "This page is as it was on")
    type_in(page, circuit, zs="0.71", r1_r2="0.31")
    told(page, "2 cells of DB1, Larkfield Mill: kept on this device only, not yet sent")
    page.goto("about:blank")  # lest the page find a connection while the browser closes
    context.close()

    context = open_browser(*NO_NETWORK)
    page = context.new_page()
    page.goto(address)
    expect(cell(page, circuit, "zs")).to_have_value("0.71")
    told(page, "2 cells of DB1, Larkfield Mill: kept on this device only, not yet sent (no connection)")
    context.close()

    context = open_browser()
    page = context.new_page()
    sign_in(page, inspection.inspector)  # the same session: only its cookie went with the browser
    page.goto(address)
    row_says(page, circuit, "saved, ")
    told(page, "2 cells kept on this device were sent")
    page.goto(address)
    expect(cell(page, circuit, "zs")).to_have_value("0.71")
    context.close()

    assert versions_of(circuit) == [("0.71", inspection.inspector.pk)]
    assert result_of(circuit).r1_r2.text == "0.31"


def test_what_another_saved_meanwhile_is_shown_beside_it_cell_by_cell(page, at_grid, inspection, circuit):
    at_grid(page)
    page.context.set_offline(True)
    type_in(page, circuit, zs="0.71", r1_r2="0.31")
    told(page, "not yet sent (no connection)")
    record_results(
        inspection=inspection,
        rows=[TypedRow(circuit.pk, 0, {"zs": "0.60", "rcd_trip_ms": "24"})],
        member=MemberFactory(firm=inspection.inspector.firm),
    )
    page.context.set_offline(False)

    row_says(page, circuit, "needs attention")
    told(page, "1 cell of DB1, Larkfield Mill: kept on this device only")
    expect(page.locator(f"#row-{circuit.pk} .notes")).to_contain_text("someone else saved 0.60 meanwhile")
    assert (result_of(circuit).zs.text, result_of(circuit).r1_r2.text) == ("0.60", "0.31")

    # Going on in the row, or opening the page again, is no answer.
    type_in(page, circuit, remarks="ring")
    expect(cell(page, circuit, "remarks")).to_have_js_property("defaultValue", "ring")
    page.reload()
    row_says(page, circuit, "needs attention")
    assert result_of(circuit).zs.text == "0.60"

    page.get_by_role("button", name="Use 0.71").click()
    row_says(page, circuit, "saved, ")
    expect(page.locator("main > .kept-here")).to_be_empty()
    result = result_of(circuit)
    assert (result.zs.text, result.rcd_trip_ms.text, result.remarks) == ("0.71", "24", "ring")


def test_signing_out_warns_of_what_is_not_sent_and_then_clears_it(
    page, at_grid, inspection, circuit, address
):
    at_grid(page)
    Inspection.objects.update(status=InspectionStatus.IN_REVIEW)
    type_in(page, circuit, zs="0.71")
    told(page, "not taken: the visit is no longer a draft")
    asked = []

    def answer(dialog):
        asked.append(dialog.message)
        dialog.dismiss() if len(asked) == 1 else dialog.accept()

    page.on("dialog", answer)
    page.get_by_role("button", name="Sign out").click()
    wait_until(page, lambda: asked, "nothing was asked")
    expect(cell(page, circuit, "zs")).to_have_value("0.71")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/")

    assert ["DB1, Larkfield Mill: 1, Zs 0.71" in message for message in asked] == [True, True]
    wait_until(page, lambda: page.evaluate(PAGES_KEPT) == [], "pages are still kept")
    assert page.evaluate("localStorage.getItem('member')") is None
    assert page.evaluate(CELLS_KEPT) == 0


def test_another_member_on_the_device_neither_sees_nor_sends_them(
    page, at_grid, sign_in, inspection, circuit, address
):
    own = at_grid(page)
    own.context.set_offline(True)
    type_in(own, circuit, zs="0.71")
    told(own, "1 cell of DB1")
    other = MemberFactory(firm=inspection.inspector.firm, role=Role.SUPERVISOR)
    sign_in(own, other)
    own.context.set_offline(False)
    row_says(own, circuit, "your sign-in may not enter them: another member is signed in here")

    theirs = own.context.new_page()
    theirs.goto(address)
    expect(cell(theirs, circuit, "zs")).to_have_value("")
    wait_until_kept(theirs, address)
    theirs.goto("/at-hand/")
    expect(theirs.locator("#unsent")).to_have_text("Nothing: all that was typed here has been sent.")
    assert not CircuitResult.objects.exists()

    sign_in(own, inspection.inspector)
    own.reload()
    row_says(own, circuit, "saved, ")
    assert versions_of(circuit) == [("0.71", inspection.inspector.pk)]


def test_a_page_that_was_not_opened_beforehand_is_not_there_and_the_sheet_that_was_is(
    page, at_grid, board, circuit
):
    at_grid(page)
    sheet = reverse("before_you_test", args=[board.pk])
    page.goto(sheet)
    wait_until_kept(page, sheet)
    page.context.set_offline(True)
    page.goto(reverse("board", args=[board.pk]))
    expect(page.get_by_role("alert")).to_contain_text("the page you asked for is not on this device")
    page.get_by_role("link", name="Before you test DB1").click()
    expect(page.locator("h1")).to_contain_text("Before you test DB1")
    told(page, "This page is as it was on")


@pytest.fixture
def hasty_worker(monkeypatch):
    """A service worker that waits for no answer where it has a copy."""
    monkeypatch.setattr(offline, "PATIENCE_MS", 1)
    offline._script.cache_clear()
    yield
    offline._script.cache_clear()


def test_with_barely_any_signal_the_kept_copy_is_shown_and_the_late_answer_kept(
    hasty_worker, page, at_grid, inspection, circuit, address, monkeypatch
):
    at_grid(page)
    arrived = Event()

    def late(*args, **kwargs):
        arrived.wait(PATIENCE_MS / 1000)
        return board_record(*args, **kwargs)

    monkeypatch.setattr("inspections.views.results_grid.board_record", late)
    record_results(
        inspection=inspection, rows=[TypedRow(circuit.pk, 0, {"zs": "0.60"})], member=inspection.inspector
    )
    page.reload()
    told(page, "This page is as it was on")
    expect(page.get_by_role("link", name="Open it anew")).to_be_visible()
    expect(cell(page, circuit, "zs")).to_have_value("")

    arrived.set()
    wait_until(page, lambda: "0.60" in page.evaluate(KEPT_TEXT), "the late answer was not kept")


def test_signed_out_in_another_tab_the_cells_wait_for_signing_in_again(
    page, at_grid, sign_in, inspection, circuit
):
    at_grid(page)
    Session.objects.all().delete()
    type_in(page, circuit, zs="0.71")
    row_says(page, circuit, "not saved: you are signed out. Sign in in another tab; kept on this device")
    sign_in(page, inspection.inspector)
    row_says(page, circuit, "saved, ")
    assert versions_of(circuit) == [("0.71", inspection.inspector.pk)]


def test_a_record_that_cannot_be_written_to_takes_the_cells_when_it_can_again(
    page, at_grid, circuit, monkeypatch
):
    def refuse(**_):
        raise OperationalError("attempt to write a readonly database")

    at_grid(page)
    with monkeypatch.context() as read_only:
        read_only.setattr("inspections.views.results_grid.record_results", refuse)
        type_in(page, circuit, zs="0.71")
        row_says(page, circuit, "not saved: the record cannot be written to just now; kept on this device")
    row_says(page, circuit, "saved, ")
    told(page, "1 cell kept on this device was sent")
    assert result_of(circuit).zs.text == "0.71"


def test_a_stale_tab_and_the_back_button_lose_nothing(page, at_grid, inspection, circuit):
    stale = at_grid(page)
    fresh = page.context.new_page()
    fresh.goto(stale.url)
    type_in(fresh, circuit, zs="0.60")
    row_says(fresh, circuit, "saved, ")

    type_in(stale, circuit, r1_r2="0.31")
    row_says(stale, circuit, "saved, ")
    expect(cell(stale, circuit, "zs")).to_have_value("0.60")
    cell(stale, circuit, "remarks").fill("ring")
    stale.get_by_role("link", name="Findings").click()
    stale.wait_for_url("**/findings/")
    stale.go_back()

    expect(cell(stale, circuit, "remarks")).to_have_value("ring")
    wait_until(stale, lambda: result_of(circuit).remarks == "ring", "the remark did not reach the record")
    result = result_of(circuit)
    assert (result.zs.text, result.r1_r2.text) == ("0.60", "0.31")
