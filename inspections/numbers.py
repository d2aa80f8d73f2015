"""Numbers as an address or a form names them."""

_MOST_DIGITS = 18  # all of these fit where a database keeps a key


def whole_number(text: str) -> int | None:
    """The number, or None where the text is none or has more digits than any key or version.

    >>> whole_number("12"), whole_number("²"), whole_number("-1"), whole_number("9" * 30)
    (12, None, None, None)
    """
    return int(text) if text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS else None
