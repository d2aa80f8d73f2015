"""Dull rows of the record. Whatever is made along the way belongs to the same installation and firm."""

from datetime import date

import factory
from factory.django import DjangoModelFactory

from inspections.enums import LimitationScope, Measures, Outcome, Role
from inspections.models import (
    Board,
    BoardResult,
    Circuit,
    CircuitResult,
    Client,
    Firm,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Member,
    Observation,
    Upload,
    VisualOutcome,
)
from inspections.models.installation import DEFAULT_EDITION

PASSWORD = "a plain long password"
VISIT = date(2026, 11, 3)


class FirmFactory(DjangoModelFactory):
    class Meta:
        model = Firm

    name = factory.Sequence(lambda n: f"Firm {n}")


class MemberFactory(DjangoModelFactory):
    """A supervisor, who may do everything; ``MemberFactory(role=Role.OFFICE)`` for another."""

    class Meta:
        model = Member

    firm = factory.SubFactory(FirmFactory)
    name = factory.Sequence(lambda n: f"Member {n}")
    email = factory.Sequence(lambda n: f"member{n}@example.com")
    role = Role.SUPERVISOR
    password = factory.django.Password(PASSWORD)


class ClientFactory(DjangoModelFactory):
    class Meta:
        model = Client

    firm = factory.SubFactory(FirmFactory)
    name = factory.Sequence(lambda n: f"Client {n}")


class InstallationFactory(DjangoModelFactory):
    """``InstallationFactory(client__firm=firm)`` for one of a given firm."""

    class Meta:
        model = Installation

    client = factory.SubFactory(ClientFactory)
    name = factory.Sequence(lambda n: f"Installation {n}")


class BoardFactory(DjangoModelFactory):
    class Meta:
        model = Board

    installation = factory.SubFactory(InstallationFactory)
    designation = factory.Sequence(lambda n: f"DB{n}")


class CircuitFactory(DjangoModelFactory):
    class Meta:
        model = Circuit

    board = factory.SubFactory(BoardFactory)
    way = factory.Sequence(lambda n: str(n + 1))
    description = "Lights"


class InstrumentFactory(DjangoModelFactory):
    class Meta:
        model = Instrument

    firm = factory.SubFactory(FirmFactory)
    measures = Measures.MULTIFUNCTION
    serial = factory.Sequence(lambda n: f"S{n:04}")


class InspectionFactory(DjangoModelFactory):
    """``InspectionFactory(instruments=[…])`` to say what it was measured with."""

    class Meta:
        model = Inspection
        skip_postgeneration_save = True

    installation = factory.SubFactory(InstallationFactory)
    inspector = factory.SubFactory(MemberFactory, firm=factory.SelfAttribute("..installation.client.firm"))
    started_on = VISIT
    edition = DEFAULT_EDITION

    @factory.post_generation
    def instruments(self, create, instruments, **kwargs):
        if instruments:
            self.instruments.set(instruments)


class _OfOneVisit(DjangoModelFactory):
    """A row of one inspection. Given the inspection, or what it is about, the rest is of the same place."""

    class Meta:
        abstract = True

    class Params:
        installation = factory.SubFactory(InstallationFactory)

    inspection = factory.SubFactory(InspectionFactory, installation=factory.SelfAttribute("..installation"))

    @classmethod
    def _generate(cls, strategy, params):
        if "inspection" in params:
            params.setdefault("installation", params["inspection"].installation)
        elif params.get("board"):
            params.setdefault("installation", params["board"].installation)
        elif params.get("circuit"):
            params.setdefault("installation", params["circuit"].board.installation)
        return super()._generate(strategy, params)


class BoardResultFactory(_OfOneVisit):
    class Meta:
        model = BoardResult

    board = factory.SubFactory(BoardFactory, installation=factory.SelfAttribute("..installation"))


class CircuitResultFactory(_OfOneVisit):
    class Meta:
        model = CircuitResult

    circuit = factory.SubFactory(CircuitFactory, board__installation=factory.SelfAttribute("...installation"))

    @classmethod
    def _adjust_kwargs(cls, **kwargs):
        """Readings may be given as text, as a person types them."""
        return {name: _cleaned(name, value) for name, value in kwargs.items()}


def _cleaned(name, value):
    return CircuitResult._meta.get_field(name).to_python(value) if isinstance(value, str) else value


class LimitationFactory(_OfOneVisit):
    """Of the whole installation unless ``boards=`` or ``circuits=`` are given."""

    class Meta:
        model = Limitation
        skip_postgeneration_save = True

    tests = factory.LazyFunction(lambda: ["ir_live_live"])
    scope = LimitationScope.WHOLE
    reason = "Could not be switched off"

    @classmethod
    def _generate(cls, strategy, params):
        for scope in (LimitationScope.BOARDS, LimitationScope.CIRCUITS):
            if params.get(scope.value):
                params.setdefault("scope", scope)
        return super()._generate(strategy, params)

    @factory.post_generation
    def boards(self, create, boards, **kwargs):
        if boards:
            self.boards.set(boards)

    @factory.post_generation
    def circuits(self, create, circuits, **kwargs):
        if circuits:
            self.circuits.set(circuits)


class ObservationFactory(_OfOneVisit):
    class Meta:
        model = Observation

    text = "Cover loose"


class VisualOutcomeFactory(_OfOneVisit):
    class Meta:
        model = VisualOutcome

    item = factory.Sequence(lambda n: f"item_{n}")
    outcome = Outcome.PASS


class UploadFactory(_OfOneVisit):
    class Meta:
        model = Upload

    name = "visit.xlsx"
    content = b"as sent"
    sent_by = factory.SelfAttribute("inspection.inspector")
