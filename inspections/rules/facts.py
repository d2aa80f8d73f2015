"""What the checks are given: plain facts and readings, no record behind them.

Field names that are columns of the schedules are spelled as in ``inspections.columns``. Everything optional
may be None, empty or blank; a check that lacks its facts stays silent or says what it lacks.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from inspections.rules.edition import Edition
from inspections.rules.readings import BLANK, Reading


class Earthing(StrEnum):
    """Earthing arrangement of the supply."""

    TN_S = "TN-S"
    TN_C_S = "TN-C-S"
    TT = "TT"


class Serves(StrEnum):
    """What a circuit feeds, as far as its disconnection time asks."""

    SOCKET_OUTLETS = "socket-outlets"
    FIXED_EQUIPMENT = "fixed equipment only"
    DISTRIBUTION = "distribution circuit"


class Waveform(StrEnum):
    """The hardest residual current that the load can cause, in the order of RCD types AC, A, F, B."""

    SINUSOIDAL = "sinusoidal"
    PULSATING = "pulsating d.c."
    COMPOSITE = "composite frequencies"
    SMOOTH = "smooth d.c."


class Conductor(StrEnum):
    COPPER = "copper"
    ALUMINIUM = "aluminium"


class ConductorInsulation(StrEnum):
    THERMOPLASTIC = "thermoplastic 70 °C"
    THERMOSETTING = "thermosetting 90 °C"


_NO_RCD = re.compile(r"[\s\-–—]*|n/?a|n/?v|lim|none|no|nil", re.IGNORECASE)
_SPARE = re.compile(r"\W*spare\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class CircuitFacts:
    """A circuit as it is built.

    phase: L1, L2, L3, or empty. length_m: cable run from the board to the furthest point; of a ring, the
    whole ring. flexible: fine-stranded conductors (class 5). conductor_temperature_c: of the conductors while
    continuity was measured. cpc_in_cable: False where the cpc runs separately. equipment_connected: True
    where equipment stayed connected for the insulation test. standing_leakage_ma: protective conductor
    current in normal service. waveform: hardest residual current of the load.
    """

    designation: str = ""
    description: str = ""
    wiring_type: str = ""
    reference_method: str = ""
    points: int | None = None
    live_csa_mm2: Decimal | None = None
    cpc_csa_mm2: Decimal | None = None
    disconnection_time_s: Decimal | None = None
    device_standard: str = ""
    device_type: str = ""
    device_rating_a: Decimal | None = None
    breaking_capacity_ka: Decimal | None = None
    max_zs_ohm: Decimal | None = None
    rcd_standard: str = ""
    rcd_type: str = ""
    rcd_residual_ma: Decimal | None = None
    rcd_rating_a: Decimal | None = None
    ring: bool = False
    phase: str = ""
    three_phase: bool = False
    nominal_voltage_v: Decimal | None = None
    is_selv_or_pelv: bool = False
    serves: Serves | None = None
    serves_lighting: bool | None = None
    has_afdd: bool = False
    length_m: Decimal | None = None
    conductor: Conductor = Conductor.COPPER
    flexible: bool = False
    conductor_insulation: ConductorInsulation | None = None
    cpc_in_cable: bool = True
    conductor_temperature_c: Decimal | None = None
    design_current_a: Decimal | None = None
    equipment_connected: bool | None = None
    standing_leakage_ma: Decimal | None = None
    waveform: Waveform | None = None

    @property
    def is_spare(self) -> bool:
        """A way called spare that serves no point: there is nothing to test."""
        return not self.points and _SPARE.match(self.description) is not None

    @property
    def names_rcd(self) -> bool:
        """Whether an RCD is written down for the circuit; “N/A”, “none” or a dash is no RCD."""
        return bool(self.rcd_residual_ma) or any(
            _NO_RCD.fullmatch(text) is None for text in (self.rcd_standard, self.rcd_type)
        )


@dataclass(frozen=True, slots=True)
class CircuitReadings:
    """The readings of one circuit at one inspection. ir_voltage_v is the test voltage, d.c."""

    r1: Reading = BLANK
    rn: Reading = BLANK
    r2: Reading = BLANK
    r1_r2: Reading = BLANK
    r2_only: Reading = BLANK
    ir_voltage_v: Decimal | None = None
    ir_live_live: Reading = BLANK
    ir_live_earth: Reading = BLANK
    polarity: Reading = BLANK
    zs: Reading = BLANK
    rcd_trip_ms: Reading = BLANK
    rcd_button: Reading = BLANK
    afdd_button: Reading = BLANK
    instrument_group: str = ""
    remarks: str = ""


READING_COLUMNS = (
    "r1",
    "rn",
    "r2",
    "r1_r2",
    "r2_only",
    "ir_live_live",
    "ir_live_earth",
    "polarity",
    "zs",
    "rcd_trip_ms",
    "rcd_button",
    "afdd_button",
)
TICK_COLUMNS = frozenset({"polarity", "rcd_button", "afdd_button"})


@dataclass(frozen=True, slots=True)
class SupplyFacts:
    """The supply at the origin. u0_v: nominal line-to-earth voltage; ze_ohm and ipf_ka as measured there."""

    earthing: Earthing | None = None
    three_phase: bool = False
    u0_v: Decimal | None = None
    frequency_hz: Decimal | None = None
    ze_ohm: Reading = BLANK
    ipf_ka: Reading = BLANK


@dataclass(frozen=True, slots=True)
class BoardFacts:
    """A distribution board as measured: Zs and Ipf at the board, and the insulation of the whole board."""

    designation: str = ""
    three_phase: bool = False
    zdb_ohm: Reading = BLANK
    ipf_ka: Reading = BLANK
    ir_voltage_v: Decimal | None = None
    ir_live_live: Reading = BLANK
    ir_live_earth: Reading = BLANK


@dataclass(frozen=True, slots=True)
class InstrumentFacts:
    """An instrument on the day. insulation_range_top_mohm: highest it shows, where it tests insulation."""

    name: str
    calibrated_until: date | None = None
    insulation_range_top_mohm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PastResult:
    """The readings of the same circuit at an earlier inspection, and the edition that they were held to."""

    on: date
    readings: CircuitReadings
    ze_ohm: Reading = BLANK
    edition: Edition | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """Everything one circuit is judged by.

    covered: the columns of this circuit that a limitation of the inspection covers. on: the day of the test,
    needed only to compare with ``past``.
    """

    circuit: CircuitFacts
    readings: CircuitReadings
    edition: Edition
    supply: SupplyFacts = SupplyFacts()
    board: BoardFacts = BoardFacts()
    covered: frozenset[str] = frozenset()
    instruments: tuple[InstrumentFacts, ...] = ()
    past: tuple[PastResult, ...] = ()
    on: date | None = None

    @property
    def source_impedance(self) -> Reading:
        """Loop impedance where the circuit begins: Zs at the board, or Ze where that was not measured."""
        return self.board.zdb_ohm if self.board.zdb_ohm.is_measured else self.supply.ze_ohm


def positive(number: Decimal | None) -> Decimal | None:
    """The number if it is above zero and finite, else None: nothing can be worked out from the rest."""
    return number if number is not None and number.is_finite() and number > 0 else None
