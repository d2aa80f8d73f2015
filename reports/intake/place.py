"""The place of a record: whose it is, its installation, boards and circuits."""

from inspections.models import Board, Circuit, Client, Installation
from inspections.models.installation import DEFAULT_EDITION
from inspections.rules import edition as editions
from reports.intake.read import RecordIntakeError
from reports.intake.rows import Rows, check
from reports.intake.told import day, decimal, way, whole

_DECIMALS = (
    "live_csa_mm2", "cpc_csa_mm2", "length_m", "design_current_a", "disconnection_time_s", "device_rating_a",
    "breaking_capacity_ka", "max_zs_ohm", "rcd_residual_ma", "rcd_rating_a",
)  # fmt: skip
_TEXTS = (
    "description", "wiring_type", "reference_method", "device_standard", "device_type", "rcd_standard",
    "rcd_type",
)  # fmt: skip


def bring_in_place(rows: Rows, client: str, installation: str) -> None:
    """The installation, all new, of a client of that name, who may be there already."""
    rows.installation = _place(rows, _client(rows, client), installation)
    _boards(rows)
    _circuits(rows)


def _client(rows: Rows, name: str) -> Client:
    firm = rows.member.firm
    standing = Client.objects.for_firm(firm).filter(name=name).first()
    return standing or rows.save(
        Client(firm=firm, name=name, address=rows.content["client"]["address"]), "the client"
    )


def _place(rows: Rows, client: Client, name: str) -> Installation:
    if client.installations.filter(name=name).exists():
        raise RecordIntakeError(
            f"{client} already has an installation called “{name}”. Give the incoming one another "
            "name: nothing here is overwritten."
        )
    told = rows.content["installation"]
    keys = {field: told[field]["key"] for field in ("use", "earthing", "phases")}
    plain = {
        field: told[field]
        for field in (
            "address", "postcode", "built", "alterations", "nominal_voltage_v", "frequency_hz",
            "interval_months",
        )
    }  # fmt: skip
    due = day(rows.content["next_due"]["on"])
    row = Installation(client=client, name=name, next_due_on=due, rule_set=_edition(rows), **keys, **plain)
    return rows.save(row, "the installation")


def _edition(rows: Rows) -> str:
    told = rows.content["inspection"]["edition"]
    if told["key"] in editions.available():
        return told["key"]
    rows.left_out.append(
        f"The edition it was held to, “{told['title']}”, is not known here; "
        f"{editions.load(DEFAULT_EDITION)} stands in its place."
    )
    return DEFAULT_EDITION


def _boards(rows: Rows) -> None:
    for told in rows.content["boards"]:
        feeder = rows.boards.get(told["fed_from"])
        row = Board(
            installation=rows.installation,
            designation=told["designation"],
            location=told["location"],
            fed_from=feeder,
            fed_from_way=way(told["fed_from_words"], feeder),
            phases=told["phases"]["key"],
            ways=whole(told["ways"]),
            main_switch=told["main_switch"],
            surge_protection=told["surge_protection"],
            retired_on=day(told["retired_on"]),
        )
        rows.boards[told["number"]] = rows.save(row, f"board {told['designation']}")


def _circuits(rows: Rows) -> None:
    for told in rows.content["boards"]:
        for circuit in told["circuits"]:
            details = circuit["details"]
            row = Circuit(
                board=rows.boards[told["number"]],
                way=circuit["way"],
                phase=circuit["phase"],
                is_spare=circuit["is_spare"],
                retired_on=day(circuit["retired_on"]),
                points=whole(details["points"]),
                nominal_voltage_v=whole(details["nominal_voltage_v"]),
                arrangement=circuit["arrangement"]["key"],
                serves=circuit["serves"]["key"],
                voltage_band=circuit["voltage_band"]["key"],
                equipment_stays_connected=circuit["equipment_stays_connected"],
                **{name: decimal(details[name]) for name in _DECIMALS},
                **{name: details[name] for name in _TEXTS},
            )
            check(row, f"circuit {told['designation']}/{details['designation']}", exclude=["board"])
            if circuit["number"] in rows.circuits:
                raise RecordIntakeError(f"Circuit {details['designation']} appears twice in the record.")
            rows.circuits[circuit["number"]] = row
    rows.create(rows.circuits.values(), "circuits")
