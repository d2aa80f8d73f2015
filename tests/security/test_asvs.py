"""The list against OWASP ASVS: every item stands once, and every test and file it names is there."""

import re
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
TEXT = Path(__file__).with_name("ASVS.md").read_text(encoding="utf-8")
ITEM = re.compile(r"^\| (\d+)\.(\d+)\.(\d+) \| (.+?) \| (.+?) \| (.+) \|$", re.MULTILINE)
NAMED = re.compile(r"`([\w./-]+?\.\w+|Dockerfile|\.ci/run)(?:::(\w+))?`")
STANDS = {"met", "in part", "not met", "n/a"}


def test_every_chapter_is_there_and_every_item_once():
    items = [tuple(map(int, item[:3])) for item in ITEM.findall(TEXT)]
    assert [item for item, count in Counter(items).items() if count > 1] == []
    assert items == sorted(items)
    assert {chapter for chapter, *_ in items} == set(range(1, 15))
    assert len(items) == len(re.findall(r"^\| \d", TEXT, re.MULTILINE))


def test_every_item_says_how_it_stands_and_by_what():
    assert [item for item in ITEM.findall(TEXT) if item[4] not in STANDS or len(item[5]) < 4] == []


def test_every_test_and_file_that_is_named_is_there():
    named = set(NAMED.findall(TEXT))
    assert len(named) > 80
    missing = [
        (path, test)
        for path, test in named
        if not (ROOT / path).is_file()
        or (
            test and not re.search(rf"^def {test}\(", (ROOT / path).read_text(encoding="utf-8"), re.MULTILINE)
        )
    ]
    assert missing == []
