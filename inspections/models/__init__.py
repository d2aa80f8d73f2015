"""The record. One file a thing."""

from inspections.models.board import Board
from inspections.models.circuit import Circuit
from inspections.models.client import Client
from inspections.models.firm import Firm, Member
from inspections.models.inspection import BoardResult, Inspection
from inspections.models.installation import Installation
from inspections.models.instrument import Instrument
from inspections.models.limitation import Limitation
from inspections.models.observation import Observation
from inspections.models.result import CircuitResult
from inspections.models.upload import Upload
from inspections.models.visual import VisualOutcome

__all__ = [
    "Board",
    "BoardResult",
    "Circuit",
    "CircuitResult",
    "Client",
    "Firm",
    "Inspection",
    "Installation",
    "Instrument",
    "Limitation",
    "Member",
    "Observation",
    "Upload",
    "VisualOutcome",
]
