"""What must be said wherever the record leads to work on conductors. One place, so that every screen, sheet
and label says the same."""

from remedies.enums import CHARGING, CapacitorClass, Connection

COMPETENT = "For competent persons only. Local codes and licensed practice come first."
ISOLATE = (
    "Isolate, lock off, and prove dead with a proved two-pole voltage detector before touching conductors."
)
NO_PROOF = (
    "A low stray reading on a meter is no proof of isolation; neither is a lamp or neon that stays unlit."
)
DISCHARGE = "Discharge capacitors before touching them, and again after every insulation test."
BEFORE_500_V = "Disconnect or bridge out electronics and surge protection before a 500 V insulation test."
RECONNECT = "Reconnect everything disconnected for the test, and record that it is back."

GENERAL = (COMPETENT, ISOLATE, NO_PROOF, DISCHARGE, BEFORE_500_V, RECONNECT)

X_CLASS_TO_EARTH = (
    "A class X capacitor never goes from line or neutral to earth: if it fails short, metalwork becomes "
    "live. Only class Y may be used there."
)
X_CLASS_FOUND = f"{X_CLASS_TO_EARTH} Isolate, take it out, and do not put it back."
NO_CLASS = (
    "A capacitor across the supply must be class X or Y. One without that marking, or not yet looked at, "
    "cannot be trusted to fail safely."
)
HOLDS_CHARGE = (
    "It may hold its charge after isolation and after an insulation test: discharge it before touching."
)

_TO_EARTH = (Connection.L_E, Connection.N_E)
_X_CLASSES = (CapacitorClass.X1, CapacitorClass.X2)


def is_x_class_to_earth(load) -> bool:
    """Whether a class X capacitor stands, or would stand, between a live conductor and earth."""
    return load.capacitor_class in _X_CLASSES and load.connection in _TO_EARTH


def of_load(load, supply_v: int) -> tuple[str, ...]:
    """What must be said about one load on a supply of ``supply_v`` [V], line to earth."""
    told = []
    if is_x_class_to_earth(load):
        told.append(X_CLASS_FOUND)
    if load.kind in CHARGING:
        if not load.capacitor_class:
            told.append(NO_CLASS)
        if load.rated_voltage_v is not None and load.rated_voltage_v <= supply_v:
            told.append(
                f"It is rated {load.rated_voltage_v} V, not above the supply of {supply_v} V: replace it "
                "with one rated higher."
            )
        told.append(HOLDS_CHARGE)
    return tuple(told)
