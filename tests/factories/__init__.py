"""A factory for every model, of dull rows: a test says only what it is about."""

from tests.factories.inspections import (
    PASSWORD,
    VISIT,
    BoardFactory,
    BoardResultFactory,
    CircuitFactory,
    CircuitResultFactory,
    ClientFactory,
    FirmFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    UploadFactory,
    VisualOutcomeFactory,
)
from tests.factories.remedies import (
    BoardLabelFactory,
    GlowWorksheetFactory,
    LoadPresetFactory,
    ParallelLoadFactory,
)

__all__ = [
    "PASSWORD",
    "VISIT",
    "BoardFactory",
    "BoardLabelFactory",
    "BoardResultFactory",
    "CircuitFactory",
    "CircuitResultFactory",
    "ClientFactory",
    "FirmFactory",
    "GlowWorksheetFactory",
    "InspectionFactory",
    "InstallationFactory",
    "InstrumentFactory",
    "LimitationFactory",
    "LoadPresetFactory",
    "MemberFactory",
    "ObservationFactory",
    "ParallelLoadFactory",
    "UploadFactory",
    "VisualOutcomeFactory",
]
