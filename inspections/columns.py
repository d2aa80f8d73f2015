"""The columns of the two schedules, in order: the one list that the results grid, spreadsheet intake, the PDF
and the workbook all read. A column added here appears in all four.

``name`` is the field of Circuit (details) or CircuitResult (results) that the column holds. The columns
follow what the model schedules of BS 7671:2018+A2:2022 Appendix 6 ask for; the arrangement and the short
headings are ours.
"""

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    TEXT = "text"
    WHOLE = "whole number"
    DECIMAL = "decimal"
    READING = "reading"  # a number in the reading notation
    TICK = "tick"  # ✓, ✗, LIM, N/V or N/A


UNITS_SPOKEN = {
    "Ω": "ohm", "MΩ": "megohm", "mm²": "square millimetres", "A": "amperes", "kA": "kiloamperes",
    "mA": "milliamperes", "V": "volts", "s": "seconds", "ms": "milliseconds",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a schedule, or of another sheet.

    name: model field. heading: short heading. unit: unit printed in the heading, or empty. group: the
    heading above it. meaning: what it is, for help. width_mm: its width on landscape A4. spellings: other
    headings that mean it when a spreadsheet comes in, in lower case without units.
    """

    name: str
    heading: str
    kind: Kind = Kind.TEXT
    group: str = ""
    meaning: str = ""
    unit: str = ""
    width_mm: float = 9
    spellings: tuple[str, ...] = ()

    @property
    def spoken(self) -> str:
        """Heading and unit as they are read aloud, e.g. ``Zs, ohm``."""
        return f"{self.heading}, {UNITS_SPOKEN[self.unit]}" if self.unit else self.heading

    @property
    def title(self) -> str:
        """Heading with its unit, e.g. ``Zs (Ω)``."""
        return f"{self.heading} ({self.unit})" if self.unit else self.heading


CIRCUIT, CONDUCTORS, DEVICE, RCD = "Circuit", "Conductors", "Protective device", "RCD"
RING, CONTINUITY, INSULATION, LIVE = "Ring final", "Continuity", "Insulation resistance", "Live tests"

DETAILS: tuple[Column, ...] = (
    Column(
        "designation",
        "No.",
        Kind.TEXT,
        CIRCUIT,
        "Way of the board, and the phase where it has several",
        width_mm=11,
        spellings=(
            "circuit",
            "circuit no",
            "circuit number",
            "circuit ref",
            "circuit reference",
            "ref",
            "way",
            "no",
            "number",
            "cct",
            "cct no",
            "circuit designation",
        ),
    ),
    Column(
        "description",
        "Description",
        Kind.TEXT,
        CIRCUIT,
        "What the circuit serves",
        width_mm=52,
        spellings=("circuit description", "designation", "name", "serving", "circuit name"),
    ),
    Column(
        "wiring_type",
        "Wiring",
        Kind.TEXT,
        CIRCUIT,
        "Type of wiring, by the code the sheet’s key explains",
        width_mm=11,
        spellings=("wiring type", "type of wiring", "wiring code"),
    ),
    Column(
        "reference_method",
        "Ref. method",
        Kind.TEXT,
        CIRCUIT,
        "Installation reference method",
        width_mm=13,
        spellings=("reference method", "ref method", "method", "installation method"),
    ),
    Column(
        "points",
        "Points",
        Kind.WHOLE,
        CIRCUIT,
        "Number of points served",
        width_mm=11,
        spellings=("points served", "no of points", "number of points", "number of points served", "pts"),
    ),
    Column(
        "live_csa_mm2",
        "Live",
        Kind.DECIMAL,
        CONDUCTORS,
        "Cross-sectional area of the live conductors",
        "mm²",
        11,
        ("live csa", "line", "line csa", "l", "live conductor", "live conductors", "phase csa"),
    ),
    Column(
        "cpc_csa_mm2",
        "cpc",
        Kind.DECIMAL,
        CONDUCTORS,
        "Cross-sectional area of the cpc",
        "mm²",
        11,
        ("cpc csa", "earth", "earth csa", "cpc conductor"),
    ),
    Column(
        "disconnection_time_s",
        "Disc. time",
        Kind.DECIMAL,
        DEVICE,
        "Disconnection time required",
        "s",
        12,
        ("disconnection time", "max disconnection time", "maximum disconnection time", "disconnection"),
    ),
    Column(
        "device_standard",
        "Standard",
        Kind.TEXT,
        DEVICE,
        "Standard of the protective device",
        width_mm=18,
        spellings=(
            "bs en",
            "bs",
            "device standard",
            "bs (en)",
            "device bs en",
            "ocpd bs en",
            "ocpd standard",
            "protective device standard",
            "overcurrent device bs en",
            "device",
        ),
    ),
    Column(
        "device_type",
        "Type",
        Kind.TEXT,
        DEVICE,
        "Type of the protective device",
        width_mm=10,
        spellings=("device type", "ocpd type", "protective device type", "curve"),
    ),
    Column(
        "device_rating_a",
        "Rating",
        Kind.DECIMAL,
        DEVICE,
        "Rated current of the protective device",
        "A",
        12,
        ("device rating", "rated current", "in", "ocpd rating", "protective device rating", "current rating"),
    ),
    Column(
        "breaking_capacity_ka",
        "Breaking cap.",
        Kind.DECIMAL,
        DEVICE,
        "Rated breaking capacity",
        "kA",
        14,
        (
            "breaking capacity",
            "short-circuit capacity",
            "short circuit capacity",
            "icn",
            "rated breaking capacity",
            "capacity",
        ),
    ),
    Column(
        "max_zs_ohm",
        "Max Zs",
        Kind.DECIMAL,
        DEVICE,
        "Maximum permitted earth fault loop impedance",
        "Ω",
        13,
        (
            "maximum zs",
            "maximum permitted zs",
            "max permitted zs",
            "permitted zs",
            "zs max",
            "zs limit",
            "max permitted",
        ),
    ),
    Column(
        "rcd_standard",
        "Standard",
        Kind.TEXT,
        RCD,
        "Standard of the RCD",
        width_mm=18,
        spellings=("rcd bs en", "rcd standard", "rcd bs", "bs en"),
    ),
    Column(
        "rcd_type",
        "Type",
        Kind.TEXT,
        RCD,
        "Type of the RCD: AC, A, F or B, and S where delayed",
        width_mm=10,
        spellings=("rcd type",),
    ),
    Column(
        "rcd_residual_ma",
        "IΔn",
        Kind.DECIMAL,
        RCD,
        "Rated residual operating current",
        "mA",
        11,
        (
            "idn",
            "i∆n",
            "iδn",
            "in",
            "rcd idn",
            "rated residual current",
            "residual current",
            "rcd iδn",
            "rcd rating ma",
            "operating current",
            "sensitivity",
        ),
    ),
    Column(
        "rcd_rating_a",
        "Rating",
        Kind.DECIMAL,
        RCD,
        "Rated current of the RCD",
        "A",
        12,
        ("rcd rating", "rcd rated current", "rating"),
    ),
)

RESULTS: tuple[Column, ...] = (
    Column(
        "r1",
        "r1",
        Kind.READING,
        RING,
        "Line conductor, end to end",
        "Ω",
        13,
        ("r1 line", "ring r1", "r1 end to end", "line r1"),
    ),
    Column(
        "rn",
        "rn",
        Kind.READING,
        RING,
        "Neutral conductor, end to end",
        "Ω",
        13,
        ("rn neutral", "ring rn", "rn end to end", "neutral rn"),
    ),
    Column(
        "r2",
        "r2",
        Kind.READING,
        RING,
        "cpc, end to end",
        "Ω",
        13,
        ("r2 cpc", "ring r2", "r2 end to end", "cpc r2"),
    ),
    Column(
        "r1_r2",
        "R1+R2",
        Kind.READING,
        CONTINUITY,
        "Line and cpc in series, at the far end",
        "Ω",
        14,
        ("r1 + r2", "r1r2", "r1 and r2", "(r1+r2)"),
    ),
    Column(
        "r2_only",
        "R2",
        Kind.READING,
        CONTINUITY,
        "cpc alone, by the long-lead method",
        "Ω",
        13,
        ("r2 only", "cpc r2 only", "r2 long lead"),
    ),
    Column(
        "ir_voltage_v",
        "Test V",
        Kind.WHOLE,
        INSULATION,
        "Insulation test voltage, d.c.",
        "V",
        12,
        ("test voltage", "ir test voltage", "insulation test voltage", "ir voltage", "voltage", "test volts"),
    ),
    Column(
        "ir_live_live",
        "Live-live",
        Kind.READING,
        INSULATION,
        "Insulation resistance between live conductors",
        "MΩ",
        16,
        (
            "l-l",
            "l-n",
            "live - live",
            "live to live",
            "ir live-live",
            "ir l-l",
            "ir l-n",
            "line-neutral",
            "insulation live-live",
            "live/live",
            "l/n",
        ),
    ),
    Column(
        "ir_live_earth",
        "Live-earth",
        Kind.READING,
        INSULATION,
        "Insulation resistance of live conductors to earth",
        "MΩ",
        17,
        (
            "l-e",
            "live - earth",
            "live to earth",
            "ir live-earth",
            "ir l-e",
            "insulation live-earth",
            "live/earth",
            "l/e",
            "l-pe",
            "live-pe",
        ),
    ),
    Column(
        "polarity",
        "Polarity",
        Kind.TICK,
        LIVE,
        "Polarity correct throughout",
        width_mm=13,
        spellings=("polarity correct", "polarity ok", "polarity confirmed", "pol"),
    ),
    Column(
        "zs",
        "Zs",
        Kind.READING,
        LIVE,
        "Maximum measured earth fault loop impedance",
        "Ω",
        13,
        (
            "measured zs",
            "zs measured",
            "max measured zs",
            "maximum measured zs",
            "loop impedance",
            "earth fault loop impedance",
            "efli",
        ),
    ),
    Column(
        "rcd_trip_ms",
        "RCD time",
        Kind.READING,
        LIVE,
        "RCD trip time at its rated residual current",
        "ms",
        14,
        (
            "rcd trip time",
            "trip time",
            "rcd ms",
            "rcd trip",
            "disconnection time rcd",
            "time",
            "trip",
            "rcd operating time",
            "operating time",
        ),
    ),
    Column(
        "rcd_button",
        "RCD button",
        Kind.TICK,
        LIVE,
        "RCD trips by its own test button",
        width_mm=14,
        spellings=("rcd test button", "rcd test", "test button", "rcd button operation"),
    ),
    Column(
        "afdd_button",
        "AFDD button",
        Kind.TICK,
        LIVE,
        "AFDD trips by its own test button",
        width_mm=15,
        spellings=("afdd test button", "afdd test", "afdd", "afdd button operation"),
    ),
    Column(
        "instrument_group",
        "Instr.",
        Kind.TEXT,
        LIVE,
        "Which group of instruments was used",
        width_mm=11,
        spellings=("instrument group", "instruments", "test instrument", "instrument", "tester"),
    ),
    Column(
        "remarks",
        "Remarks",
        Kind.TEXT,
        "",
        "Anything the next reader should know",
        width_mm=48,
        spellings=("comments", "notes", "comment", "remark", "observations"),
    ),
)

BY_NAME: dict[str, Column] = {column.name: column for column in DETAILS + RESULTS}
VISUAL = "visual"  # not a column: the visual inspection, where a limitation says what was not done
READINGS: tuple[Column, ...] = tuple(c for c in RESULTS if c.kind in (Kind.READING, Kind.TICK))
# What a limitation may say was not done, and its heading.
TESTS: dict[str, str] = {column.name: column.heading for column in READINGS} | {VISUAL: "Visual inspection"}
