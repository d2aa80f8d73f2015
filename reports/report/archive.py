"""What a PDF that is kept for years says of itself: the same in its information and as XMP (ISO 16684-1), and
which colours are meant (an sRGB profile, free of copyright, stands beside this file).

With the embedded typeface, the structure and the attached record that is most of what ISO 19005-3 (PDF/A-3)
asks. No conformance is claimed, since none was validated.
"""

from functools import cache
from importlib.resources import files
from xml.sax.saxutils import escape

import pikepdf

_XMP = """<?xpacket begin="\N{ZERO WIDTH NO-BREAK SPACE}" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:format>application/pdf</dc:format>
<dc:language><rdf:Bag><rdf:li>{Lang}</rdf:li></rdf:Bag></dc:language>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{Title}</rdf:li></rdf:Alt></dc:title>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{Subject}</rdf:li></rdf:Alt></dc:description>
<dc:creator><rdf:Seq><rdf:li>{Author}</rdf:li></rdf:Seq></dc:creator>
<xmp:CreatorTool>{Creator}</xmp:CreatorTool>
<pdf:Producer>{Producer}</pdf:Producer>{dates}
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""
_DATES = """
<xmp:CreateDate>{at}</xmp:CreateDate>
<xmp:ModifyDate>{at}</xmp:ModifyDate>"""


def describe(book: pikepdf.Pdf, issued_at: str) -> None:
    """Say what the PDF is, and when it was issued (``2026-11-05T15:04:05Z``); of a draft, no time at all."""
    about = book.docinfo
    for name in ("/CreationDate", "/ModDate", "/Keywords"):
        del about[name]
    if issued_at:
        digits = "".join(filter(str.isdigit, issued_at))
        about.CreationDate = about.ModDate = f"D:{digits}Z"
    said = {
        name: escape(str(about[f"/{name}"])) for name in ("Title", "Subject", "Author", "Creator", "Producer")
    }
    dates = _DATES.format(at=issued_at) if issued_at else ""
    book.Root.Metadata = book.make_stream(
        _XMP.format(Lang=book.Root.Lang, dates=dates, **said).encode(),
        Type=pikepdf.Name.Metadata,
        Subtype=pikepdf.Name.XML,
    )
    book.Root.OutputIntents = pikepdf.Array(
        [
            pikepdf.Dictionary(
                Type=pikepdf.Name.OutputIntent,
                S=pikepdf.Name.GTS_PDFA1,
                OutputConditionIdentifier="sRGB",
                Info="sRGB",
                DestOutputProfile=book.make_stream(_profile(), N=3),
            )
        ]
    )


@cache
def _profile() -> bytes:
    return (files("reports.report") / "srgb.icc").read_bytes()
