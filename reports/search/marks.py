"""The database's own note of which places and clients changed since their words were last worked out.

Triggers write it, so that no way of writing to the record is missed: services, bulk writing, the admin.
"""

from collections.abc import Iterator

from django.db import connections

from inspections.integrity import every_table_is_there
from reports.audit.marks import PLACE_OF
from reports.search.tables import SearchMark
from reports.triggers import EVENTS, Trigger, lay

_MARKS = SearchMark._meta.db_table
_PLACE = (
    "SELECT cl.firm_id AS firm, n.id AS place, NULL AS client FROM inspections_installation n"
    " JOIN inspections_client cl ON cl.id = n.client_id WHERE n.id = {place}"
)
_INSTALLATION = (
    "SELECT cl.firm_id AS firm, {row}.id AS place, NULL AS client FROM inspections_client cl"
    " WHERE cl.id = {row}.client_id"
)
_CLIENT = "SELECT {row}.firm_id AS firm, NULL AS place, {row}.id AS client"
_PLACES_OF_CLIENT = (
    "SELECT NEW.firm_id AS firm, n.id AS place, NULL AS client FROM inspections_installation n"
    " WHERE n.client_id = NEW.id"
)
_IN_A_PLACE = {
    "inspections_board": PLACE_OF["inspections_board"],
    "inspections_circuit": PLACE_OF["inspections_circuit"],
    "remedies_parallelload": PLACE_OF["remedies_parallelload"],
    "reports_issuedrecord": PLACE_OF["inspections_observation"],  # by its inspection, as an observation
}


def _triggers(vendor: str) -> Iterator[Trigger]:
    for event, row in EVENTS.items():
        for table, place in _IN_A_PLACE.items():
            yield _trigger(table, event, _PLACE.format(place=place.format(row=row)), vendor)
        yield _trigger("inspections_installation", event, _INSTALLATION.format(row=row), vendor)
        found = _CLIENT.format(row=row)
        if event == "UPDATE":
            found += f" UNION ALL {_PLACES_OF_CLIENT}"
        yield _trigger("inspections_client", event, found, vendor)


def _trigger(table: str, event: str, found: str, vendor: str) -> Trigger:
    insert = (
        f"INSERT INTO {_MARKS} (firm_id, installation_id, client_id)"
        f" SELECT f.firm, CAST(f.place AS bigint), CAST(f.client AS bigint) FROM ({found}) AS f"
    )
    if vendor == "sqlite":
        # One writer at a time there, so a mark that is seen is one that a later working out will take.
        insert += (
            f" WHERE NOT EXISTS (SELECT 1 FROM {_MARKS} m WHERE m.firm_id = f.firm"
            " AND m.installation_id IS f.place AND m.client_id IS f.client)"
        )
    return Trigger(f"search_{table.partition('_')[2]}_{event.lower()}", table, event, insert)


def install_after_migrate(sender, using, **kwargs):
    """By the last signal every table is there."""
    if every_table_is_there(sender):
        lay(using, _triggers(connections[using].vendor))
