"""A whole board entered by keyboard alone, then found in the exported PDF and workbook."""

from io import BytesIO

import openpyxl
import pdfplumber
import pytest
from django.urls import reverse
from playwright.sync_api import expect

from inspections.columns import RESULTS
from inspections.models import CircuitResult
from tests.factories import PASSWORD, BoardFactory, CircuitFactory, InspectionFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

# What stands on the paper sheet, a line a circuit, by column of the grid.
PAPER = [
    {
        "r1": "0.45", "rn": "0.46", "r2": "0.75", "r1_r2": "0.30", "ir_voltage_v": "500",
        "ir_live_live": ">200", "ir_live_earth": ">200", "polarity": "y", "zs": "0.71", "rcd_trip_ms": "28",
        "rcd_button": "y",
    },
    {
        "r1_r2": "1.12", "ir_live_live": "LIM", "ir_live_earth": "185", "polarity": "y", "zs": "1.38",
        "rcd_trip_ms": "24", "rcd_button": "y",
    },
    {"r1_r2": "0.55", "ir_live_live": ">200", "ir_live_earth": ">200", "polarity": "x", "zs": "0.80"},
]  # fmt: skip
AS_KEPT = {"y": "✓", "x": "✗", "n/a": "N/A"}


@pytest.fixture
def board():
    return BoardFactory(designation="DB1", location="Under the stairs")


@pytest.fixture
def inspection(board):
    return InspectionFactory(installation=board.installation)


@pytest.fixture
def circuits(board):
    rcd = {"rcd_standard": "61008", "rcd_type": "A", "rcd_residual_ma": 30}
    return [
        CircuitFactory(board=board, way="1", description="Ring, ground floor", arrangement="ring", **rcd),
        CircuitFactory(board=board, way="2", description="Lights, hall", **rcd),
        CircuitFactory(board=board, way="3", description="Immersion heater"),
    ]


@pytest.fixture
def grid(page, sign_in, inspection, board, circuits):
    sign_in(page, inspection.inspector)
    page.goto(reverse("results_grid", args=[inspection.pk, board.pk]))
    return page


def cell(grid, circuit, name):
    return grid.locator(f'[name="{circuit.pk}.{name}"]')


def state(grid, circuit):
    return grid.locator(f"#row-{circuit.pk} [data-state]")


def wait_for_state(grid, circuit, words):
    grid.wait_for_function(
        "([id, words]) => document.querySelector(`#row-${id} [data-state]`).textContent.startsWith(words)",
        arg=[circuit.pk, words],
    )


def wait_until(grid, done, act=lambda: None):
    """Until ``done``, doing ``act`` before each look."""
    for _ in range(600):
        act()
        if done():
            return
        grid.wait_for_timeout(100)
    pytest.fail("It never came.")


def press_until(grid, key, done):
    wait_until(grid, done, lambda: grid.keyboard.press(key))


def test_the_grid_opens_in_the_first_gap_or_in_the_row_that_is_asked_for(grid, circuits):
    expect(cell(grid, circuits[0], "r1")).to_be_focused()
    address = f"{grid.url}#row-{circuits[2].pk}"
    grid.goto("about:blank")
    grid.goto(address)
    expect(cell(grid, circuits[2], "r1_r2")).to_be_focused()


def test_board_entered_by_keyboard_is_found_in_pdf_and_workbook(grid, inspection, circuits):
    cell(grid, circuits[0], "r1").focus()
    for line in PAPER:
        for text in line.values():
            grid.keyboard.type(text)
            grid.keyboard.press("Tab")
    cell(grid, circuits[2], "remarks").fill("reversed")
    grid.keyboard.press("Tab")
    for circuit in circuits:
        wait_for_state(grid, circuit, "saved")
    # The last row was saved before its remark too.
    wait_until(grid, lambda: CircuitResult.objects.filter(remarks="reversed").exists())
    typed = [*PAPER[:2], PAPER[2] | {"remarks": "reversed"}]
    written = [
        {name: AS_KEPT.get(text, text) for name, text in ({"ir_voltage_v": "500"} | line).items()}
        for line in typed
    ]
    for circuit, line in zip(circuits, written, strict=True):
        result = CircuitResult.objects.get(inspection=inspection, circuit=circuit)
        assert {name: str(getattr(result, name)) for name in line} == line

    def download(ext):
        address = reverse("sheet_download", args=[inspection.pk, "test-results", ext])
        return BytesIO(grid.request.get(grid.evaluate("location.origin") + address).body())

    with pdfplumber.open(download("pdf")) as pdf:
        words = {word["text"] for page in pdf.pages for word in page.extract_words()}
    sheet = openpyxl.load_workbook(download("xlsx"))["DB1 results"]
    rows = {str(row[0].value): row[2:] for row in sheet.iter_rows() if row[0].value in ("1", "2", "3")}
    for number, line in enumerate(written, 1):
        cells = dict(zip((column.name for column in RESULTS), rows[str(number)], strict=False))
        for name, text in line.items():
            assert text in words
            value = cells[name].value
            assert str(value) == text or f"{value:.2f}" == text or value == float(text)


def test_ctrl_z_takes_back_what_was_filled_in_and_saved(grid, circuits):
    cell(grid, circuits[0], "zs").focus()
    grid.keyboard.type("0.71")
    grid.keyboard.press("Enter")
    grid.keyboard.press("Control+d")
    for circuit in circuits[:2]:
        wait_for_state(grid, circuit, "saved")
    grid.keyboard.press("Control+z")
    wait_for_state(grid, circuits[1], "saved, 7 to enter")
    assert grid.evaluate("document.activeElement.name") == f"{circuits[1].pk}.zs"
    grid.keyboard.press("Control+z")
    wait_for_state(grid, circuits[0], "saved, 10 to enter")
    assert [result.zs.text for result in CircuitResult.objects.all()] == ["", ""]
    # What is said of a row that was left may come over this.
    press_until(grid, "Control+z", lambda: "Nothing more to undo" in grid.inner_text("#grid-said"))


def test_enter_and_arrows_move_and_the_row_left_is_saved(grid, circuits):
    cell(grid, circuits[0], "zs").focus()
    grid.keyboard.type("0.71")
    grid.keyboard.press("Enter")
    assert grid.evaluate("document.activeElement.name") == f"{circuits[1].pk}.zs"
    wait_for_state(grid, circuits[0], "saved")
    grid.keyboard.press("ArrowDown")
    assert grid.evaluate("document.activeElement.name") == f"{circuits[2].pk}.zs"
    grid.keyboard.press("ArrowUp")
    grid.keyboard.press("ArrowRight")
    assert grid.evaluate("document.activeElement.name") == f"{circuits[1].pk}.rcd_trip_ms"
    assert CircuitResult.objects.get(circuit=circuits[0]).zs.text == "0.71"


def test_pasted_column_fills_down_and_is_saved(grid, circuits):
    target = cell(grid, circuits[0], "r1_r2")
    target.focus()
    target.evaluate(
        """(input) => {
            const clipboardData = new DataTransfer();
            clipboardData.setData("text", "0.31\\t\\n1.12\\t\\n0.55\\t\\n");
            const how = { clipboardData, bubbles: true, cancelable: true };
            input.dispatchEvent(new ClipboardEvent("paste", how));
        }"""
    )
    for circuit in circuits:
        wait_for_state(grid, circuit, "saved")
    kept = list(CircuitResult.objects.order_by("circuit__way").values_list("r1_r2", flat=True))
    assert [reading.text for reading in kept] == ["0.31", "1.12", "0.55"]


def test_bad_cell_is_explained_and_put_right_without_losing_the_rest(grid, circuits):
    cell(grid, circuits[0], "r1_r2").focus()
    grid.keyboard.type("0.31")
    cell(grid, circuits[0], "zs").focus()
    grid.keyboard.type("0,71")
    cell(grid, circuits[1], "zs").focus()
    wait_for_state(grid, circuits[0], "needs attention")
    assert "Type a point: 0.71" in grid.locator(f"#row-{circuits[0].pk} .notes").inner_text()
    assert CircuitResult.objects.get(circuit=circuits[0]).r1_r2.text == "0.31"
    cell(grid, circuits[0], "zs").fill("0.71")
    cell(grid, circuits[1], "zs").focus()
    wait_for_state(grid, circuits[0], "saved")
    assert CircuitResult.objects.get(circuit=circuits[0]).zs.text == "0.71"


def test_two_people_on_one_row_each_see_the_other(grid, inspection, circuits):
    CircuitResult.objects.create(inspection=inspection, circuit=circuits[0], zs="0.60")
    cell(grid, circuits[0], "zs").focus()
    grid.keyboard.type("0.71")
    grid.keyboard.press("Enter")
    wait_for_state(grid, circuits[0], "needs attention")
    assert CircuitResult.objects.get(circuit=circuits[0]).zs.text == "0.60"
    grid.get_by_role("button", name="Use 0.71").click()
    wait_for_state(grid, circuits[0], "saved")
    assert CircuitResult.objects.get(circuit=circuits[0]).zs.text == "0.71"


def test_lost_connection_says_so_keeps_the_text_and_saves_when_it_is_back(grid, circuits):
    grid.context.set_offline(True)
    cell(grid, circuits[0], "zs").focus()
    grid.keyboard.type("0.71")
    grid.keyboard.press("Enter")
    wait_for_state(grid, circuits[0], "not saved: no connection")
    assert not CircuitResult.objects.exists()
    grid.context.set_offline(False)
    wait_for_state(grid, circuits[0], "saved")
    assert CircuitResult.objects.get(circuit=circuits[0]).zs.text == "0.71"


def test_plain_form_saves_without_javascript(browser, live_server, inspection, board, circuits):
    context = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    page.goto(reverse("account_login"))
    page.fill("[name=login]", inspection.inspector.email)
    page.fill("[name=password]", PASSWORD)
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Sign out").wait_for()
    page.goto(reverse("results_grid", args=[inspection.pk, board.pk]))
    page.fill(f'[name="{circuits[0].pk}.zs"]', "0.71")
    page.get_by_role("button", name="Save all").click()
    assert "1 row saved." in page.inner_text("main")
    assert CircuitResult.objects.get(circuit=circuits[0]).zs.text == "0.71"
    context.close()
