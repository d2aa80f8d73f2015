"""The load register of a record."""

from collections.abc import Iterator

from remedies.enums import LoadState
from remedies.models import ParallelLoad
from reports.intake.rows import Rows, find
from reports.intake.told import day, decimal, whole

_ENDED = (LoadState.DISCONNECTED, LoadState.TAKEN_OUT)
_END = ("state", "state_since", "taken_out_on", "taken_out_by")
_DECIMALS = (
    "capacitance_uf", "resistance_ohm", "discharge_resistor_ohm", "tolerance_percent", "rated_power_w",
)  # fmt: skip
_TEXTS = ("capacitor_class", "place", "access", "reason", "taken_out_by", "remarks")
_CHOICES = ("kind", "connection", "state", "origin")


def bring_in_loads(rows: Rows) -> Iterator[ParallelLoad]:
    """Every entry with its history: one that was taken out or disconnected since was in place before."""
    for told in rows.content["load_register"]:
        where = f"load {told['number']}"
        if told["circuit"] is None:
            rows.left_out.append(
                f"{told['what']}, {told['place']}: its circuit {told['circuit_words']} is no longer there."
            )
            continue
        row = ParallelLoad(
            circuit=find(rows.circuits, told["circuit"], where),
            count=told["count"],
            is_hidden=told["is_hidden"],
            resistors_in_series=whole(told["resistors_in_series"]) or 1,
            rated_voltage_v=whole(told["rated_voltage_v"]),
            access_minutes=whole(told["access_minutes"]),
            **{name: decimal(told[name]) for name in _DECIMALS},
            **{name: told[name] for name in _TEXTS},
            **{name: told[name]["key"] for name in _CHOICES},
            **{name: day(told[name]) for name in ("since", "state_since", "taken_out_on")},
        )
        rows.take_photo(row, told["photo"])
        if row.state in _ENDED and row.state_since > row.since:
            ended = {name: getattr(row, name) for name in _END}
            row.state, row.state_since = LoadState.IN_PLACE, row.since
            row.taken_out_on, row.taken_out_by = None, ""
            rows.save(row, where)
            for name, value in ended.items():
                setattr(row, name, value)
        yield rows.save(row, where)
