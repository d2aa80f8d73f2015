"""Beginning a visit from what is known, and answering what was carried over."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.enums import LimitationScope, StandingAnswer
from inspections.models import Inspection, Installation, Limitation, Member
from inspections.services.record import save_record

_CARRIED = ("kind", "tests", "scope", "reason", "agreed_with", "agreed_on", "agreed_how")


@transaction.atomic
def start_inspection(
    *, installation: Installation, kind: str, started_on: date, inspector: Member, member: Member, reason=""
) -> Inspection:
    """Begin a visit from the last one: extent, instruments and standing limitations come over, not readings.

    The edition that results are held to is fixed now. Every standing limitation waits for an answer.
    """
    last = installation.inspections.filter(started_on__lte=started_on).order_by("-started_on", "-pk").first()
    inspection = save_record(
        Inspection(
            installation=installation,
            kind=kind,
            started_on=started_on,
            inspector=inspector,
            based_on=last,
            edition=installation.rule_set,
            reason=reason,
            extent=last.extent if last else "",
        ),
        member=member,
        reason="Visit begun",
    )
    if last:
        inspection.instruments.set(last.instruments.filter(retired_on__isnull=True))
        standing = last.limitations.filter(is_standing=True).exclude(standing_answer=StandingAnswer.LIFTED)
        for limitation in standing:
            if limitation.scope == LimitationScope.CIRCUITS and not limitation.circuits.in_use().exists():
                continue  # every circuit it stood for has been retired: nothing is left to answer
            carry_limitation(limitation, inspection=inspection, member=member)
    return inspection


def carry_limitation(limitation: Limitation, *, inspection: Inspection, member: Member) -> Limitation:
    """Bring a standing limitation over to ``inspection``, to be answered there."""
    carried = Limitation(
        inspection=inspection,
        is_standing=True,
        carried_from=limitation,
        standing_answer=StandingAnswer.PENDING,
        **{name: getattr(limitation, name) for name in _CARRIED},
    )
    save_record(carried, member=member, reason="Carried over from the last visit")
    carried.boards.set(limitation.boards.all())
    carried.circuits.set(limitation.circuits.filter(retired_on__isnull=True))
    return carried


@transaction.atomic
def answer_standing_limitation(*, limitation: Limitation, answer: str, member: Member) -> Limitation:
    """Keep or lift a limitation carried over. Raises ValidationError when it was not carried."""
    if limitation.carried_from_id is None:
        raise ValidationError("This limitation was not carried over, so there is nothing to answer.")
    limitation.standing_answer = answer
    if answer == StandingAnswer.LIFTED:
        limitation.is_standing = False
    elif answer == StandingAnswer.KEPT:
        limitation.is_standing = True
    return save_record(limitation, member=member, reason=f"Standing limitation {answer}")


@transaction.atomic
def record_limitation(*, limitation: Limitation, boards=(), circuits=(), member: Member) -> Limitation:
    """Save a limitation with its scope. Raises ValidationError when the scope names nothing."""
    boards, circuits = list(boards), list(circuits)
    if limitation.scope == LimitationScope.BOARDS and not boards:
        raise ValidationError({"boards": "Choose the boards it covers."})
    if limitation.scope == LimitationScope.CIRCUITS and not circuits:
        raise ValidationError({"circuits": "Choose the circuits it covers."})
    if limitation.carried_from_id:
        limitation.standing_answer = StandingAnswer.CHANGED
    save_record(limitation, member=member)
    limitation.boards.set(boards if limitation.scope == LimitationScope.BOARDS else [])
    limitation.circuits.set(circuits if limitation.scope == LimitationScope.CIRCUITS else [])
    return limitation
