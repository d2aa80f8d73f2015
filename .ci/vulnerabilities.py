"""Asks OSV, in one request, whether any version pinned in requirements*.txt has a published weakness.

Fails where one has. Where no answer comes it says so, and that nothing was looked up, and does not fail: a
machine without a network builds as before.
"""

import argparse
import json
import re
import sys
from pathlib import Path
from urllib.error import URLError
from urllib.request import Request, urlopen

ROOT = Path(__file__).resolve().parent.parent
SERVICE = "https://api.osv.dev/v1/querybatch"  # https://google.github.io/osv.dev/post-v1-querybatch/
SECONDS = 20
PINNED = re.compile(r"^([A-Za-z0-9._-]+)==(\S+)", re.MULTILINE)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--service", default=SERVICE)
    service = parser.parse_args().service
    pinned = pins()
    try:
        told = ask(service, pinned)
    except (URLError, OSError, ValueError) as error:
        print(f"No answer from {service} ({error}). Nothing was looked up: try again with a network.")
        return 0
    weak = [
        f"{name} {version}: {', '.join(one['id'] for one in answer['vulns'])}"
        for (name, version), answer in zip(pinned, told, strict=True)
        if answer.get("vulns")
    ]
    print("\n".join(weak) or f"No published weakness in any of {len(pinned)} pinned versions.")
    return int(bool(weak))


def pins() -> list[tuple[str, str]]:
    """Name and version of everything pinned, each once."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(ROOT.glob("requirements*.txt"))]
    return sorted({pin for text in texts for pin in PINNED.findall(text)})


def ask(service: str, pinned: list[tuple[str, str]]) -> list[dict]:
    """What is published of each, in the same order."""
    queries = [
        {"package": {"name": name, "ecosystem": "PyPI"}, "version": version} for name, version in pinned
    ]
    asked = Request(service, json.dumps({"queries": queries}).encode(), {"Content-Type": "application/json"})
    with urlopen(asked, timeout=SECONDS) as answer:
        results = json.load(answer).get("results", [])
    if len(results) != len(pinned):
        raise ValueError("the answer is not about what was asked")
    return results


if __name__ == "__main__":
    sys.exit(main())
