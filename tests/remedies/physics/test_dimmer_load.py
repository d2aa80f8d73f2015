"""Minimum load of a dimmer, by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.checked import InputError
from remedies.physics.dimmer_load import Edge, dimmer_load
from remedies.physics.operating import Conditions


def test_three_lamps_of_5_w_on_a_25_w_minimum_are_10_w_short() -> None:
    found = dimmer_load(5, 3, 25)
    assert (found.load_w, found.short_w, found.lamps_for_minimum) == (15, 10, 5)
    # 230²/10 W = 5.29 kΩ, less 5 % tolerance 5.04 kΩ: 4.7 kΩ of E24, 11.3 W, and by 14 K/W some 160 K over
    # air.
    assert found.module is not None
    assert found.module.resistance_ohm.typical == 4.7e3
    assert found.module_w == pytest.approx(230**2 / 4.7e3)
    assert found.module_case_c is not None
    assert found.module_case_c.typical == pytest.approx(25 + 14 * 11.26, abs=1)
    assert any("share it over several modules" in note for note in found.notes)


def test_enough_lamps_need_no_module() -> None:
    found = dimmer_load(6, 5, 25, 100)
    assert (found.short_w, found.module, found.module_w, found.module_case_c) == (0, None, 0, None)
    assert found.notes == ()


def test_too_many_lamps_are_said() -> None:
    assert any("more than the dimmer’s 100 W" in note for note in dimmer_load(10, 12, 10, 100).notes)


def test_the_wrong_edge_is_said_and_no_module_cures_it() -> None:
    wrong = dimmer_load(6, 5, 25, dimmer_edge=Edge.LEADING, lamp_edge=Edge.TRAILING)
    assert any("no load module cures that" in note for note in wrong.notes)
    right = dimmer_load(6, 5, 25, dimmer_edge=Edge.TRAILING, lamp_edge=Edge.TRAILING)
    assert right.notes == ()


def test_a_small_shortfall_takes_a_cool_module() -> None:
    # 1 W short: 52.9 kΩ, less 5 % 50.4: 47 kΩ (E24), 1.13 W, 16 K over air.
    found = dimmer_load(8, 3, 25, conditions=Conditions(ambient_c=20))
    assert found.module is not None
    assert found.module.resistance_ohm.typical == 47e3
    assert found.module_case_c is not None
    assert found.module_case_c.typical == pytest.approx(20 + 14 * 1.126, abs=0.5)
    assert found.notes == ()


@given(st.floats(0.5, 60), st.integers(0, 20), st.floats(0.5, 100))
def test_lamps_and_module_together_reach_the_minimum(lamp_w: float, count: int, minimum: float) -> None:
    found = dimmer_load(lamp_w, count, minimum)
    weakest = 230**2 / found.module.resistance_ohm.high if found.module else 0.0
    assert found.load_w + weakest >= minimum * (1 - 1e-9)
    assert found.lamps_for_minimum * lamp_w >= minimum * (1 - 1e-9)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ((0, 3, 25), "watts marked on one lamp"),
        ((-5, 3, 25), "watts marked on one lamp"),
        ((5, -1, 25), "how many lamps"),
        ((5, 2.5, 25), "not a whole number"),
        ((5, 3, -1), "0 when it has none"),
        ((5, 3, 25, 10), "no lower than the minimum"),
    ],
)
def test_nonsense_is_refused_with_what_to_type_instead(values: tuple[float, ...], says: str) -> None:
    with pytest.raises(InputError) as raised:
        dimmer_load(*values)  # type: ignore[arg-type]
    assert says in str(raised.value)
