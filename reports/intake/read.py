"""Reading the record out of a report's PDF that came from outside, and making sure that it is one."""

import json
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

from reports.content import SCHEMA, canonical_json, schema, sha256_of
from reports.words import Content

MOST_BYTES = 10 * 1024 * 1024
MOST_CIRCUITS = 5_000
_EXTRACT = Path(__file__).with_name("extract.py")
_SECONDS = 30  # of the clock; the program limits its own processor time
_SHA256 = re.compile(r"SHA-256 ([0-9a-f]{64})")

_ASK = "Ask the sender for the PDF of the issued report, as it left their program."
PROBLEMS = {
    "too-large": "The file is larger than 10 MB. A report is smaller; send the report alone.",
    "not-pdf": f"This is not a PDF. {_ASK}",
    "encrypted": "The PDF is protected by a password. Ask for it without one.",
    "damaged": f"The PDF is damaged, or made so that it cannot be read safely. {_ASK}",
    "too-many-parts": "The PDF has more pages or parts than any report has.",
    "no-record": (
        "No record is attached to this PDF: it was not made by Stillacross, or it was printed or saved anew "
        "on the way, which drops what is attached. Ask for the original file, or enter the report by hand."
    ),
    "record-too-large": "The record attached to this PDF is larger than any record is.",
    "unreadable": f"The record attached to this PDF cannot be read. {_ASK}",
    "altered": (
        "The record attached to this PDF is not the one it was issued with: it was altered afterwards. Bring "
        f"nothing of it in. {_ASK}"
    ),
    "draft": "This is a draft, which may still change. Ask for the report once it is issued.",
    "too-many-circuits": f"The record has more than {MOST_CIRCUITS:,} circuits. Nothing was brought in.",
}


class RecordIntakeError(ValueError):
    """The PDF brings nothing in. The message says why, and what to do instead."""


@dataclass(frozen=True, slots=True)
class ReadRecord:
    """A record as attached: its bytes, what they say, their SHA-256, and its photographs by theirs."""

    record: bytes
    content: Content
    sha256: str
    photos: Mapping[str, bytes]


def read_record(pdf: bytes) -> ReadRecord:
    """The record attached to the PDF of an issued report. Raises RecordIntakeError."""
    if len(pdf) > MOST_BYTES:
        raise _refused("too-large")
    if b"%PDF-" not in pdf[:1024]:
        raise _refused("not-pdf")
    description, record, photos = _extract(pdf)
    content = _checked(record, description)
    return ReadRecord(record, content, sha256_of(record), {sha256_of(photo): photo for photo in photos})


def _refused(key: str) -> RecordIntakeError:
    return RecordIntakeError(PROBLEMS[key])


def _extract(pdf: bytes) -> tuple[str, bytes, list[bytes]]:
    """What the program beside this one takes out; a crash of it, or one that takes too long, is a damaged
    PDF."""
    command = [sys.executable, "-I", str(_EXTRACT)]
    try:
        done = subprocess.run(command, input=pdf, capture_output=True, timeout=_SECONDS, check=True)
        line, _, rest = done.stdout.partition(b"\n")
        told = json.loads(line)
    except (subprocess.SubprocessError, ValueError):
        raise _refused("damaged") from None
    if "problem" in told:
        raise _refused(told["problem"])
    return told["description"], rest[: told["record"]], list(_cut(rest[told["record"] :], told["photos"]))


def _cut(rest: bytes, lengths: list[int]) -> Iterator[bytes]:
    for length in lengths:
        yield rest[:length]
        rest = rest[length:]


def _checked(record: bytes, description: str) -> Content:
    content = _parsed(record)
    _check_schema(content)
    if content["issue"] is None:
        raise _refused("draft")
    said = _SHA256.search(description)
    if said is None or said[1] != sha256_of(record) or canonical_json(content) != record:
        raise _refused("altered")
    if sum(len(board["circuits"]) for board in content["boards"]) > MOST_CIRCUITS:
        raise _refused("too-many-circuits")
    return content


def _parsed(record: bytes) -> dict[str, Any]:
    try:
        content = json.loads(record)
        canonical_json(content)
    except (ValueError, TypeError, RecursionError):
        raise _refused("unreadable") from None
    has_null = "\\u0000" in json.dumps(content)  # a character that no database keeps
    if has_null or not isinstance(content, dict):
        raise _refused("unreadable")
    return content


def _check_schema(content: dict[str, Any]) -> None:
    named = content.get("schema")
    if named != SCHEMA:
        raise RecordIntakeError(
            f"The record is of the kind “{str(named)[:60]}”, and this program reads {SCHEMA}. It was made by "
            "a later version: bring this one up to date first."
        )
    error = best_match(Draft202012Validator(schema()).iter_errors(content))
    if error:
        where = " → ".join(str(step) for step in error.absolute_path) or "the whole"
        raise RecordIntakeError(f"{PROBLEMS['unreadable']} (At {where}: {error.message[:160]})")
