"""PDFs made for the tests of intake."""

from io import BytesIO

import pikepdf

from reports.report.attach import attach_record, saved


def plain_page() -> bytes:
    """A PDF of one empty page, which carries nothing."""
    out = BytesIO()
    book = pikepdf.new()
    book.add_blank_page()
    book.save(out)
    return out.getvalue()


def attached(record: bytes) -> bytes:
    """A PDF that carries ``record``, whatever it is, the way a report carries its own."""
    with pikepdf.open(BytesIO(plain_page())) as book:
        attach_record(book, record)
        return saved(book)
