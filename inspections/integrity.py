"""Invariants between rows of different tables, kept by the database itself.

A result, a limitation, an observation or a load must never join two installations, nor an instrument two
firms, whichever code writes it. Constraints cannot look into another table, so these are triggers; another
app adds its own with ``register``. SQLite cannot rebuild a table that a trigger of another one reads, so all
are lifted before every migration and laid anew after it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.apps import apps
from django.db import connections

_INSPECTION = "(SELECT installation_id FROM inspections_inspection WHERE id = {row}.{column})"
_BOARD = "(SELECT installation_id FROM inspections_board WHERE id = {row}.{column})"
_CIRCUIT = (
    "(SELECT b.installation_id FROM inspections_circuit c JOIN inspections_board b ON b.id = c.board_id"
    " WHERE c.id = {row}.{column})"
)
_LIMITATION = (
    "(SELECT i.installation_id FROM inspections_limitation l"
    " JOIN inspections_inspection i ON i.id = l.inspection_id WHERE l.id = {row}.{column})"
)
_INSTRUMENT_FIRM = "(SELECT firm_id FROM inspections_instrument WHERE id = {row}.{column})"
MEMBER_FIRM = "(SELECT firm_id FROM inspections_member WHERE id = {row}.{column})"
INSTALLATION_FIRM = (
    "(SELECT cl.firm_id FROM inspections_installation n"
    " JOIN inspections_client cl ON cl.id = n.client_id WHERE n.id = {row}.{column})"
)
_CLIENT_FIRM = "(SELECT firm_id FROM inspections_client WHERE id = {row}.{column})"
INSPECTION_FIRM = (
    "(SELECT cl.firm_id FROM inspections_inspection i"
    " JOIN inspections_installation n ON n.id = i.installation_id"
    " JOIN inspections_client cl ON cl.id = n.client_id WHERE i.id = {row}.{column})"
)
OF_SAMPLE = "EXISTS (SELECT 1 FROM inspections_firm WHERE sample_of_id IS NOT NULL AND id = {firm})"


@dataclass(frozen=True)
class Refusal:
    """One trigger: ``event`` of a row of ``table`` is refused while ``when`` holds.

    event: INSERT, UPDATE, UPDATE OF columns, or DELETE. when: SQL that both databases understand, with the
    row as OLD and NEW. reads: other tables that ``when`` looks into and that may not be there yet.
    """

    name: str
    table: str
    event: str
    when: str
    message: str
    reads: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rule:
    """Two answers that must agree in a row of ``table`` whenever neither is NULL."""

    name: str
    table: str
    columns: tuple[str, ...]
    this: str
    that: str
    message: str
    on_insert: bool = True

    def refusals(self) -> Iterator[Refusal]:
        """Its triggers: when a row is changed, and when a new one is entered."""
        when = f"{self.this} <> {self.that}"
        update = f"UPDATE OF {', '.join(self.columns)}"
        yield Refusal(f"{self.name}_update", self.table, update, when, self.message)
        if self.on_insert:
            yield Refusal(f"{self.name}_insert", self.table, "INSERT", when, self.message)


def _new(query, column):
    return query.format(row="NEW", column=column)


def _pair(table, left, left_column, right, right_column):
    return Rule(
        f"{table.partition('_')[2]}_{right_column.removesuffix('_id')}_same_place",
        table,
        (left_column, right_column),
        _new(left, left_column),
        _new(right, right_column),
        f"{table}: {left_column} and {right_column} belong to different installations",
    )


def _fixed(table, query, column):
    return Rule(
        f"{table.partition('_')[2]}_{column.removesuffix('_id')}_stays",
        table,
        (column,),
        _new(query, column),
        query.format(row="OLD", column=column),
        f"{table}: {column} may not move to another owner",
        on_insert=False,
    )


_OWN_INSTALLATION = "{row}.{column}"

RULES = (
    _pair("inspections_circuitresult", _INSPECTION, "inspection_id", _CIRCUIT, "circuit_id"),
    _pair("inspections_boardresult", _INSPECTION, "inspection_id", _BOARD, "board_id"),
    _pair("inspections_observation", _INSPECTION, "inspection_id", _BOARD, "board_id"),
    _pair("inspections_observation", _INSPECTION, "inspection_id", _CIRCUIT, "circuit_id"),
    _pair("inspections_limitation_boards", _LIMITATION, "limitation_id", _BOARD, "board_id"),
    _pair("inspections_limitation_circuits", _LIMITATION, "limitation_id", _CIRCUIT, "circuit_id"),
    _pair("inspections_board", _OWN_INSTALLATION, "installation_id", _BOARD, "fed_from_id"),
    _pair("inspections_inspection", _OWN_INSTALLATION, "installation_id", _INSPECTION, "based_on_id"),
    _pair("inspections_limitation", _INSPECTION, "inspection_id", _LIMITATION, "carried_from_id"),
    _pair("remedies_parallelload", _INSPECTION, "inspection_id", _CIRCUIT, "circuit_id"),
    Rule(
        "inspection_instrument_same_firm",
        "inspections_inspection_instruments",
        ("inspection_id", "instrument_id"),
        _new(INSPECTION_FIRM, "inspection_id"),
        _new(_INSTRUMENT_FIRM, "instrument_id"),
        "the instrument belongs to another firm",
    ),
    Rule(
        "inspection_inspector_same_firm",
        "inspections_inspection",
        ("installation_id", "inspector_id"),
        _new(INSTALLATION_FIRM, "installation_id"),
        _new(MEMBER_FIRM, "inspector_id"),
        "the inspector belongs to another firm",
    ),
    _fixed("inspections_circuit", _BOARD, "board_id"),
    _fixed("inspections_board", _OWN_INSTALLATION, "installation_id"),
    _fixed("inspections_inspection", _OWN_INSTALLATION, "installation_id"),
    _fixed("inspections_installation", _CLIENT_FIRM, "client_id"),
    _fixed("inspections_client", _OWN_INSTALLATION, "firm_id"),
    _fixed("inspections_instrument", _OWN_INSTALLATION, "firm_id"),
)


# A record never becomes a sample, which may be thrown away, nor a sample a record.
_SAMPLE_STAYS = Refusal(
    "firm_sample_of_stays",
    "inspections_firm",
    "UPDATE OF sample_of_id",
    "COALESCE(OLD.sample_of_id, 0) <> COALESCE(NEW.sample_of_id, 0)",
    "whether a firm is a sample is settled when it is made",
)
_registered: dict[str, Refusal] = {
    refusal.name: refusal for refusal in (_SAMPLE_STAYS, *(r for rule in RULES for r in rule.refusals()))
}


def register(refusals: Iterable[Refusal]) -> None:
    """Have these laid too, after every migration."""
    _registered.update((refusal.name, refusal) for refusal in refusals)


def install(using):
    """Lay every trigger whose tables are there. Safe to repeat."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    lay = _lay_sqlite if connection.vendor == "sqlite" else _lay_postgresql
    with connection.cursor() as cursor:
        for refusal in _registered.values():
            if tables.issuperset((refusal.table, *refusal.reads)):
                lay(cursor, refusal)


def lift(using):
    """Take away every trigger on SQLite; on PostgreSQL none is ever in the way of a migration."""
    connection = connections[using]
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in cursor.fetchall():
            cursor.execute(f"DROP TRIGGER {name}")


def _lay_sqlite(cursor, refusal):
    cursor.execute(f"DROP TRIGGER IF EXISTS {refusal.name}")
    cursor.execute(
        f"CREATE TRIGGER {refusal.name} BEFORE {refusal.event} ON {refusal.table} "
        f"WHEN {refusal.when} BEGIN SELECT RAISE(ABORT, '{refusal.message}'); END"
    )


def _lay_postgresql(cursor, refusal):
    row = "OLD" if refusal.event == "DELETE" else "NEW"
    cursor.execute(
        f"CREATE OR REPLACE FUNCTION {refusal.name}() RETURNS trigger AS $$ BEGIN "
        f"IF {refusal.when} THEN "
        f"RAISE EXCEPTION '{refusal.message}' USING ERRCODE = 'check_violation'; END IF; "
        f"RETURN {row}; END $$ LANGUAGE plpgsql; "
        f"CREATE OR REPLACE TRIGGER {refusal.name} BEFORE {refusal.event} ON {refusal.table} "
        f"FOR EACH ROW EXECUTE FUNCTION {refusal.name}()"
    )


def lift_before_migrate(sender, using, **kwargs):
    lift(using)


def install_after_migrate(sender, using, **kwargs):
    """By the last signal every table is there."""
    if every_table_is_there(sender):
        install(using)


def every_table_is_there(sender) -> bool:
    """Whether the signal after a migration, sent once for each app that has models, is the last of them."""
    return sender == [config for config in apps.get_app_configs() if config.models_module][-1]
