"""``make pictures``: the README's pictures, taken from the demonstration so that they never go stale."""

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.conftest import CHROMIUM_ARGUMENTS, CHROMIUM_NAMES

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "fixtures" / "pictures"
SIGN_IN = ("idris.penhale@example.com", "larkfield-demo")
_VISIT = ["text=Larkfield Mill", "main >> text=17 Nov 2026"]
# Name of the picture, the links to follow from the list of installations, and the width of the window.
TAKEN = (
    ("results-grid", [*_VISIT, "text=Enter readings of DB2"], 1440),
    ("findings", [*_VISIT, "main >> text=Findings"], 1440),
)


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
        for name, links, width in TAKEN:
            page = browser.new_page(base_url=site, viewport={"width": width, "height": 860})
            page.goto("/sign-in/")
            page.fill("[name=username]", SIGN_IN[0])
            page.fill("[name=password]", SIGN_IN[1])
            page.keyboard.press("Enter")
            page.get_by_role("button", name="Sign out").wait_for()
            page.goto("/installations/")
            for link in links:
                page.locator(link).first.click()
                page.wait_for_load_state("networkidle")
            page.screenshot(path=PICTURES / f"{name}.png")
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
