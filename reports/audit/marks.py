"""The database's own note of which places changed since they were last worked out for the audit.

Triggers write it, so that no way of writing to the record is missed: services, bulk writing, the admin.
"""

from collections.abc import Iterator

from django.db import connections

from inspections.integrity import every_table_is_there
from reports.audit.tables import AuditMark
from reports.triggers import EVENTS, Trigger, lay

_MARKS = AuditMark._meta.db_table
PLACE_OF = {
    "inspections_installation": "{row}.id",
    "inspections_board": "{row}.installation_id",
    "inspections_inspection": "{row}.installation_id",
    "inspections_circuit": "(SELECT installation_id FROM inspections_board WHERE id = {row}.board_id)",
    "remedies_boardlabel": "(SELECT installation_id FROM inspections_board WHERE id = {row}.board_id)",
    "remedies_parallelload": (
        "(SELECT b.installation_id FROM inspections_circuit c"
        " JOIN inspections_board b ON b.id = c.board_id WHERE c.id = {row}.circuit_id)"
    ),
    **dict.fromkeys(
        ("inspections_circuitresult", "inspections_limitation", "inspections_observation"),
        "(SELECT installation_id FROM inspections_inspection WHERE id = {row}.inspection_id)",
    ),
    **dict.fromkeys(
        (
            "inspections_limitation_boards",
            "inspections_limitation_circuits",
        ),
        "(SELECT i.installation_id FROM inspections_limitation l"
        " JOIN inspections_inspection i ON i.id = l.inspection_id WHERE l.id = {row}.limitation_id)",
    ),
}  # fmt: skip


def _triggers(vendor: str) -> Iterator[Trigger]:
    for table, place in PLACE_OF.items():
        for event, row in EVENTS.items():
            found = f"SELECT {place.format(row=row)} AS place"
            yield _trigger(table, event, _mark("installation_id", found, vendor))
    of_client = "SELECT id AS place FROM inspections_installation WHERE client_id = NEW.id"
    yield _trigger("inspections_client", "UPDATE", _mark("installation_id", of_client, vendor))
    for event, row in EVENTS.items():
        firm = f"SELECT {row}.firm_id AS place"
        yield _trigger("inspections_instrument", event, _mark("firm_id", firm, vendor))


def _trigger(table: str, event: str, does: str) -> Trigger:
    return Trigger(f"audit_{table.partition('_')[2]}_{event.lower()}", table, event, does)


def _mark(column: str, found: str, vendor: str) -> str:
    insert = f"INSERT INTO {_MARKS} ({column}) SELECT place FROM ({found}) AS f WHERE place IS NOT NULL"
    if vendor != "sqlite":
        return insert
    # One writer at a time there, so a mark that is seen is one that a later working out will take. Elsewhere
    # the mark seen might be taken before this writer's change is seen.
    return f"{insert} AND NOT EXISTS (SELECT 1 FROM {_MARKS} m WHERE m.{column} = place)"


def install_after_migrate(sender, using, **kwargs):
    """By the last signal every table is there."""
    if every_table_is_there(sender):
        lay(using, _triggers(connections[using].vendor))
