"""Largest permitted Zs against the printed tables, copied here by hand and not from the edition's file.

BS 7671:2018+A2:2022: Table 41.3 (circuit breakers, RCBOs), Tables 41.2 and 41.4 (fuses, U0 = 230 V, Cmin
included), Table 41.5 (RCDs). BS 1361: BS 7671:2008 multiplied by 0.95.
"""

from decimal import ROUND_DOWN, Decimal

import pytest

from inspections.rules.edition import load
from inspections.rules.facts import CircuitFacts, Earthing, SupplyFacts
from inspections.rules.figures import two_places, two_places_down
from inspections.rules.loop import CannotTell, MaxZs, max_zs

TN = SupplyFacts(Earthing.TN_S, u0_v=Decimal(230))

BREAKER_A = (3, 6, 10, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125)
BREAKERS = {
    "B": "14.57 7.28 4.37 2.73 2.19 1.75 1.37 1.09 0.87 0.69 0.55 0.44 0.35",
    "C": "– 3.64 2.19 1.37 1.09 0.87 0.68 0.55 0.44 0.35 0.27 0.22 0.17",
    "D": "– 1.82 1.09 0.68 0.55 0.44 0.34 0.27 0.22 0.17 0.14 0.11 0.09",
}
# 0.8 of the unrounded figure, cut to two decimals: BS 7671 Appendix 3.
BREAKERS_COLD = {
    "B": "11.65 5.82 3.49 2.18 1.74 1.39 1.09 0.87 0.69 0.55 0.43 0.34 0.27",
    "C": "– 2.91 1.74 1.09 0.87 0.69 0.54 0.43 0.34 0.27 0.21 0.17 0.13",
    "D": "– 1.45 0.87 0.54 0.43 0.34 0.27 0.21 0.17 0.13 0.10 0.08 0.06",
}
# Rating: 0.4 s / 5 s.
FUSES = {
    "BS 88-2": (
        "2 33.10/44.00 4 15.60/21.00 6 7.80/12.00 10 4.65/6.80 16 2.43/4.00 20 1.68/2.80 25 1.29/2.20 "
        "32 0.99/1.70 40 0.75/1.30 50 0.57/0.99 63 0.44/0.78 80 –/0.55 100 –/0.42 125 –/0.32 160 –/0.27 "
        "200 –/0.18"
    ),
    "BS 88-3": (
        "5 9.93/14.60 16 2.30/3.90 20 1.93/3.20 32 0.91/1.60 45 0.57/1.00 63 0.36/0.68 80 –/0.51 100 –/0.38"
    ),
    "BS 3036": "5 9.10/16.80 15 2.43/5.08 20 1.68/3.64 30 1.04/2.51 45 0.56/1.51 60 0.40/1.07 100 –/0.51",
    "BS 1362": "3 15.60/22.00 13 2.30/3.64",
}
# BS 7671:2008, before the factor 0.95; the 5 s values are from memory.
FUSES_2008 = {
    "BS 1361": "5 10.45/16.4 15 3.28/5.00 20 1.70/2.80 30 1.15/1.84 45 –/0.96 60 –/0.70 80 –/0.50 100 –/0.36",
}


def limit(standard: str, device_type: str, rating: Decimal, seconds: str, supply: SupplyFacts = TN):
    circuit = CircuitFacts(
        device_standard=standard,
        device_type=device_type,
        device_rating_a=rating,
        disconnection_time_s=Decimal(seconds),
    )
    return max_zs(circuit, supply, load("bs7671_2018_a2_2022"))


def breaker_rows(table):
    for device_type, row in table.items():
        for rating, printed in zip(BREAKER_A, row.split(), strict=True):
            if printed != "–":
                yield pytest.param(device_type, Decimal(rating), printed, id=f"{device_type}{rating}")


def fuse_rows(tables):
    for standard, text in tables.items():
        words = text.split()
        for rating, pair in zip(words[::2], words[1::2], strict=True):
            for seconds, printed in zip(("0.4", "5"), pair.split("/"), strict=True):
                yield pytest.param(
                    standard, Decimal(rating), seconds, printed, id=f"{standard} {rating} {seconds}s"
                )


@pytest.mark.parametrize("standard", ["60898", "61009"])
@pytest.mark.parametrize(("device_type", "rating", "printed"), list(breaker_rows(BREAKERS)))
def test_breakers_at_0_4_s_as_printed(standard, device_type, rating, printed):
    assert two_places(limit(standard, device_type, rating, "0.4").ohm) == printed


@pytest.mark.parametrize(("device_type", "rating", "printed"), list(breaker_rows(BREAKERS_COLD)))
def test_breakers_measured_cold(device_type, rating, printed):
    assert two_places_down(limit("60898", device_type, rating, "0.4").cold_ohm) == printed


@pytest.mark.parametrize("standard", ["60898", "61009"])
@pytest.mark.parametrize(("device_type", "rating", "printed"), list(breaker_rows({"D": BREAKERS["C"]})))
def test_type_d_at_5_s_has_the_values_of_type_c(standard, device_type, rating, printed):
    assert two_places(limit(standard, device_type, rating, "5").ohm) == printed


@pytest.mark.parametrize("device_type", ["B", "C"])
def test_types_b_and_c_have_one_value_for_both_times(device_type):
    rating = Decimal(32)
    assert limit("60898", device_type, rating, "5").ohm == limit("60898", device_type, rating, "0.4").ohm


@pytest.mark.parametrize(("standard", "rating", "seconds", "printed"), list(fuse_rows(FUSES)))
def test_fuses_as_printed(standard, rating, seconds, printed):
    it = limit(standard, "", rating, seconds)
    if printed == "–":
        assert isinstance(it, CannotTell)
    else:
        assert two_places(it.ohm) == printed
        assert it.cold_ohm == it.ohm * Decimal("0.8")


@pytest.mark.parametrize(("standard", "rating", "seconds", "printed"), list(fuse_rows(FUSES_2008)))
def test_fuses_of_bs_1361_by_the_tables_of_2008(standard, rating, seconds, printed):
    it = limit(standard, "", rating, seconds)
    if printed == "–":
        assert isinstance(it, CannotTell)
    else:
        assert it.ohm == Decimal(printed) * Decimal("0.95")
        assert it.source.from_memory == (seconds == "5")


def test_fuse_tables_hold_no_rating_that_is_not_printed():
    printed = {
        (standard, seconds): {
            Decimal(rating)
            for rating, pair in zip(text.split()[::2], text.split()[1::2], strict=True)
            if pair.split("/")[place] != "–"
        }
        for standard, text in (FUSES | FUSES_2008).items()
        for place, seconds in enumerate((Decimal("0.4"), Decimal(5)))
    }
    edition = load("bs7671_2018_a2_2022")
    ours = {
        (kind.standard, table.seconds): set(table.ohm) for kind in edition.devices for table in kind.tables
    }
    assert ours == printed


@pytest.mark.parametrize(
    ("device_type", "multiple"), [("1", 4), ("2", 7), ("3", 10), ("B", 5), ("C", 10), ("D", 20)]
)
def test_breakers_of_bs_3871_trip_at_their_multiple(device_type, multiple):
    """BS 3871 types 1 to 3 and B, C, D: value from memory."""
    it = limit("3871", device_type, Decimal(30), "0.4")
    assert it.ohm == Decimal(230) * Decimal("0.95") / (multiple * 30)
    assert it.source.from_memory


# Table 41.5; 10, 300 and 500 mA follow from 50 V ÷ IΔn.
@pytest.mark.parametrize(
    ("residual_ma", "printed"), [(10, 5000), (30, 1667), (100, 500), (300, 167), (500, 100)]
)
def test_rcds_on_tt_as_printed(residual_ma, printed):
    circuit = CircuitFacts(rcd_residual_ma=Decimal(residual_ma))
    it = max_zs(circuit, SupplyFacts(Earthing.TT, u0_v=Decimal(230)), load("bs7671_2018_a2_2022"))
    assert isinstance(it, MaxZs)
    assert round(it.ohm) == printed


def test_32_a_type_b_by_hand():
    """Worked example: 230 × 0.95 ÷ 160 = 1.37 Ω (IET On-Site Guide method)."""
    it = limit("60898", "B", Decimal(32), "0.4")
    assert it.working == "230 × 0.95 ÷ (5 × 32) = 1.37 Ω"


def test_20_a_bs_88_3_by_its_operating_current():
    """Worked example: 113 A makes it operate in 0.4 s; 230 ÷ 113 = 2.04 Ω, × 0.95 = 1.93 Ω."""
    it = limit("BS 88-3", "", Decimal(20), "0.4")
    assert two_places(Decimal(230) / 113) == "2.04"
    assert two_places(Decimal(230) / 113 * Decimal("0.95")) == two_places(it.ohm)


def test_32_a_bs_88_3_measured_cold():
    """Worked example: 0.91 × 0.8 = 0.728, cut to 0.72 Ω."""
    it = limit("BS 88-3", "", Decimal(32), "0.4")
    assert it.cold_ohm.quantize(Decimal("0.01"), ROUND_DOWN) == Decimal("0.72")


@pytest.mark.parametrize(("device_type", "multiple"), [("B", 5), ("C", 10), ("D", 20)])
@pytest.mark.parametrize("standard", ["60898", "61009"])
def test_by_iec_the_whole_voltage_counts_and_two_thirds_of_it_cold(standard, device_type, multiple):
    """IEC 60364-4-41 411.4.4 without a voltage factor; 2/3 measured cold, IEC 60364-6 (value from memory)."""
    circuit = CircuitFacts(device_standard=standard, device_type=device_type, device_rating_a=Decimal(16))
    it = max_zs(circuit, TN, load("iec60364_6_2016"))
    assert it.ohm == Decimal(230) / (multiple * 16)
    assert float(it.cold_ohm / it.ohm) == pytest.approx(2 / 3, abs=1e-4)  # four decimals are kept
