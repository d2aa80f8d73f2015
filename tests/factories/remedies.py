"""Dull rows of the load register."""

from datetime import UTC, datetime

import factory
from factory.django import DjangoModelFactory

from remedies.enums import LoadKind
from remedies.models import BoardLabel, GlowWorksheet, LoadPreset, ParallelLoad
from tests.factories.inspections import VISIT, BoardFactory, CircuitFactory, FirmFactory, MemberFactory


class LoadPresetFactory(DjangoModelFactory):
    class Meta:
        model = LoadPreset

    firm = factory.SubFactory(FirmFactory)
    name = factory.Sequence(lambda n: f"Preset {n}")
    kind = LoadKind.CAPACITOR


class ParallelLoadFactory(DjangoModelFactory):
    class Meta:
        model = ParallelLoad

    circuit = factory.SubFactory(CircuitFactory)
    kind = LoadKind.CAPACITOR
    place = "Behind the ceiling rose"
    since = VISIT
    state_since = factory.SelfAttribute("since")


class BoardLabelFactory(DjangoModelFactory):
    class Meta:
        model = BoardLabel

    board = factory.SubFactory(BoardFactory)
    text = "Loads across these circuits"
    printed_at = datetime(2026, 11, 3, 17, 30, tzinfo=UTC)
    printed_by = factory.SubFactory(
        MemberFactory, firm=factory.SelfAttribute("..board.installation.client.firm")
    )


class GlowWorksheetFactory(DjangoModelFactory):
    class Meta:
        model = GlowWorksheet

    circuit = factory.SubFactory(CircuitFactory)
    complaint = "Lamps glow when off"
    opened_on = VISIT
    opened_by = factory.SubFactory(
        MemberFactory, firm=factory.SelfAttribute("..circuit.board.installation.client.firm")
    )
