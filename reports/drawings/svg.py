"""A drawing as SVG that takes the colours and the typeface of the page it stands on."""

from xml.etree import ElementTree

from django.utils.safestring import SafeString, mark_safe
from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing

from reports.drawings.marks import BAND
from reports.pdf.page import ACCENT, FAINT, INK, RULE

_SVG = "http://www.w3.org/2000/svg"
_ONLY_IN_A_FILE = ("width", "height", "colorProfile", "baseProfile", "version", "preserveAspectRatio")
_DROPPED = ("font-family", "clip-path")
# The page's own colours, so that a dark page has light lines.
_ON_A_PAGE = {
    INK: "currentColor",
    FAINT: "var(--quiet)",
    RULE: "var(--edge)",
    BAND: "var(--rule)",
    ACCENT: "var(--accent)",
}


def to_svg(drawing: Drawing, words: str) -> SafeString:
    """The drawing for a page, ``words`` saying what it shows to whoever does not see it. It fills the width
    it is given."""
    root = ElementTree.fromstring(renderSVG.drawToString(drawing).encode())
    for element in root.iter():
        element.tag = element.tag.removeprefix(f"{{{_SVG}}}")
        _plain(element)
    for name in _ONLY_IN_A_FILE:
        root.attrib.pop(name, None)
    root.set("xmlns", _SVG)
    root.set("role", "img")
    root.set("aria-label", words)
    for name in ("title", "desc", "clipPath"):
        for child in root.findall(name):
            root.remove(child)
    return mark_safe(ElementTree.tostring(root, encoding="unicode"))  # escaped by the tree it is written from


def _plain(element: ElementTree.Element) -> None:
    """Styles as attributes: a page here holds no inline style, and several drawings share its names."""
    element.attrib.pop("id", None)
    if element.get("d", "").count("L") == 1:
        element.set("d", element.get("d").removesuffix(" Z"))  # a line drawn back over itself shows no dashes
    for entry in element.attrib.pop("style", "").split(";"):
        name, _, value = entry.partition(":")
        if value and name.strip() not in _DROPPED:
            element.set(name.strip(), _colour(value.strip()))


def _colour(value: str) -> str:
    return _BY_TEXT.get(value.replace(" ", ""), value)


def _as_svg_writes(colour) -> str:
    return "rgb({}%,{}%,{}%)".format(*(round(part * 100) for part in colour.rgb()))


_BY_TEXT = {_as_svg_writes(colour): name for colour, name in _ON_A_PAGE.items()} | {"None": "none"}
