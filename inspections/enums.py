"""The choices of the record, each the trade's own word."""

from django.db.models import TextChoices


class Role(TextChoices):
    INSPECTOR = "inspector", "Inspector"
    ELECTRICIAN = "electrician", "Electrician"
    OFFICE = "office", "Office"
    SUPERVISOR = "supervisor", "Supervisor"


MAY_INSPECT = (Role.INSPECTOR, Role.SUPERVISOR)  # who may enter readings, and so be named as inspector


class Use(TextChoices):
    DWELLING_OWNER = "dwelling_owner", "Dwelling, owner occupied"
    DWELLING_RENTED = "dwelling_rented", "Dwelling, rented"
    SHARED_HOUSE = "shared_house", "House in multiple occupation or hall"
    COMMERCIAL = "commercial", "Commercial"
    EDUCATIONAL = "educational", "Educational"
    INDUSTRIAL = "industrial", "Industrial"
    OFFICE = "office", "Office or shop"
    LEISURE = "leisure", "Leisure or public entertainment"
    CATERING = "catering", "Restaurant, hotel or public house"
    MEDICAL = "medical", "Medical"
    AGRICULTURAL = "agricultural", "Agricultural or horticultural"
    OTHER = "other", "Other"


class Earthing(TextChoices):
    TN_S = "TN-S", "TN-S"
    TN_C_S = "TN-C-S", "TN-C-S"
    TT = "TT", "TT"


class Phases(TextChoices):
    SINGLE = "1", "Single-phase"
    THREE = "3", "Three-phase"


class Phase(TextChoices):
    """The line conductors a way uses; empty on a single-phase board."""

    NONE = "", "—"
    L1 = "L1", "L1"
    L2 = "L2", "L2"
    L3 = "L3", "L3"
    ALL = "L123", "L1 L2 L3"


class Arrangement(TextChoices):
    RADIAL = "radial", "Radial"
    RING = "ring", "Ring final"


class Serves(TextChoices):
    """What decides the disconnection time of a circuit (BS 7671 regulation 411.3.2)."""

    SOCKETS = "sockets", "Socket-outlets"
    FIXED = "fixed", "Fixed equipment"
    DISTRIBUTION = "distribution", "Distribution"


class VoltageBand(TextChoices):
    LOW = "LV", "Low voltage"
    SELV = "SELV", "SELV"
    PELV = "PELV", "PELV"
    FELV = "FELV", "FELV"


class CableInsulation(TextChoices):
    """Insulation of the conductors, by the temperature it bears; decides k of the cpc (IEC 60364-5-54)."""

    NOT_SAID = "", "Not said"
    THERMOPLASTIC = "thermoplastic 70 °C", "Thermoplastic, 70 °C"
    THERMOSETTING = "thermosetting 90 °C", "Thermosetting, 90 °C"


class ResidualCurrent(TextChoices):
    """The hardest residual current that the load can cause; decides the type of RCD (531.3.3)."""

    NOT_SAID = "", "Not said"
    SINUSOIDAL = "sinusoidal", "Sinusoidal a.c. only"
    PULSATING = "pulsating d.c.", "Pulsating d.c."
    COMPOSITE = "composite frequencies", "Composite frequencies"
    SMOOTH = "smooth d.c.", "Smooth d.c."


class InspectionKind(TextChoices):
    PERIODIC = "periodic", "Periodic inspection and testing"
    INITIAL = "initial", "Initial verification"
    ALTERATION = "alteration", "Alteration or addition"
    FAULT = "fault", "Fault visit"


class InspectionStatus(TextChoices):
    DRAFT = "draft", "Draft"
    IN_REVIEW = "in_review", "In review"
    ISSUED = "issued", "Issued"


class LimitationKind(TextChoices):
    AGREED = "agreed", "Agreed"
    OPERATIONAL = "operational", "Operational"


class LimitationScope(TextChoices):
    WHOLE = "whole", "The whole installation"
    BOARDS = "boards", "Some boards"
    CIRCUITS = "circuits", "Some circuits"


class StandingAnswer(TextChoices):
    """What became of a standing limitation at the next inspection; each is answered, one by one."""

    NONE = "", "—"
    PENDING = "pending", "To be answered"
    KEPT = "kept", "Kept"
    CHANGED = "changed", "Changed"
    LIFTED = "lifted", "Lifted"


class Code(TextChoices):
    """Classification of an observation; given by the inspector, never by the program."""

    C1 = "C1", "C1 danger present"
    C2 = "C2", "C2 potentially dangerous"
    C3 = "C3", "C3 improvement recommended"
    FI = "FI", "FI further investigation required"


class Measures(TextChoices):
    CONTINUITY = "continuity", "Continuity"
    INSULATION = "insulation", "Insulation resistance"
    LOOP = "loop", "Loop impedance and fault current"
    RCD = "rcd", "RCD"
    EARTH_ELECTRODE = "electrode", "Earth electrode resistance"
    VOLTAGE = "voltage", "Voltage"
    MULTIFUNCTION = "multifunction", "Multifunction tester"


TESTS_INSULATION = (Measures.INSULATION, Measures.MULTIFUNCTION)


class Outcome(TextChoices):
    """Outcome of one visual inspection item."""

    PASS = "✓", "✓ satisfactory"
    C1 = "C1", "C1"
    C2 = "C2", "C2"
    C3 = "C3", "C3"
    FI = "FI", "FI"
    NOT_VERIFIED = "N/V", "N/V not verified"
    LIM = "LIM", "LIM limitation"
    NOT_APPLICABLE = "N/A", "N/A not applicable"
