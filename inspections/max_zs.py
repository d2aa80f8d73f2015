"""The maximum permitted Zs of a circuit: worked out, and beside it what was set by hand."""

from dataclasses import dataclass
from decimal import Decimal

from inspections import checking
from inspections.models import Circuit, Inspection
from inspections.rules import edition as editions
from inspections.rules import loop
from inspections.rules.figures import two_places, two_places_down
from inspections.rules.loop import CannotTell, MaxZs


@dataclass(frozen=True)
class Permitted:
    """typed: what was set by hand, in Ω. limit: what is worked out, or why it cannot be."""

    typed: Decimal | None
    limit: MaxZs | CannotTell

    @property
    def worked_out(self) -> MaxZs | None:
        return self.limit if isinstance(self.limit, MaxZs) else None

    @property
    def shown(self) -> str:
        """The figure worked out, to two decimals; empty where there is none."""
        return two_places(self.limit.ohm) if isinstance(self.limit, MaxZs) else ""

    @property
    def cold(self) -> str:
        """The figure for a reading taken with the cable cold; empty where there is none."""
        cold = self.worked_out and self.worked_out.cold_ohm
        return two_places_down(cold) if cold else ""

    @property
    def words(self) -> str:
        """Both figures, and whether they agree, in one sentence without its point.

        >>> Permitted(Decimal("1.20"), CannotTell("the rating is not given")).words
        'set by hand to 1.20 Ω; it cannot be worked out: the rating is not given'
        """
        if isinstance(self.limit, CannotTell):
            if self.typed is None:
                return f"not calculated: {self.limit.reason}"
            return f"set by hand to {self.typed} Ω; it cannot be calculated: {self.limit.reason}"
        if self.typed is None:
            return f"{self.shown} Ω, calculated"
        if two_places(self.typed) == self.shown:
            return f"{self.shown} Ω, set by hand; calculated the same"
        return f"set by hand to {self.typed} Ω; calculated {self.shown} Ω"

    @property
    def differs(self) -> bool:
        """Whether what was set by hand is not what is worked out."""
        return self.typed is not None and bool(self.shown) and two_places(self.typed) != self.shown

    @property
    def advice(self) -> str:
        """What the field for setting it by hand says beside itself."""
        if isinstance(self.limit, CannotTell):
            return f"Empty: calculated from the device, once it can be: {self.limit.reason}."
        return f"Empty: {self.shown} Ω is used, calculated from the device ({self.limit.working})."

    @property
    def reference(self) -> str:
        """Source and clause of the figure worked out."""
        if self.worked_out is None:
            return ""
        source = self.worked_out.source
        where = ", ".join(part for part in (source.publication, source.clause) if part)
        return f"{where} (value from memory)" if source.from_memory else where


def permitted(circuit: Circuit) -> Permitted:
    """By the rule set that the installation names now; an inspection is held to the edition it began with."""
    installation = circuit.board.installation
    limit = loop.max_zs(
        checking.circuit_facts(circuit, installation),
        checking.supply_facts(Inspection(installation=installation)),
        editions.load(installation.rule_set),
    )
    return Permitted(circuit.max_zs_ohm, limit)
