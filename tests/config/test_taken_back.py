"""Every address that is posted to, beside how its act is taken back: what says Undo is done and undone, what
cannot be undone is asked for."""

import re
from datetime import date

import pytest
from django.db import transaction
from django.db.models import Model
from django.urls import reverse
from django.utils import timezone

from config.permissions import SUPERVISOR, WRITE
from inspections.enums import LimitationScope, StandingAnswer
from inspections.rules import visual
from inspections.services.intake_plan import plan_intake, read_upload
from remedies.enums import LoadState
from remedies.labels import print_label
from reports.examination import Examination
from reports.points import points_of
from tests.config.addresses import ELSEWHERE, ROWS, address, patterns, rows_of
from tests.config.taken_back import ASKS, NOTHING_TO_TAKE_BACK, PLAINLY, UNDO
from tests.config.test_permissions import signed_in
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    InstallationFactory,
    LimitationFactory,
    MemberFactory,
    ParallelLoadFactory,
)
from tests.factories.sample import small_sample
from tests.remedies.views.test_glow import TYPED as OF_THE_GLOW
from tests.remedies.views.test_glow import fitting
from tests.reports.ready import in_review, ready_visit
from tests.reports.views.test_review import over_limit
from tests.whole_record import whole_record

PATTERNS = {pattern.name: pattern for pattern in patterns()}
ANSWERS = (UNDO, set(PLAINLY), NOTHING_TO_TAKE_BACK, set(ASKS))
AREA = visual.areas()[0].key
TODAY = "2026-11-25"

# What is typed over what the page shows; where the page shows no form, all that is sent.
TYPED = {
    "client_add": {"name": "Larkfield Estate"},
    "client_change": {"phone": "01632 960123"},
    "installation_add": {"name": "Larkfield Mill"},
    "installation_change": {"postcode": "LK1 1AA"},
    "board_add": {"designation": "DB9"},
    "board_change": {"location": "Landing"},
    "circuit_add": {"way": "9"},
    "circuit_change": {"description": "Stairs"},
    "instrument_add": {"serial": "S0099"},
    "instrument_change": {"group": "B"},
    "inspection_change": {"extent": "Ground floor"},
    "board_result": {"zdb": "0.25"},
    "limitation_add": {"scope": "whole", "tests": ["zs"], "reason": "In use"},
    "limitation_change": {"reason": "In use"},
    "limitation_answer": {"answer": "lifted"},
    "observation_add": {"text": "Cover missing"},
    "observation_change": {"text": "Cover missing"},
    "observation_put_right": {"put_right_by": "Noor Farrow"},
    "visual_items": {"all_satisfactory": AREA},
    "review do=send": {"do": "send"},
    "review do=return": {"do": "return", "remarks": "Look again"},
    "load_add": {"kind": "neon", "place": "Landing rose"},
    "load_change": {"place": "Landing rose"},
    "load_confirm": {"answer": "not_there", "reason": "Looked"},
    "load_replace": {"kind": "neon"},
    "load_preset_add": {"name": "Ours", "kind": "neon"},
    "load_preset_change": {"name": "Ours"},
    "board_label_print": {"stock": "single-100x50", "skip": "0"},
    "glow_start": {"complaint": "Stairs glow"},
    "glow": OF_THE_GLOW,
    "glow_close": OF_THE_GLOW
    | {"case-cause": "afterglow", "close-outcome": "Nothing to cure", "close-on": TODAY},
    "audit_save": {"name": "Ours"},
    "firm_change": {"phone": "01632 960123"},
    "member_role": {"role": "office"},
}

# The same, where it is about rows.
OF_ROWS = {
    "installation_add": lambda rows: {"client": rows["client"].pk},
    "board_copy_circuits": lambda rows: {"source": rows["source"].pk},
    "results_grid": lambda rows: {f"{rows['circuit'].pk}.version": 0, f"{rows['circuit'].pk}.zs": "0.70"},
    "intake_commit": lambda rows: {
        "digest": plan_intake(read_upload(rows["upload"]), rows["inspection"], rows["upload"].choices).digest
    },
    "review do=answer": lambda rows: {
        f"answer:{point.key}": "Measured again" for point in points_of(Examination(rows["review do=answer"]))
    },
    "glow_fit": lambda rows: fitting(rows["worksheet"]),
}


@pytest.fixture(autouse=True)
def today(time_machine):
    time_machine.move_to(f"{TODAY} 12:00:00+00:00", tick=False)


@pytest.fixture
def member():
    return MemberFactory(role=SUPERVISOR)


@pytest.fixture
def rows(member):
    """A row of each kind, and rows in the state that an act asks for, by the act."""
    rows = rows_of(member)
    small_sample(member)
    board, circuit = rows["board"], rows["circuit"]
    source = BoardFactory(installation=board.installation)
    ParallelLoadFactory(circuit=CircuitFactory.create_batch(2, board=source)[0])
    print_label(board=source, at=timezone.now(), on=timezone.localdate(), member=member)
    LimitationFactory(inspection=rows["inspection"], circuits=[circuit], is_standing=True)
    before = InspectionFactory(
        installation=board.installation, started_on=date(2021, 11, 3), inspector=member
    )
    reviewed = in_review(over_limit(ready_visit(InstallationFactory(client=rows["client"]))))
    there = {"circuit": circuit, "since": VISIT}
    return rows | {
        "source": source,
        "board_copy_circuits": BoardFactory(installation=board.installation),
        "limitation_change": LimitationFactory(
            inspection=rows["inspection"], scope=LimitationScope.BOARDS, boards=[board]
        ),
        "limitation_answer": LimitationFactory(
            inspection=rows["inspection"],
            carried_from=LimitationFactory(inspection=before),
            standing_answer=StandingAnswer.PENDING,
            is_standing=True,
        ),
        "load_confirm": ParallelLoadFactory(state=LoadState.SUSPECTED, **there),
        "load_put_back": ParallelLoadFactory(state=LoadState.DISCONNECTED, **there),
        "board_label_stuck": source,
        "review do=answer": reviewed,
        "review do=return": reviewed,
        "review do=issue": reviewed,
    }


def named(act, rows):
    """The address of an act, about the row that it asks for."""
    pattern = PATTERNS[act.partition(" ")[0]]
    if act in rows:
        kind = ELSEWHERE.get(pattern.name) or ROWS[str(pattern.pattern).partition("/")[0]]
        rows = rows | {kind: rows[act]}
    return address(pattern, rows)[0]


def as_sent(form):
    """What a browser sends of a form as it stands."""
    shown = {field.html_name: field.value() for field in form}
    return {name: _sent(value) for name, value in shown.items() if value}


def _sent(value):
    if isinstance(value, (list, tuple)):
        return [_sent(one) for one in value]
    return value.pk if isinstance(value, Model) else "on" if value is True else value


def sent(act, rows, browser, where):
    """What is posted for an act: the form of its page as it stands, and over it what is typed."""
    page = browser.get(where)
    form = (page.context or {}).get("form") if page.status_code == 200 else None
    shown = as_sent(form) if hasattr(form, "fields") else {}
    return shown | TYPED.get(act, {}) | OF_ROWS.get(act, lambda rows: {})(rows)


def why_it_is_not_taken_back(act, rows, member):
    """Do an act and press Undo: what is wrong then, or nothing."""
    browser, before = signed_in(member), whole_record()
    where = named(act, rows)
    page = browser.post(where, sent(act, rows, browser, where), follow=True)
    if whole_record() == before:
        return f"it was not done: {page.status_code} at {page.request['PATH_INFO']}"
    button = re.search(r'name="act" value="([^"]+)"', page.text)
    if button is None:
        return "no Undo is offered"
    sealed = {"act": button[1], "back": page.request["PATH_INFO"]}
    page = browser.post(reverse("undo"), sealed, follow=True)
    said = [str(message) for message in page.context["messages"]]
    if page.status_code != 200 or not said[0].startswith("Undone"):
        return f"{page.status_code}: {said}"
    after = whole_record()
    return ", ".join(str(row) for row in {*before, *after} if before.get(row) != after.get(row))


def test_every_address_that_is_posted_to_has_one_answer():
    acts = [act for answer in ANSWERS for act in answer]
    assert len(set(acts)) == len(acts)
    assert {act.partition(" ")[0] for act in acts} == set(WRITE)


@pytest.mark.django_db
def test_what_says_undo_offers_it_and_puts_every_row_back(rows, member):
    wrong = {}
    for act in sorted(UNDO):
        with transaction.atomic():
            problem = why_it_is_not_taken_back(act, rows, member)
            transaction.set_rollback(True)
        if problem:
            wrong[act] = problem
    assert wrong == {}


@pytest.mark.django_db
def test_what_cannot_be_taken_back_is_asked_first_and_says_so(rows, member):
    browser = signed_in(member)
    pages = {act: browser.get(named(act, rows)).text for act in ASKS}
    words = {act: ("cannot be undone", said, '<form method="post"') for act, said in ASKS.items()}
    assert {act: word for act in ASKS for word in words[act] if word not in pages[act]} == {}
