"""Words of the record set for reading."""

SAMPLE_NOTICE = "SAMPLE, NOT A RECORD"
"""Stands on every page of whatever leaves a sample firm."""


def on_one_line(text: str) -> str:
    """A text of several lines, such as an address, with commas between them."""
    return ", ".join(line.strip().strip(",") for line in text.split("\n") if line.strip())
