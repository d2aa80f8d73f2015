"""Conductor resistances, temperature and k against published tables and their own physics."""

from decimal import Decimal
from math import log, sqrt

import pytest

from inspections.rules import continuity, tables
from inspections.rules.edition import load
from inspections.rules.facts import CircuitFacts
from inspections.rules.thermal import least_csa_mm2

# IEC 60228:2004, plain copper, Ω/km at 20 °C.
SIZES = ["0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120"]
CLASS_1_2 = [
    "36.0",
    "24.5",
    "18.1",
    "12.1",
    "7.41",
    "4.61",
    "3.08",
    "1.83",
    "1.15",
    "0.727",
    "0.524",
    "0.387",
    "0.268",
    "0.193",
    "0.153",
]
CLASS_5 = [
    "39.0",
    "26.0",
    "19.5",
    "13.3",
    "7.98",
    "4.95",
    "3.30",
    "1.91",
    "1.21",
    "0.780",
    "0.554",
    "0.386",
    "0.272",
    "0.206",
    "0.161",
]

# IET On-Site Guide, R1+R2 in mΩ/m at 20 °C by line and cpc.
R1_R2 = {
    "1/1": "36.20", "1.5/1": "30.20", "1.5/1.5": "24.20", "2.5/1": "25.51", "2.5/1.5": "19.51",
    "2.5/2.5": "14.82", "4/1.5": "16.71", "4/2.5": "12.02", "4/4": "9.22", "6/2.5": "10.49", "6/4": "7.69",
    "6/6": "6.16", "10/4": "6.44", "10/6": "4.91", "10/10": "3.66", "16/6": "4.23", "16/10": "2.98",
    "16/16": "2.30", "25/10": "2.557", "25/16": "1.877",
}  # fmt: skip


@pytest.mark.parametrize(("flexible", "printed"), [(False, CLASS_1_2), (True, CLASS_5)])
def test_resistance_of_copper_by_size(flexible, printed):
    circuit = CircuitFacts(flexible=flexible)
    ours = [continuity.resistance_mohm_per_m(circuit, Decimal(size)) for size in SIZES]
    assert ours == [Decimal(value) for value in printed]


@pytest.mark.parametrize(("pair", "mohm_per_m"), R1_R2.items())
def test_r1_r2_of_one_metre(pair, mohm_per_m):
    live, cpc = (Decimal(size) for size in pair.split("/"))
    one_metre = CircuitFacts(live_csa_mm2=live, cpc_csa_mm2=cpc, length_m=Decimal(1))
    assert continuity.by_length(one_metre).ohm == Decimal(mohm_per_m) / 1000


# IET On-Site Guide, factors for ambient temperature; 70 and 90 °C, IEC 60228 factors inverted.
@pytest.mark.parametrize(
    ("celsius", "factor"),
    [(5, "0.94"), (10, "0.96"), (15, "0.98"), (20, "1.00"), (25, "1.02"), (30, "1.04"),
     (70, "1.20"), (90, "1.28")],
)  # fmt: skip
def test_temperature_factor(celsius, factor):
    assert tables.temperature_factor(Decimal(celsius)) == Decimal(factor)


@pytest.mark.parametrize("celsius", range(-10, 91, 10))
def test_temperature_factor_follows_copper(celsius):
    """Copper goes as (234.5 + t) ÷ 254.5; the round factor 0.004 stays within half a per cent of it."""
    exact = (234.5 + celsius) / 254.5
    assert float(tables.temperature_factor(Decimal(celsius))) == pytest.approx(exact, rel=0.005)


# IEC 60364-5-54 Annex A: k = √(Qc·(β + 20)/ρ20 · ln(1 + (θf − θi)/(β + θi))): copper 226 and β 234.5,
# aluminium 148 and β 228. A cpc in a cable starts at the temperature of the cable, a separate one at 30 °C;
# the end is 160 °C for thermoplastic and 250 °C for thermosetting. The tables print whole numbers.
@pytest.mark.parametrize(
    ("conductor", "insulation", "in_cable", "start", "end"),
    [
        ("copper", "thermoplastic 70 °C", True, 70, 160),
        ("copper", "thermosetting 90 °C", True, 90, 250),
        ("aluminium", "thermoplastic 70 °C", True, 70, 160),
        ("aluminium", "thermosetting 90 °C", True, 90, 250),
        ("copper", "thermoplastic 70 °C", False, 30, 160),
        ("copper", "thermosetting 90 °C", False, 30, 250),
    ],
)  # fmt: skip
def test_k_follows_from_adiabatic_heating(conductor, insulation, in_cable, start, end):
    factor, beta = {"copper": (226, 234.5), "aluminium": (148, 228)}[conductor]
    by_formula = factor * sqrt(log(1 + (end - start) / (beta + start)))
    wanted = (conductor, insulation, in_cable)
    rows = load("bs7671_2018_a2_2022").thermal
    (row,) = [row for row in rows if (row.conductor, row.insulation, row.in_cable) == wanted]
    assert float(row.k) == pytest.approx(by_formula, abs=0.6)


def test_adiabatic_equation_by_hand():
    """2000 A for 0.2 s in a cpc of k = 143: √(2000² × 0.2) ÷ 143 = 894.4 ÷ 143 = 6.25 mm²."""
    assert f"{least_csa_mm2(Decimal(2000), Decimal('0.2'), Decimal(143)):.2f}" == "6.25"


def test_tester_holds_its_voltage_down_to_1_ma():
    """IEC 61557-2, 6.4: at least 1 mA at the nominal voltage; operating uncertainty within 30 %."""
    known = tables.load()
    assert known.insulation_rated_current_ma.number == 1
    assert known.insulation_uncertainty.number == Decimal("0.3")
