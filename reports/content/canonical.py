"""Content to bytes, the same for the same content on any machine.

The form is that of RFC 8785 (JSON Canonicalization Scheme) for values without fractions and keys in ASCII:
keys sorted, no spaces, UTF-8, only what must be escaped is. Figures stand as text, so that trailing zeros are
kept and no program rounds them.
"""

import hashlib
import json
from functools import cache
from importlib.resources import files
from typing import Any

SCHEMA = "stillacross-record/1"


class NotCanonical(TypeError):
    """A value that may not stand in a record. The message says where it is."""


def canonical_json(content: dict[str, Any]) -> bytes:
    """The bytes that are kept and hashed. Raises NotCanonical for anything but text, whole numbers, true,
    false, null, lists and objects.

    >>> canonical_json({"zs_ohm": "0.50", "boards": [1, None], "said": "Ω"}).decode()
    '{"boards":[1,null],"said":"Ω","zs_ohm":"0.50"}'
    """
    _check(content, "the record")
    return json.dumps(
        content, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    ).encode()


def sha256_of(content: bytes) -> str:
    """The SHA-256 of bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


@cache
def schema() -> dict[str, Any]:
    """The published JSON Schema of ``SCHEMA``."""
    return json.loads((files("reports.content") / "schema-1.json").read_text(encoding="utf-8"))


def _check(value: Any, where: str) -> None:
    if isinstance(value, dict):
        for key, item in value.items():
            if not isinstance(key, str) or not key.isascii():
                raise NotCanonical(f"{where}: the key {key!r} is no ASCII text.")
            _check(item, f"{where}, {key}")
    elif isinstance(value, list):
        for number, item in enumerate(value, start=1):
            _check(item, f"{where}, {number}")
    elif not (value is None or isinstance(value, str | bool | int)):
        raise NotCanonical(f"{where}: {value!r} is no text, whole number, true, false or null.")
