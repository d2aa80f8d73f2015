"""Many small objects added behind a PDF as an update of it (ISO 32000-1, 7.5.6 to 7.5.8), packed together and
compressed. The library that reads and writes whole PDFs would take several times as long for it.
"""

from collections.abc import Iterable, Iterator
from itertools import accumulate, chain, count, islice
from re import search
from struct import pack
from zlib import compress

import pikepdf

_IN_A_STREAM = 500  # objects packed together

_Numbered = list[tuple[int, str]]


def update(pdf: bytes, book: pikepdf.Pdf, number: int, objects: Iterable[str]) -> bytes:
    """What to put behind ``pdf``, which is open as ``book``. The first object takes the place of ``number``;
    the others are numbered on from the last one of the PDF."""
    first = int(book.trailer.Size)
    numbered = zip(chain((number,), count(first)), objects, strict=False)
    packed = [(len(some), *_packed(some)) for some in _some(numbered)]
    own = first + sum(many for many, _, _ in packed) - 1  # of the first stream
    entries = [pack(">BIH", 2, own + at, n) for at, (many, _, _) in enumerate(packed) for n in range(many)]
    place, parts = len(pdf), []
    for at, (_, about, content) in enumerate(packed):
        entries.append(pack(">BIH", 1, place, 0))
        parts.append(_stream(own + at, about, content))
        place += len(parts[-1])
    entries.append(pack(">BIH", 1, place, 0))
    last = own + len(packed)  # of the cross-reference stream itself
    former = int(search(rb"startxref\s+(\d+)", pdf[-64:])[1])
    about = (
        f"/Type/XRef/W [1 4 2]/Index [{number} 1 {first} {last + 1 - first}]/Size {last + 1}/Prev {former}"
        f"/Root {_reference(book.Root)}/Info {_reference(book.docinfo)}/ID {_id(book)}"
    )
    parts.append(_stream(last, about, compress(b"".join(entries))))
    return b"".join((*parts, f"startxref\n{place}\n%%EOF\n".encode()))


def _some(numbered: Iterator[tuple[int, str]]) -> Iterator[_Numbered]:
    while some := list(islice(numbered, _IN_A_STREAM)):
        yield some


def _packed(objects: _Numbered) -> tuple[str, bytes]:
    """An object stream: what is said of it, and its content, compressed."""
    begins = accumulate((len(text) + 1 for _, text in objects), initial=0)
    index = " ".join(f"{number} {begin}" for (number, _), begin in zip(objects, begins, strict=False))
    texts = " ".join(text for _, text in objects)
    about = f"/Type/ObjStm/N {len(objects)}/First {len(index) + 1}"
    return about, compress(f"{index} {texts}".encode())


def _stream(number: int, about: str, content: bytes) -> bytes:
    head = f"{number} 0 obj\n<<{about}/Filter/FlateDecode/Length {len(content)}>>stream\n"
    return b"".join((head.encode(), content, b"\nendstream\nendobj\n"))


def _reference(of: pikepdf.Object) -> str:
    number, generation = of.objgen
    return f"{number} {generation} R"


def _id(book: pikepdf.Pdf) -> str:
    return f"[{''.join(f'<{bytes(one).hex()}>' for one in book.trailer.ID)}]"
