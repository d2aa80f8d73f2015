"""What somebody might send, and what counts as an answer to it."""

import os
from contextlib import contextmanager

from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

TIMES = int(os.environ.get("FUZZ_TIMES", 1))

AWKWARD = (
    "", " ", "\0", "a\0b", "-", "-1", "0", "1", "00", "1e999", "NaN", "Infinity", "-0", "²", "٣", "½",
    "9" * 19, "9" * 30, "9" * 5000, "1.5", "1,5", "0.1 µF", "LIM", "N/V", ">200", "> ", "✓", "=1+1", "%",
    "_", "'", '"', "\\", "<b>", "&amp;", "{{ 1 }}", "\u202e", "\ufeff", "\r\n", "a" * 300, "L1", "L-N",
    "on", "yes", "true", "None", "null", "[]", "{}", "2026-11-25", "2026-13-01", "0001-01-01", "9999-12-31",
    "25/11/2026", "12:00", "../../etc/passwd", "DB1", "kitchen", "LF3 7QX",
)  # fmt: skip
texts = st.one_of(st.sampled_from(AWKWARD), st.text(max_size=20), st.integers().map(str))


def examples(number: int) -> settings:
    """So many in the suite, and as many times more as FUZZ_TIMES says."""
    return settings(
        max_examples=number * TIMES,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
    )


@contextmanager
def nothing_stays():
    """What is written meanwhile is taken back: each example finds the record as the first did."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def is_answer(response) -> bool:
    """Whether it is a page, a way on, or a refusal in words. A crash has come as an exception before."""
    if response.streaming:
        b"".join(response.streaming_content)
    if response.status_code in (400, 403, 404, 405, 409, 410, 422, 429):
        return response.text.strip() != ""
    return response.status_code in (200, 301, 302)


def outcome_of(do, refusal):
    """What ``do`` gives, or the words with which it refuses. Any other exception fails the test."""
    try:
        return do()
    except refusal as error:
        return " ".join(getattr(error, "messages", [str(error)]))


def damaged(whole: bytes):
    """``whole`` with some of its bytes changed, cut out, or put in."""
    places = st.integers(0, len(whole) - 1)
    change = st.tuples(places, st.sampled_from([0, 1, 2, 8]), st.binary(max_size=8))

    def with_changes(changes):
        content = bytearray(whole)
        for place, taken, put in changes:
            content[place : place + taken] = put
        return bytes(content)

    return st.lists(change, min_size=1, max_size=6).map(with_changes)
