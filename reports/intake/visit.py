"""The visit of a record: the inspection, its results and what was said at it."""

from collections.abc import Iterator

from inspections.columns import RESULTS
from inspections.enums import StandingAnswer
from inspections.models import (
    BoardResult,
    CircuitResult,
    Inspection,
    Limitation,
    Observation,
    VisualOutcome,
)
from reports.intake.rows import Rows, check, find
from reports.intake.told import day, place_alone, whole


def bring_in_visit(rows: Rows) -> list[tuple[str, int]]:
    """The inspection with all that was found at it, still a draft; how many rows of each thing, in words."""
    rows.inspection = _inspection(rows)
    _board_results(rows)
    return [
        ("Circuits with results", _results(rows)),
        ("Limitations", sum(1 for _ in _limitations(rows))),
        ("Observations", sum(1 for _ in _observations(rows))),
        ("Visual inspection outcomes", _visual(rows)),
    ]


def _inspection(rows: Rows) -> Inspection:
    told, due = rows.content["inspection"], rows.content["next_due"]
    row = Inspection(
        installation=rows.installation,
        kind=told["kind"]["key"],
        started_on=day(told["started_on"]),
        finished_on=day(told["finished_on"]),
        inspector=rows.member,
        edition=rows.installation.rule_set,
        ze=told["ze_ohm"],
        next_due_on=day(due["on"]),
        next_due_reason=due["reason"],
        **{
            name: told[name]
            for name in (
                "reason", "extent", "general_condition", "ipf_ka", "supply_polarity",
                "calibration_explanation",
            )
        },
    )  # fmt: skip
    return rows.save(row, "the inspection")


def _board_results(rows: Rows) -> None:
    for told in rows.content["boards"]:
        if measured := told["measured"]:
            result = BoardResult(
                inspection=rows.inspection, board=rows.boards[told["number"]], zdb=measured["zdb_ohm"]
            )
            for name in ("ipf_ka", "polarity", "phase_sequence", "surge_indicator"):
                setattr(result, name, measured[name])
            rows.save(result, f"board {told['designation']}")


def _results(rows: Rows) -> int:
    made = []
    for told in rows.content["boards"]:
        for circuit in told["circuits"]:
            if circuit["result"] is None:
                continue
            readings = {column.name: circuit["result"][column.name] for column in RESULTS}
            readings["ir_voltage_v"] = whole(readings["ir_voltage_v"])
            row = CircuitResult(
                inspection=rows.inspection, circuit=rows.circuits[circuit["number"]], **readings
            )
            name = f"results of {told['designation']}/{circuit['details']['designation']}"
            check(row, name, exclude=["inspection", "circuit"])
            made.append(row)
    rows.create(made, "results")
    return len(made)


def _limitations(rows: Rows) -> Iterator[Limitation]:
    for told in rows.content["limitations"]:
        where = f"limitation {told['number']}"
        if told["standing_answer"]["key"] == StandingAnswer.LIFTED:
            rows.left_out.append(f"Limitation {told['number']} was lifted, so it no longer stands.")
            continue
        elsewhere = told["visits"] - 1
        row = Limitation(
            inspection=rows.inspection,
            kind=told["kind"]["key"],
            tests=told["tests"],
            scope=told["scope"]["key"],
            agreed_on=day(told["agreed_on"]),
            known_since=day(told["since"]) if elsewhere else None,
            visits_elsewhere=elsewhere,
            **{name: told[name] for name in ("reason", "agreed_with", "agreed_how", "is_standing")},
        )
        rows.save(row, where)
        row.boards.set([find(rows.boards, number, where) for number in told["boards"]])
        row.circuits.set([find(rows.circuits, number, where) for number in told["circuits"]])
        yield row


def _observations(rows: Rows) -> Iterator[Observation]:
    for told in rows.content["observations"]:
        where = f"observation {told['number']}"
        right = told["put_right"] or {"on": None, "by": "", "evidence": ""}
        board, circuit = told["place"]["board"], told["place"]["circuit"]
        row = Observation(
            inspection=rows.inspection,
            board=find(rows.boards, board, where) if board else None,
            circuit=find(rows.circuits, circuit, where) if circuit else None,
            place=place_alone(told["where"], _designation(rows, board, circuit)),
            code=told["code"]["key"],
            client_warned_on=day(told["client_warned_on"]),
            put_right_on=day(right["on"]),
            put_right_by=right["by"],
            evidence=right["evidence"],
            **{name: told[name] for name in ("text", "regulation", "made_from", "action_on_day")},
        )
        rows.take_photo(row, told["photo"])
        yield rows.save(row, where)


def _designation(rows: Rows, board: int | None, circuit: int | None) -> str:
    if circuit:
        return str(rows.circuits[circuit])
    return rows.boards[board].designation if board else ""


def _visual(rows: Rows) -> int:
    made = [
        VisualOutcome(
            inspection=rows.inspection, item=item["key"], outcome=item["outcome"], remark=item["remark"]
        )
        for area in rows.content["visual"]
        for item in area["items"]
        if item["outcome"]
    ]
    for row in made:
        check(row, f"visual item {row.item}", exclude=["inspection"])
    rows.create(made, "visual outcomes")
    return len(made)
