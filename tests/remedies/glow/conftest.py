"""A worksheet on one circuit of the supply of a house, and what is entered on it."""

import pytest

from remedies.models import GlowWorksheet
from tests.factories import CircuitFactory, GlowWorksheetFactory

# The published pair: about 100 V on a high-impedance meter and about 8 V on a low-impedance one (common
# practice, no source).
COUPLED = [
    {"volts": 100.0, "resistance_ohm": 10e6, "capacitance_f": 100e-12},
    {"volts": 8.0, "resistance_ohm": 300e3, "capacitance_f": 0.0},
]
LIVE = [{**COUPLED[0], "volts": 230.0}, {**COUPLED[1], "volts": 228.0}]


@pytest.fixture
def worksheet(db) -> GlowWorksheet:
    return GlowWorksheetFactory(circuit=CircuitFactory(way="5", description="Landing lights"))


@pytest.fixture
def coupled(worksheet) -> GlowWorksheet:
    """Concluded, with two readings of a coupled voltage."""
    worksheet.readings = COUPLED
    worksheet.cause = "coupling"
    worksheet.save()
    return worksheet
