"""The circuit of one glow case with its values: what feeds the switched wire, the meters, the remedy, the
lamp."""

from reportlab.graphics.shapes import Drawing

from remedies.enums import LoadKind
from remedies.glow.drawn import CircuitDrawn
from reports.drawings import marks
from reports.pdf.page import FAINT, LEADING

WIDTH, HEIGHT = 300.0, 200.0
_LIVE, _WIRE, _NEUTRAL = 186.0, 122.0, 52.0  # heights of the three conductors
_SUPPLY, _SWITCH, _COUPLING, _EARTH, _REMEDY, _LAMP = 20.0, 66.0, 102.0, 142.0, 196.0, 256.0
_SYMBOLS = {
    LoadKind.CAPACITOR: marks.capacitor,
    LoadKind.RC_NETWORK: marks.resistor_and_capacitor,
    LoadKind.NEON: marks.neon,
}


def glow_circuit(case: CircuitDrawn) -> Drawing:
    """The case drawn. Every value in it is a text of ``case``."""
    drawing = marks.blank(WIDTH, HEIGHT)
    _conductors(drawing, case)
    _origin(drawing, case)
    if case.earth_value:
        marks.capacitor(drawing, _EARTH, _WIRE, _NEUTRAL)
        _joints(drawing, _EARTH, _WIRE, _NEUTRAL)
        marks.lines(drawing, _EARTH + 11, 100, 36, f"{case.earth_value} to N and earth")
    if case.remedy:
        _SYMBOLS.get(case.remedy_kind, marks.resistor)(drawing, _REMEDY, _WIRE, _NEUTRAL)
        _joints(drawing, _REMEDY, _WIRE, _NEUTRAL)
        marks.lines(drawing, _REMEDY + 12, 106, 36, case.remedy)
    marks.lamp(drawing, _LAMP, _WIRE, _NEUTRAL)
    marks.lines(drawing, _LAMP + 15, 100, 32, case.lamp)
    for number, meter in enumerate(case.meters):
        said = f"{'Switched wire to N: ' if number == 0 else ''}{meter}"
        marks.text(drawing, 8, 32 - number * marks.SIZE * LEADING, said)
    return drawing


def _conductors(drawing: Drawing, case: CircuitDrawn) -> None:
    marks.source(drawing, _SUPPLY, _LIVE, _NEUTRAL)
    marks.lines(drawing, _SUPPLY + 15, 136, 28, case.supply)
    marks.line(drawing, _SUPPLY, _LIVE, _EARTH + 30, _LIVE)
    marks.line(drawing, _SUPPLY, _NEUTRAL, _LAMP, _NEUTRAL)
    marks.line(drawing, _SWITCH, _WIRE, _LAMP, _WIRE)
    marks.text(drawing, _EARTH + 34, _LIVE - 3, "L, live beside it", colour=FAINT)
    marks.text(drawing, _SUPPLY - 12, _NEUTRAL - 10, "N", colour=FAINT)
    open_circuit = f", {case.open_circuit} with nothing across" if case.open_circuit else ""
    marks.text(drawing, _COUPLING + 14, _WIRE + 5, f"switched wire{open_circuit}")


def _origin(drawing: Drawing, case: CircuitDrawn) -> None:
    """A control stands in the place of the switch; a coupling beside it."""
    marks.dot(drawing, _SWITCH, _LIVE)
    if case.origin == "control":
        marks.control(drawing, _SWITCH, _LIVE, _WIRE)
        marks.lines(drawing, _SWITCH + 17, 166, 90, f"control, passes {case.origin_value} when off")
        return
    marks.open_switch(drawing, _SWITCH, _LIVE, _WIRE)
    marks.capacitor(drawing, _COUPLING, _LIVE, _WIRE)
    _joints(drawing, _COUPLING, _LIVE, _WIRE)
    marks.lines(drawing, _COUPLING + 13, 164, 120, f"coupling {case.origin_value}")


def _joints(drawing: Drawing, x: float, *heights: float) -> None:
    for height in heights:
        marks.dot(drawing, x, height)
