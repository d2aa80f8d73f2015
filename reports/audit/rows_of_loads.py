"""Rows of the audit: the loads of a place, with what is asked of them."""

from collections.abc import Iterator
from functools import lru_cache

from inspections.models import Installation
from remedies import bridge
from remedies.cautions import is_x_class_to_earth
from remedies.enums import PRESENT, Connection
from remedies.models import ParallelLoad
from remedies.physics import ratings
from remedies.physics.checked import InputError
from remedies.physics.operating import Conditions, Draw, on_state
from reports.audit.batch import Batch, Place
from reports.audit.tables import Label, LoadAudit

_HIGHEST = 1.1  # BS EN 50160 and BS 7671 Appendix 2: the supply may lie 10 % above nominal


def load_rows(place: Place) -> Iterator[LoadAudit]:
    """A row for each load, whatever its state."""
    batch = place.batch
    for load in (load for loads in place.loads.values() for load in loads):
        why = beyond_rating(load, place.installation)
        yield LoadAudit(
            **place.of_firm,
            load_id=load.pk,
            board_id=load.circuit.board_id,
            circuit_id=load.circuit_id,
            place=place.name,
            part=part_in_words(load),
            kind=load.kind,
            capacitor_class=load.capacitor_class,
            connection=load.connection,
            state=load.state,
            origin=load.origin,
            is_hidden=load.is_hidden,
            since=load.since,
            entered_by_id=batch.entered_by.get(load.pk),
            label=_label(load, batch),
            seen_at_500=load.pk in batch.seen[500],
            seen_at_250=load.pk in batch.seen[250],
            x_to_earth=is_x_class_to_earth(load),
            beyond_rating=why[:300],
            is_beyond_rating=bool(why),
        )


def _label(load: ParallelLoad, batch: Batch) -> str:
    if load.state not in PRESENT:
        return Label.NOT_ASKED
    status = batch.statuses[load.circuit.board_id]
    if status.stuck is None:
        return Label.NONE
    return Label.OUT_OF_DATE if load.circuit_id in status.not_told else Label.UP_TO_DATE


def part_in_words(part) -> str:
    """Kind, class and values of a load or of a usual part, without a count: what a recall would name."""
    return " ".join(filter(None, (part.get_kind_display(), part.capacitor_class, part.value_text())))[:160]


def beyond_rating(load: ParallelLoad, installation: Installation) -> str:
    """Why a load is used beyond the rating it is marked with, with the working; empty where it is not, where
    no rating is recorded, or where its kind has no such calculation."""
    volts = float(installation.nominal_voltage_v)
    if load.connection == Connection.L_L:
        volts *= 3**0.5
    values = tuple(getattr(load, name) for name in _RATED_BY)
    return _beyond(values, volts, float(installation.frequency_hz))


_RATED_BY = (
    "kind", "connection", "capacitor_class", "capacitance_uf", "resistance_ohm", "resistors_in_series",
    "discharge_resistor_ohm", "tolerance_percent", "rated_voltage_v", "rated_power_w",
)  # fmt: skip


@lru_cache(maxsize=16_384)
def _beyond(values: tuple, volts: float, frequency: float) -> str:
    load = ParallelLoad(count=1, place="", **dict(zip(_RATED_BY, values, strict=True)))
    if load.rated_voltage_v is None and load.rated_power_w is None:
        return ""
    try:
        given = Conditions(supply_v=volts, highest_v=volts * _HIGHEST, frequency_hz=frequency)
        part = bridge.part(load)
        highest = on_state(part, given.highest_v, Draw.MOST, frequency)
        share = ratings.rating_share(part, highest, given)
        if share is None or share <= 1:
            return ""
        nominal = on_state(part, given.supply_v, frequency_hz=frequency)
        return " ".join(ratings.refusals(part, nominal, highest, 0.0, given))
    except InputError:
        return ""
