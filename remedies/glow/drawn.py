"""What is drawn of a worksheet: the case as a circuit, and lamp voltage against a remedy's value."""

from dataclasses import dataclass

from remedies.glow import table
from remedies.glow.basis import Basis
from remedies.glow.candidates import Candidate
from remedies.glow.inputs import Inputs
from remedies.glow.values import in_farads, in_volts
from remedies.physics.comparison import Curve, capacitor_curve, resistor_curve
from remedies.physics.operating import Conditions
from remedies.physics.parts import LoadModule, Resistor, SuppressionCapacitor
from remedies.physics.quantity import engineering, ohms, significant
from remedies.physics.several_readings import Judged
from remedies.physics.stray_voltage import Meter, Source


@dataclass(frozen=True)
class CircuitDrawn:
    """The case as a circuit: what each element is, in words. Empty texts leave the element out."""

    supply: str
    origin: str
    origin_value: str
    earth_value: str
    lamp: str
    open_circuit: str
    meters: tuple[str, ...]
    remedy: str
    remedy_kind: str

    @property
    def in_words(self) -> str:
        """The drawing for whoever does not see it."""
        said = [f"Supply {self.supply}; {self.origin} {self.origin_value} feeds the switched wire"]
        if self.open_circuit:
            said.append(f"open circuit {self.open_circuit}")
        if self.earth_value:
            said.append(f"to neutral and earth {self.earth_value}")
        said += self.meters
        said.append(f"remedy across the lamp: {self.remedy or 'none chosen'}")
        said.append(f"lamp: {self.lamp}")
        return "; ".join(said) + "."


@dataclass(frozen=True)
class Plot:
    """Lamp voltage when off against a remedy's value. unit: F or Ω. points: value, then lowest, typical and
    highest volts. chosen: value and typical volts of the remedy chosen, None where it is not of this kind."""

    unit: str
    points: tuple[tuple[float, float, float, float], ...]
    glow_low_v: float
    glow_high_v: float
    chosen: tuple[float, float] | None = None
    chosen_name: str = ""

    @property
    def in_words(self) -> str:
        """The plot for whoever does not see it."""
        (least, _, first_v, _), (most, _, last_v, _) = self.points[0], self.points[-1]
        what = "capacitor" if self.unit == "F" else "resistor"
        said = (
            f"Lamp voltage when off with a {what} across the lamp: {in_volts(first_v)} at "
            f"{engineering(least, self.unit)}, {in_volts(last_v)} at {engineering(most, self.unit)}. "
            f"A lamp is surely dark up to {in_volts(self.glow_low_v)} and surely glows from "
            f"{in_volts(self.glow_high_v)}."
        )
        if self.chosen is None:
            return said
        return f"{said} Chosen: {self.chosen_name}, {in_volts(self.chosen[1])}."


def circuit_drawn(
    given: Inputs, judged: Judged | None, basis: Basis, row: table.Remedy | None, part: Candidate | None
) -> CircuitDrawn:
    """The case with its values: the source found, the meters that read it, the remedy chosen."""
    coupled = judged.judgement.capacitive[0] if judged and judged.judgement.capacitive else None
    typical = basis.sources[0] if basis.sources else None
    origin, value, earth = "coupling", "not known yet", ""
    if coupled and coupled.coupling_f:
        value = in_farads(coupled.coupling_f.typical)
        earth = in_farads(coupled.earth_f.typical) if coupled.earth_f else ""
    elif typical and given.control:
        origin, value = "control", engineering(given.control.off_current_a, "A")
    elif typical:
        value = in_farads(typical.capacitance_f)
    return CircuitDrawn(
        supply=f"{significant(given.conditions.supply_v)} V {significant(given.conditions.frequency_hz)} Hz",
        origin=origin,
        origin_value=value,
        earth_value=earth,
        lamp=f"{row.lamp} when off" if row and row.lamp else "glows",
        open_circuit=_open_circuit(judged, typical),
        meters=tuple(
            f"meter {_meter(reading.meter)} reads {in_volts(reading.volts)}" for reading in given.readings
        ),
        remedy=part.load.in_brief() if part else "",
        remedy_kind=part.load.kind if part else "",
    )


def _open_circuit(judged: Judged | None, typical: Source | None) -> str:
    if judged and judged.judgement.open_circuit_v:
        return in_volts(judged.judgement.open_circuit_v.typical)
    return in_volts(typical.open_circuit_v) if typical else ""


def _meter(meter: Meter) -> str:
    return f"{ohms(meter.resistance_ohm)}" + (
        f" ∥ {in_farads(meter.capacitance_f)}" if meter.capacitance_f else ""
    )


def plot_drawn(
    basis: Basis, given: Conditions, row: table.Remedy | None, part: Candidate | None
) -> Plot | None:
    """Against capacitance, or against resistance when a resistor is chosen."""
    if not basis.sources:
        return None
    chosen, value = part.part if part else None, None
    match chosen:
        case SuppressionCapacitor():
            value = chosen.capacitance_f.typical * chosen.count
        case Resistor():
            value = chosen.total_ohm.typical / chosen.count
        case LoadModule():
            value = chosen.resistance_ohm.typical / chosen.count
    curve = (resistor_curve if isinstance(chosen, Resistor | LoadModule) else capacitor_curve)(
        basis.sources, given
    )
    marked = None
    if value is not None and chosen is not None and row:
        marked = (value, table.compared(chosen, basis.sources, given).evaluation.lamp_v.typical)
    return Plot(
        unit=curve.unit,
        points=_points(curve),
        glow_low_v=curve.glow_v.low,
        glow_high_v=curve.glow_v.high,
        chosen=marked,
        chosen_name=row.brief if row and marked else "",
    )


def _points(curve: Curve) -> tuple[tuple[float, float, float, float], ...]:
    return tuple((p.value, p.lamp_v.low, p.lamp_v.typical, p.lamp_v.high) for p in curve.points)
