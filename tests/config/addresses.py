"""Every address of the site, and rows of one firm for each of them to name."""

from pathlib import Path

from django.urls import URLPattern, get_resolver, reverse

from reports.models import SavedFilter
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    ClientFactory,
    ClientLinkFactory,
    GlowWorksheetFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    LoadPresetFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
    RecordUploadFactory,
    RunFactory,
    UploadFactory,
)
from tests.factories.sign_in import app_of, passkey_of, recovery_codes_of
from tests.reports.ready import issued, ready_visit

SCHEDULE = Path(__file__).parents[2] / "fixtures" / "intake" / "larkfield-schedule.csv"


def patterns(of=None):
    """Every address but those of Django's admin."""
    for pattern in (of or get_resolver()).url_patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        elif pattern.namespace != "admin":
            yield from patterns(pattern)


# What ``pk`` names, by the first part of the path; ``ELSEWHERE`` says where that misleads.
ROWS = {
    "audit": "saved_filter",
    "boards": "board",
    "circuits": "circuit",
    "client-links": "client_link",
    "clients": "client",
    "glow": "worksheet",
    "inspections": "inspection",
    "installations": "installation",
    "instruments": "instrument",
    "limitations": "limitation",
    "loads": "load",
    "members": "colleague",
    "observations": "observation",
    "passkeys": "passkey",
    "records": "record",
}
ELSEWHERE = {
    "load_preset_change": "preset",
    "record_intake_preview": "record_upload",
    "record_intake_drop": "record_upload",
    "run": "run",
    "run_stop": "run",
    "run_resume": "run",
    "run_archive": "run",
}
GIVEN = {
    "kind": "schedules",
    "ext": "pdf",
    "stock": "single-100x50",
    "key": "loads-in-the-way",
    "who": "inspector",
}


def address(pattern, rows):
    """The address with the numbers of ``rows`` in it, and whether it names any of them."""
    given, names_a_row = {}, False
    for argument in pattern.pattern.regex.groupindex:
        if argument in GIVEN:
            given[argument] = GIVEN[argument]
            continue
        names_a_row = True
        kind = argument.removesuffix("_pk")
        if kind == "pk":
            kind = ELSEWHERE.get(pattern.name) or ROWS[first_part(pattern)]
        given[argument] = rows[kind].pk
    return reverse(pattern.name, kwargs=given), names_a_row


def first_part(pattern):
    """``boards`` of ``boards/7/``. The audit's addresses are included below their own."""
    return "audit" if pattern.name.startswith("audit") else str(pattern.pattern).strip("^").partition("/")[0]


def rows_of(member):
    """One row of each kind in the member's firm; its open visit is the member's own."""
    client = ClientFactory(firm=member.firm)
    installation = InstallationFactory(client=client)
    board = BoardFactory(installation=installation)
    circuit = CircuitFactory(board=board)
    inspection = InspectionFactory(installation=installation, inspector=member)
    record = issued(ready_visit(InstallationFactory(client=client)))
    app_of(member)
    recovery_codes_of(member)
    return {
        "client": client,
        "installation": installation,
        "board": board,
        "circuit": circuit,
        "inspection": inspection,
        "instrument": InstrumentFactory(firm=member.firm),
        "limitation": LimitationFactory(inspection=inspection),
        "observation": ObservationFactory(inspection=inspection),
        "upload": UploadFactory(inspection=inspection, name=SCHEDULE.name, content=SCHEDULE.read_bytes()),
        "load": ParallelLoadFactory(circuit=circuit),
        "preset": LoadPresetFactory(firm=member.firm),
        "worksheet": GlowWorksheetFactory(circuit=circuit, opened_by=member),
        "colleague": MemberFactory(firm=member.firm),
        "passkey": passkey_of(member),
        "client_link": ClientLinkFactory(record=record),
        "record": record,
        "record_upload": RecordUploadFactory(firm=member.firm, record=record.content, sent_by=member),
        "run": RunFactory(firm=member.firm, member=member),
        "saved_filter": SavedFilter.objects.create(
            firm=member.firm, question=GIVEN["key"], name="Mine", saved_by=member
        ),
    }
