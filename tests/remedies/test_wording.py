"""A load in a few words: for a cell of the grid, a label, a sheet."""

from decimal import Decimal

import pytest

from remedies.enums import Connection, LoadKind
from remedies.models import ParallelLoad

DECIMALS = ("capacitance_uf", "resistance_ohm", "discharge_resistor_ohm", "rated_power_w")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {"kind": LoadKind.CAPACITOR, "capacitor_class": "X2", "capacitance_uf": "0.1", "count": 2},
            "2 × X2 0.1 µF",
        ),
        ({"kind": LoadKind.CAPACITOR}, "capacitor"),
        (
            {"kind": LoadKind.CAPACITOR, "capacitance_uf": "0.47", "discharge_resistor_ohm": "1000000"},
            "capacitor 0.47 µF with 1 MΩ",
        ),
        ({"kind": LoadKind.NEON, "resistance_ohm": "220000"}, "neon 220 kΩ"),
        ({"kind": LoadKind.INDICATOR}, "indicator neon"),
        (
            {"kind": LoadKind.RESISTOR, "resistance_ohm": "47000", "resistors_in_series": 2},
            "resistor 2 × 47 kΩ in series",
        ),
        (
            {"kind": LoadKind.RC_NETWORK, "resistance_ohm": "100", "capacitance_uf": "0.1"},
            "RC 100 Ω + 0.1 µF",
        ),
        ({"kind": LoadKind.TRANSFORMER, "rated_power_w": "50", "count": 6}, "6 × transformer 50 VA"),
        ({"kind": LoadKind.LOAD_MODULE, "rated_power_w": "7.5"}, "load module 7.5 W"),
        ({"kind": LoadKind.SURGE, "rated_voltage_v": 275}, "surge protection 275 V"),
        (
            {"kind": LoadKind.CAPACITOR, "capacitor_class": "Y2", "connection": Connection.L_E},
            "Y2 L-E",
        ),
        ({"kind": LoadKind.NEON, "connection": Connection.SWITCHED_L_N}, "neon"),
        ({"kind": LoadKind.UNKNOWN}, "unknown load"),
    ],
)
def test_a_load_in_brief(fields, words):
    numbers = {name: Decimal(fields[name]) for name in DECIMALS if name in fields}

    assert ParallelLoad(**{**fields, **numbers}).in_brief() == words


@pytest.mark.parametrize("kind", LoadKind)
def test_every_kind_has_brief_words(kind):
    assert ParallelLoad(kind=kind).in_brief()
