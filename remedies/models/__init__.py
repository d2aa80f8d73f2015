"""What is across the circuits, a module for each kind of row."""

from remedies.models.glow import GlowWorksheet
from remedies.models.label import BoardLabel
from remedies.models.load import ParallelLoad, ParallelLoadQuerySet
from remedies.models.preset import LoadPreset
from remedies.models.values import ElectricalValues

__all__ = [
    "BoardLabel",
    "ElectricalValues",
    "GlowWorksheet",
    "LoadPreset",
    "ParallelLoad",
    "ParallelLoadQuerySet",
]
