"""``make pictures``: the pictures of the README and of each person's day, taken from the demonstration."""

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.conftest import CHROMIUM_ARGUMENTS, CHROMIUM_NAMES

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "static" / "stillacross" / "pictures"
PASSWORD = "larkfield-demo"
INSPECTOR, ELECTRICIAN, OFFICE = (
    f"{name}@example.com" for name in ("idris.penhale", "noor.farrow", "bea.calloway")
)
DESK, LAPTOP, PHONE = (1440, 860), (1024, 768), (390, 780)
_VISIT = ["text=Larkfield Mill", "main >> text=17 Nov 2026"]
_BOARD = ["text=Larkfield Mill", "main >> role=link[name=/^DB2/]"]
# Name of the picture, whose sign-in, size of the window, where to begin, the links to follow from there.
TAKEN = (
    ("visit", INSPECTOR, LAPTOP, "/installations/", _VISIT),
    ("results-grid", INSPECTOR, DESK, "/installations/", [*_VISIT, "text=Enter readings of DB2"]),
    ("findings", INSPECTOR, DESK, "/installations/", [*_VISIT, "main >> text=Findings"]),
    ("review", INSPECTOR, LAPTOP, "/installations/", [*_VISIT, "main >> text=Send for review"]),
    ("at-board", ELECTRICIAN, PHONE, "/installations/", _BOARD),
    (
        "load",
        ELECTRICIAN,
        PHONE,
        "/installations/",
        [*_BOARD, "main >> tbody >> role=link", "text=Record a load"],
    ),
    ("label", ELECTRICIAN, PHONE, "/installations/", [*_BOARD, ".at-board >> text=Label"]),
    ("audit", OFFICE, LAPTOP, "/audit/", []),
    ("question", OFFICE, LAPTOP, "/audit/", ["main >> text=Loads in the way"]),
)
COLOURS = 64  # enough for ink on paper, and a third of the bytes


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"DATABASE_URL": f"sqlite:///{folder}/demo.sqlite3"}
        command = [sys.executable, str(ROOT / "manage.py")]
        subprocess.run([*command, "demo", "--no-server", "--output", folder], env=environment, check=True)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        server = subprocess.Popen([*command, "runserver", "--noreload", f"127.0.0.1:{port}"], env=environment)
        try:
            _wait_for(port)
            _take(f"http://127.0.0.1:{port}")
        finally:
            server.terminate()
            server.wait()


def _wait_for(port: int) -> None:
    for _ in range(100):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise SystemExit("The server did not start within ten seconds.")


def _take(site: str) -> None:
    chromium = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    if chromium is None:
        raise SystemExit("chromium is not installed: apt-get install chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_ARGUMENTS)
        for name, member, (width, height), begin, links in TAKEN:
            page = browser.new_page(base_url=site, viewport={"width": width, "height": height})
            page.goto("/sign-in/")
            page.fill("[name=login]", member)
            page.fill("[name=password]", PASSWORD)
            page.keyboard.press("Enter")
            page.locator("h1", has_text="Today").wait_for()
            page.goto(begin)
            for link in links:
                page.locator(link).first.click()
                page.wait_for_load_state("networkidle")
            _keep(page.screenshot(), PICTURES / f"{name}.png")
            page.close()
        browser.close()


def _keep(png: bytes, path: Path) -> None:
    picture = Image.open(BytesIO(png)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    picture.save(path, optimize=True)


if __name__ == "__main__":
    main()
