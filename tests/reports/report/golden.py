"""Pictures of the main pages, kept beside the tests and compared with what is drawn today.

After a change that was meant: ``python -m tests.reports.report.make_golden``, and look at them.
"""

import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from PIL import Image, ImageChops

from inspections.enums import InspectionKind
from reports.report.draw import draw_report
from tests.reports.report.contents import photos, record

FOLDER = Path(__file__).parent / "golden"
_DPI = 56
_BLOCK = 6  # pixels a side; about 2.7 mm of paper


def drawn() -> Iterator[tuple[str, bytes, int]]:
    """(name, PDF, page from 1) of every picture."""
    house = draw_report(record(), photos())
    for name, page in (("front", 1), ("observations", 2), ("visual", 3), ("details", 4), ("results", 5)):
        yield f"house-{name}", house, page
    yield "house-drawn", house, 6
    yield "initial-front", draw_report(record(kind=InspectionKind.INITIAL)), 1
    yield "draft-front", draw_report(record(issued=False), photos()), 1


def picture(pdf: bytes, page: int, program: str = "pdftoppm") -> Image.Image:
    """The page in grey, as a printer without colour shows it."""
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "report.pdf", Path(folder) / "page"
        source.write_bytes(pdf)
        command = [program, "-r", str(_DPI), "-gray", "-png", "-singlefile", "-f", str(page), source, target]
        subprocess.run(command, check=True)
        return Image.open(target.with_suffix(".png")).convert("L").copy()


def kept(name: str) -> Image.Image:
    return Image.open(FOLDER / f"{name}.png").convert("L")


def differ_by(one: Image.Image, other: Image.Image) -> int:
    """The largest difference of any block of the two pictures, of 255. Blocks even out how different versions
    of the program smooth the edges of letters; a line moved, lost or added changes its blocks by far more.
    """
    if one.size != other.size:
        return 255
    size = (one.width // _BLOCK, one.height // _BLOCK)
    blocks = (image.resize(size, Image.Resampling.BOX) for image in (one, other))
    return ImageChops.difference(*blocks).getextrema()[1]
