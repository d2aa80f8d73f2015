"""A document to the bytes of a file."""

from reports.pdf.schedule import write_pdf
from reports.sheets.sheet import Document
from reports.xlsx.schedule import write_xlsx

WRITERS = {"pdf": write_pdf, "xlsx": write_xlsx}


def write(document: Document, ext: str) -> bytes:
    """``ext`` is pdf or xlsx. The same document and ``ext`` give the same content."""
    return WRITERS[ext](document)
