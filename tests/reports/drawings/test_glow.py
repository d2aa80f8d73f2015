"""Drawings of a glow case: well-formed, with every value in them, and true to scale."""

import re
from xml.etree import ElementTree

import pytest

from remedies.enums import LoadKind
from remedies.glow.drawn import CircuitDrawn, Plot
from reports.drawings.glow_circuit import glow_circuit
from reports.drawings.glow_plot import glow_plot
from reports.drawings.svg import to_svg

CASE = CircuitDrawn(
    supply="230 V 50 Hz",
    origin="coupling",
    origin_value="370 pF",
    earth_value="319 pF",
    lamp="0.845 V when off",
    open_circuit="123 V",
    meters=("meter 10 MΩ ∥ 100 pF reads 100 V", "meter 300 kΩ reads 8 V"),
    remedy="X2 0.1 µF",
    remedy_kind=LoadKind.CAPACITOR,
)
# A remedy that lets a tenth through for every ten times its value.
PLOT = Plot(
    unit="F",
    points=tuple((10.0**-n, 10.0 ** (n - 8), 2 * 10.0 ** (n - 8), 4 * 10.0 ** (n - 8)) for n in (9, 8, 7, 6)),
    glow_low_v=10,
    glow_high_v=40,
    chosen=(1e-7, 0.2),
    chosen_name="X2 <0.1 µF>",
)


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def words(svg: str) -> str:
    return " ".join(text for text in parsed(svg).itertext() if text.strip())


def places(svg: str) -> list[tuple[float, float]]:
    """Where every text stands."""
    return [(float(e.get("x")), float(e.get("y"))) for e in parsed(svg).iter() if e.tag.endswith("text")]


def single_lines(svg: str) -> list[tuple[float, ...]]:
    """The ends of every single line."""
    paths = (e.get("d") for e in parsed(svg).iter() if e.tag.endswith("path"))
    found = (re.fullmatch(r"M ([-\d.]+),([-\d.]+) L ([-\d.]+),([-\d.]+)", path.strip()) for path in paths)
    return [tuple(map(float, match.groups())) for match in found if match]


def test_the_circuit_says_every_value_of_the_case() -> None:
    said = words(to_svg(glow_circuit(CASE), CASE.in_words))
    for value in ("230 V", "50 Hz", "370 pF", "319 pF", "0.845 V", "123 V", "X2 0.1", *CASE.meters):
        assert value in said


def test_a_drawing_has_its_words_for_whoever_does_not_see_it() -> None:
    root = parsed(to_svg(glow_circuit(CASE), CASE.in_words))
    assert root.get("role") == "img"
    for value in ("230 V", "370 pF", "319 pF", "X2 0.1 µF", "0.845 V", "reads 100 V", "reads 8 V"):
        assert value in root.get("aria-label")


@pytest.mark.parametrize(
    "draw", [lambda: glow_circuit(CASE), lambda: glow_plot(PLOT)], ids=["circuit", "plot"]
)
def test_a_drawing_on_a_page_brings_no_style_id_or_typeface_and_takes_the_page_colours(draw) -> None:
    svg = to_svg(draw(), "words")
    attributes = {name for element in parsed(svg).iter() for name in element.attrib}
    assert attributes & {"style", "id", "font-family", "clip-path"} == set()
    assert "currentColor" in svg
    assert re.findall(r"rgb\([^)]*\)", svg) == []


@pytest.mark.parametrize("kind", [*LoadKind.values, ""])
def test_every_kind_of_remedy_and_none_can_be_drawn_within_the_frame(kind) -> None:
    case = CircuitDrawn(
        **{**CASE.__dict__, "remedy_kind": kind, "remedy": "2 × 470 kΩ in series" if kind else ""}
    )
    drawing = glow_circuit(case)
    for x, y in places(to_svg(drawing, "words")):
        assert 0 <= x <= drawing.width
        assert -1 <= y <= drawing.height


def test_a_control_stands_in_the_place_of_the_switch() -> None:
    case = CircuitDrawn(**{**CASE.__dict__, "origin": "control", "origin_value": "500 µA", "earth_value": ""})
    said = words(to_svg(glow_circuit(case), case.in_words))
    assert "500 µA" in said
    assert "coupling" not in said


def test_the_plot_names_thresholds_axis_and_the_chosen_part() -> None:
    said = words(to_svg(glow_plot(PLOT), PLOT.in_words))
    for value in (
        "surely dark up to 10 V",
        "surely glows from 40 V",
        "X2 <0.1 µF>: 0.2 V",
        "1 nF",
        "1 µF",
        "10 V",
    ):
        assert value in said


def test_the_chosen_part_stands_on_the_curve_where_both_axes_say() -> None:
    svg = to_svg(glow_plot(PLOT), "words")
    (dot,) = [e for e in parsed(svg).iter() if e.tag.endswith("circle")]
    # Decades stand at the upright lines that run the whole height; 100 nF is two of three along the axis.
    decades = sorted(x1 for x1, y1, x2, y2 in single_lines(svg) if x1 == x2 and abs(y2 - y1) > 100)
    assert len(decades) == 4
    assert float(dot.get("cx")) == pytest.approx(decades[2], abs=0.01)


def test_the_plot_of_a_remedy_outside_the_decades_still_shows_it() -> None:
    svg = to_svg(glow_plot(Plot(**{**PLOT.__dict__, "chosen": (4.7e-6, 0.01)})), "words")
    (dot,) = [e for e in parsed(svg).iter() if e.tag.endswith("circle")]
    assert 0 <= float(dot.get("cx")) <= 300
