"""The form that is hashed, against RFC 8785."""

import hashlib
import json
from decimal import Decimal

import pytest

from reports.content.canonical import NotCanonical, canonical_json, sha256_of


def test_text_is_escaped_as_in_the_example_of_rfc_8785():
    # RFC 8785, sections 3.2.2 and 3.2.3: the string and the literals of its example, input and output.
    text = r"""{"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"""
    value = json.loads(text)

    canonical = canonical_json(value)

    assert canonical.decode() == r"""{"literals":[null,true,false],"string":"€$\u000f\nA'B\"\\\\\"/"}"""


def test_keys_are_sorted_at_every_depth_whatever_their_order():
    one = {"b": {"d": 1, "c": [{"f": "", "e": None}]}, "a": "Zs 0.50 Ω"}
    other = {"a": "Zs 0.50 Ω", "b": {"c": [{"e": None, "f": ""}], "d": 1}}

    assert canonical_json(one) == canonical_json(other)
    assert canonical_json(one).decode() == '{"a":"Zs 0.50 Ω","b":{"c":[{"e":null,"f":""}],"d":1}}'


@pytest.mark.parametrize("value", [0.5, Decimal("0.5"), {1, 2}, (1, 2), b"x", float("nan")])
def test_what_could_be_written_in_two_ways_is_refused_with_its_place(value):
    with pytest.raises(NotCanonical, match="the record, boards, 2, zs"):
        canonical_json({"boards": [{"zs": "1"}, {"zs": value}]})


@pytest.mark.parametrize("key", [1, "Ω"])
def test_a_key_that_is_no_ascii_text_is_refused(key):
    with pytest.raises(NotCanonical, match="no ASCII text"):
        canonical_json({key: ""})


def test_hash_is_that_of_the_bytes():
    # FIPS 180-4 example: SHA-256 of "abc".
    assert sha256_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert sha256_of(canonical_json({})) == hashlib.sha256(b"{}").hexdigest()
