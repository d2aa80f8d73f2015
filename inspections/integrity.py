"""Invariants between rows of different tables, kept by the database itself.

A result, a limitation, an observation or a load must never join two installations, nor an instrument two
firms, whichever code writes it. Constraints cannot look into another table, so these are triggers. They are
laid anew after every migration, because SQLite drops a table's triggers when a migration rebuilds the table.
"""

from dataclasses import dataclass

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
_CLIENT_FIRM = "(SELECT firm_id FROM inspections_client WHERE id = {row}.{column})"
_INSPECTION_FIRM = (
    "(SELECT cl.firm_id FROM inspections_inspection i"
    " JOIN inspections_installation n ON n.id = i.installation_id"
    " JOIN inspections_client cl ON cl.id = n.client_id WHERE i.id = {row}.{column})"
)


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
    _pair("remedies_parallelload", _INSPECTION, "inspection_id", _CIRCUIT, "circuit_id"),
    Rule(
        "inspection_instrument_same_firm",
        "inspections_inspection_instruments",
        ("inspection_id", "instrument_id"),
        _new(_INSPECTION_FIRM, "inspection_id"),
        _new(_INSTRUMENT_FIRM, "instrument_id"),
        "the instrument belongs to another firm",
    ),
    _fixed("inspections_circuit", _BOARD, "board_id"),
    _fixed("inspections_board", _OWN_INSTALLATION, "installation_id"),
    _fixed("inspections_inspection", _OWN_INSTALLATION, "installation_id"),
    _fixed("inspections_installation", _CLIENT_FIRM, "client_id"),
    _fixed("inspections_client", _OWN_INSTALLATION, "firm_id"),
    _fixed("inspections_instrument", _OWN_INSTALLATION, "firm_id"),
)


def _sqlite(rule, event):
    return (
        f"CREATE TRIGGER {rule.name}_{event[:6].lower()} BEFORE {event} ON {rule.table} "
        f"WHEN {rule.this} <> {rule.that} BEGIN SELECT RAISE(ABORT, '{rule.message}'); END"
    )


def _postgresql(rule, event):
    name = f"{rule.name}_{event[:6].lower()}"
    return (
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger AS $$ BEGIN "
        f"IF {rule.this} <> {rule.that} THEN "
        f"RAISE EXCEPTION '{rule.message}' USING ERRCODE = 'check_violation'; END IF; "
        f"RETURN NEW; END $$ LANGUAGE plpgsql; "
        f"CREATE OR REPLACE TRIGGER {name} BEFORE {event} ON {rule.table} "
        f"FOR EACH ROW EXECUTE FUNCTION {name}()"
    )


def install(using):
    """Lay every trigger whose tables are there. Safe to repeat."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for rule in RULES:
            if rule.table not in tables:
                continue
            events = [f"UPDATE OF {', '.join(rule.columns)}"] + ["INSERT"] * rule.on_insert
            for event in events:
                if connection.vendor == "sqlite":
                    cursor.execute(f"DROP TRIGGER IF EXISTS {rule.name}_{event[:6].lower()}")
                    cursor.execute(_sqlite(rule, event))
                else:
                    cursor.execute(_postgresql(rule, event))


def install_after_migrate(sender, using, **kwargs):
    install(using)
