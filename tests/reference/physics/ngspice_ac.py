"""Runs a small-signal analysis at one frequency in ngspice."""

from tests.reference.physics.ngspice import simulate


def simulate_ac(lines: str, frequency_hz: float, **expressions: str) -> dict[str, float]:
    """The value of each expression at one frequency; ``lines`` are the elements, without title and end."""
    shown = "".join(f"let {name} = {what}\nprint {name}\n" for name, what in expressions.items())
    return simulate(
        f"small-signal analysis\n{lines}\n.control\nset numdgt=9\nac lin 1 {frequency_hz} {frequency_hz}\n"
        f"{shown}quit\n.endc\n.end\n"
    )
