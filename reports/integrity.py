"""What the database itself refuses once a report is issued, whichever code asks.

An issued record never changes, and neither does what it was drawn from: the inspection and its results,
limitations, observations and visual outcomes. An observation may still be noted as put right. In a sample
firm, which is thrown away as a whole, all of it may go, and changes as little till then.
"""

from collections.abc import Iterator

from django.apps import apps
from django.db.models import Model

from inspections.integrity import (
    INSPECTION_FIRM,
    INSTALLATION_FIRM,
    MEMBER_FIRM,
    OF_SAMPLE,
    Refusal,
    Rule,
)

_OF_INSPECTION = "(SELECT status FROM inspections_inspection WHERE id = {row}.inspection_id) = 'issued'"
_OF_LIMITATION = (
    "(SELECT i.status FROM inspections_limitation l JOIN inspections_inspection i ON i.id = l.inspection_id"
    " WHERE l.id = {row}.limitation_id) = 'issued'"
)
_INSPECTIONS_FIRM = INSPECTION_FIRM.replace("{column}", "inspection_id")
_LIMITATIONS_FIRM = (
    "(SELECT cl.firm_id FROM inspections_limitation l JOIN inspections_inspection i ON i.id = l.inspection_id"
    " JOIN inspections_installation n ON n.id = i.installation_id"
    " JOIN inspections_client cl ON cl.id = n.client_id WHERE l.id = {row}.limitation_id)"
)
# What holds while a row's visit is issued, and the row's firm.
_IN_VISIT = (_OF_INSPECTION, _INSPECTIONS_FIRM)
_IN_LIMITATION = (_OF_LIMITATION, _LIMITATIONS_FIRM)
_ROWS = {
    "inspections_boardresult": _IN_VISIT,
    "inspections_circuitresult": _IN_VISIT,
    "inspections_limitation": _IN_VISIT,
    "inspections_visualoutcome": _IN_VISIT,
    "inspections_inspection_instruments": _IN_VISIT,
    "inspections_limitation_boards": _IN_LIMITATION,
    "inspections_limitation_circuits": _IN_LIMITATION,
}
PUT_RIGHT = {"put_right_on", "put_right_by", "evidence"}
"""The fields of an observation that may still be filled in once it is issued."""

_ISSUED = "the inspection is issued: its record no longer changes"
_FROZEN = "an issued record never changes"


_VISITS_FIRM = _INSPECTIONS_FIRM.format(row="NEW")
RULES = (
    Rule(
        "recordupload_inspection_same_firm",
        "reports_recordupload",
        ("firm_id", "inspection_id"),
        "NEW.firm_id",
        _VISITS_FIRM,
        "the inspection belongs to another firm",
    ),
    Rule(
        "run_member_same_firm",
        "reports_run",
        ("firm_id", "member_id"),
        "NEW.firm_id",
        MEMBER_FIRM.format(row="NEW", column="member_id"),
        "the member belongs to another firm",
    ),
    Rule(
        "runitem_inspection_same_firm",
        "reports_runitem",
        ("run_id", "inspection_id"),
        "(SELECT firm_id FROM reports_run WHERE id = NEW.run_id)",
        _VISITS_FIRM,
        "the inspection belongs to another firm",
    ),
    Rule(
        "correction_corrects_same_visit",
        "reports_correction",
        ("corrects_id", "inspection_id"),
        "(SELECT inspection_id FROM reports_issuedrecord WHERE id = NEW.corrects_id)",
        "NEW.inspection_id",
        "the record corrected is of another inspection",
    ),
)


def refusals() -> Iterator[Refusal]:
    """Every trigger of what this app keeps, issued reports first of all."""
    for rule in RULES:
        yield from rule.refusals()
    for table, (is_issued, firm) in _ROWS.items():
        yield from _closed_once_issued(table, is_issued, firm)
    observation = apps.get_model("inspections", "Observation")
    yield from _closed_once_issued(
        "inspections_observation", *_IN_VISIT, _changed(observation, but=PUT_RIGHT)
    )
    yield from _inspection()
    yield from _records()


def _unless_sample(kept: str, firm: str) -> str:
    """SQL that holds where a row is kept, unless its firm is a sample."""
    return f"{kept} AND NOT {OF_SAMPLE.format(firm=firm.format(row='OLD'))}"


def _closed_once_issued(table: str, is_issued: str, firm: str, changed: str = "") -> Iterator[Refusal]:
    """No row comes, goes or changes. changed: SQL for the changes that count; all of them when empty."""
    was, becomes = is_issued.format(row="OLD"), is_issued.format(row="NEW")
    name = table.partition("_")[2]
    update = f"({was} OR {becomes})"
    yield Refusal(f"{name}_issued_insert", table, "INSERT", becomes, _ISSUED)
    yield Refusal(f"{name}_issued_delete", table, "DELETE", _unless_sample(was, firm), _ISSUED)
    yield Refusal(
        f"{name}_issued_update", table, "UPDATE", f"{update} AND ({changed})" if changed else update, _ISSUED
    )


def _inspection() -> Iterator[Refusal]:
    """An issued inspection goes back to draft while a correction waits, and changes in no other way."""
    table = "inspections_inspection"
    others = _changed(apps.get_model("inspections", "Inspection"), but={"status"})
    waits = (
        "EXISTS (SELECT 1 FROM reports_correction"
        " WHERE inspection_id = OLD.id AND issued_as_id IS NULL AND dropped_at IS NULL)"
    )
    reopened = f"NEW.status = 'draft' AND NOT ({others}) AND {waits}"
    firm = INSTALLATION_FIRM.replace("{column}", "installation_id")
    kept = _unless_sample("OLD.status = 'issued'", firm)
    yield Refusal("inspection_issued_delete", table, "DELETE", kept, _ISSUED)
    yield Refusal(
        "inspection_issued_update",
        table,
        "UPDATE",
        f"OLD.status = 'issued' AND NOT ({reopened})",
        _ISSUED,
        reads=("reports_correction",),
    )


def _records() -> Iterator[Refusal]:
    record, photo, series = "reports_issuedrecord", "reports_recordphoto", "reports_recordseries"
    others = _changed(apps.get_model("reports", "IssuedRecord"), but={"pdf_sha256"})
    adds_pdf = f"OLD.pdf_sha256 = '' AND NEW.pdf_sha256 <> '' AND NOT ({others})"
    yield Refusal("issuedrecord_update", record, "UPDATE", f"NOT ({adds_pdf})", _FROZEN)
    yield Refusal("issuedrecord_delete", record, "DELETE", _unless_sample("TRUE", "{row}.firm_id"), _FROZEN)
    yield Refusal(
        "issuedrecord_same_firm",
        record,
        "INSERT",
        f"{INSPECTION_FIRM.format(row='NEW', column='inspection_id')} <> NEW.firm_id",
        "the inspection belongs to another firm",
    )
    yield Refusal("recordphoto_update", photo, "UPDATE", "TRUE", _FROZEN)
    of_record = "(SELECT firm_id FROM reports_issuedrecord WHERE id = {row}.record_id)"
    yield Refusal("recordphoto_delete", photo, "DELETE", _unless_sample("TRUE", of_record), _FROZEN)
    back = "NEW.firm_id <> OLD.firm_id OR NEW.last_number < OLD.last_number"
    yield Refusal("recordseries_update", series, "UPDATE", back, "a series of records never goes back")
    kept = _unless_sample("TRUE", "{row}.firm_id")
    yield Refusal("recordseries_delete", series, "DELETE", kept, "a series of records never goes back")


def _changed(model: type[Model], but: set[str]) -> str:
    """SQL that holds when any column other than ``but`` changes, to or from NULL too."""
    columns = [field.column for field in model._meta.concrete_fields if field.name not in but]
    return " OR ".join(
        f'COALESCE(OLD."{column}" <> NEW."{column}", (OLD."{column}" IS NULL) <> (NEW."{column}" IS NULL))'
        for column in columns
    )
