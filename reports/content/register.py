"""The load register as it stood: in place, disconnected, suspected, and taken out."""

from collections.abc import Iterable
from typing import Any

from remedies import cautions
from remedies.models import ParallelLoad
from reports.content.values import Photos, Places, choice, day, text

_TEXTS = (
    "capacitor_class", "capacitance_uf", "resistance_ohm", "resistors_in_series", "discharge_resistor_ohm",
    "tolerance_percent", "rated_voltage_v", "rated_power_w", "place", "access", "access_minutes", "reason",
    "taken_out_by", "remarks",
)  # fmt: skip
_DAYS = ("since", "state_since", "taken_out_on")
_CHOICES = ("kind", "connection", "state", "origin")


def load_register(
    loads: Iterable[ParallelLoad], places: Places, photos: Photos, supply_v: int
) -> list[dict[str, Any]]:
    """Every entry; ``circuit`` is its number in the record, None where that circuit is retired."""
    return [
        {
            "number": number,
            "circuit": places.circuit.get(load.circuit_id),
            "circuit_words": str(load.circuit),
            "count": load.count,
            "what": load.describe(),
            "in_brief": load.in_brief(),
            **{name: text(getattr(load, name)) for name in _TEXTS},
            **{name: day(getattr(load, name)) for name in _DAYS},
            **{name: choice(load, name) for name in _CHOICES},
            "is_hidden": load.is_hidden,
            "photo": photos.take(load.photo),
            "cautions": list(cautions.of_load(load, supply_v)),
        }
        for number, load in enumerate(loads, start=1)
    ]
