"""The choices of the load register, each in the trade's words."""

from django.db.models import TextChoices


class LoadKind(TextChoices):
    CAPACITOR = "capacitor", "Suppression capacitor"
    RC_NETWORK = "rc_network", "Resistor and capacitor in series"
    NEON = "neon", "Neon with series resistor"
    INDICATOR = "indicator", "Indicator neon in an accessory"
    RESISTOR = "resistor", "Resistor"
    LOAD_MODULE = "load_module", "Load module"
    TRANSFORMER = "transformer", "Wire-wound transformer"
    DRIVER = "driver", "Electronic transformer or LED driver"
    DIMMER = "dimmer", "Dimmer or electronic switch"
    TIMER = "timer", "Timer"
    SENSOR = "sensor", "Sensor"
    SURGE = "surge", "Surge protective device"
    EQUIPMENT = "equipment", "Fixed equipment left connected"
    UNKNOWN = "unknown", "Not yet known"


class Connection(TextChoices):
    """Between which conductors a load sits."""

    L_N = "L-N", "Line to neutral"
    SWITCHED_L_N = "SL-N", "Switched line to neutral"
    L_E = "L-E", "Line to earth"
    N_E = "N-E", "Neutral to earth"
    L_L = "L-L", "Line to line"

    @property
    def brief(self) -> str:
        """Short enough for a narrow column, and known to intake."""
        return "switched L-N" if self is Connection.SWITCHED_L_N else self.value


class LoadState(TextChoices):
    SUSPECTED = "suspected", "Suspected"
    IN_PLACE = "in_place", "In place"
    DISCONNECTED = "disconnected", "Disconnected for test"
    TAKEN_OUT = "taken_out", "Taken out"


# Seen by a test between live conductors.
BETWEEN_LIVES = (Connection.L_N, Connection.SWITCHED_L_N, Connection.L_L)

# Pass no direct current once charged, unless a discharge resistor is across them.
CHARGING = (LoadKind.CAPACITOR, LoadKind.RC_NETWORK)

# Still across the circuit, or meant to be again.
PRESENT = (LoadState.IN_PLACE, LoadState.DISCONNECTED)


class CapacitorClass(TextChoices):
    """Suppression classes of IEC 60384-14."""

    X1 = "X1"
    X2 = "X2"
    Y1 = "Y1"
    Y2 = "Y2"


class Origin(TextChoices):
    FITTED = "fitted", "Fitted by us"
    FOUND = "found", "Found there"


class GlowStatus(TextChoices):
    """How a glow worksheet stands."""

    OPEN = "open", "Open"
    FITTED = "fitted", "Remedy fitted"
    CLOSED = "closed", "Closed without a part"
