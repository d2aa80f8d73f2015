# ruff: noqa: E501  the rows read best as the lines they are
"""Invented contents of records, as the program gathers them: Tidewell Electrical at Larkfield."""

import hashlib
from functools import cache
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw

from inspections.columns import RESULTS
from inspections.enums import Arrangement, Code, InspectionKind, Serves, VoltageBand
from inspections.rules import visual
from remedies.cautions import GENERAL
from remedies.enums import Connection, LoadKind, LoadState, Origin
from reports.content import SCHEMA

EDITION = {"key": "bs7671_2018_a2_2022", "title": "BS 7671:2018+A2:2022"}
_MEMORY = {"publication": "BS 7671:2018+A2:2022", "clause": "", "from_memory": False}

# way|description|points|live|cpc|device|type|rating|max Zs|RCD mA|ring|r1|rn|r2|R1+R2|V|live-live|live-earth|Zs|ms|remarks
_HOUSE = """
1|Cooker|1|6|2.5|BS EN 61009|B|32|1.37|30|||||0.28|500|>200|>200|0.47|24|
2|Ring final, kitchen and utility sockets|12|2.5|1.5|BS EN 61009|B|32|1.37|30|ring|0.38|0.38|0.63|0.26|500|>200|>200|0.45|27|
3|Ring final, ground floor sockets|14|2.5|1.5|BS EN 61009|B|32|1.37|30|ring|0.52|0.53|0.86|0.35|500|>200|148|0.54|26|
4|Ring final, first floor sockets|11|2.5|1.5|BS EN 61009|B|32|1.37|30|ring|0.61|0.60|1.01|0.41|500|>200|>200|0.60|29|
5|Lights, ground floor, hall and porch|16|1.5|1.0|BS EN 61009|B|6|7.28|30|||||1.12|500|0.98|>200|1.31|22|Capacitor behind the porch light left in, see the load register
6|Lights, first floor and loft|13|1.5|1.0|BS EN 61009|B|6|7.28|30|||||1.30|500|LIM|185|1.49|25|Stair luminaire not taken down, see the limitations
7|Shower, 9.5 kW|1|10|4|BS EN 61009|B|40|1.09|30|||||0.16|500|>200|>200|0.35|21|
8|Immersion heater|1|2.5|1.5|BS EN 60898|B|16|2.73||||||0.49|500|>200|96.4|0.68||
9|Smoke and heat alarms, interlinked|5|1.5|1.0|BS EN 61009|B|6|7.28|30|||||1.04|250|>200|>200|1.23|28|Tested at 250 V with the alarms left in
10|Boiler and heating controls|3|1.5|1.0|BS EN 61009|B|6|7.28|30|||||0.77|500|LIM|>200|0.96|23|
11|Garage and workshop supply|6|4|2.5|BS EN 61009|C|20|1.09|30|||||0.44|500|>200|62.1|0.63|31|
12|Outdoor sockets and pond pump|4|2.5|1.5|BS EN 61009|B|16|2.73|30|||||0.83|500|>200|12.7|1.02|18|
"""


def _choice(of: Any) -> dict[str, str]:
    return {"key": of.value, "words": str(of.label)}


@cache
def picture(text: str, width: int = 800, height: int = 600) -> bytes:
    """A JPEG of a grey wall with a mark on it."""
    image = Image.new("RGB", (width, height), (206, 205, 200))
    pen = ImageDraw.Draw(image)
    pen.rectangle(
        (width // 5, height // 4, width * 4 // 5, height * 3 // 4),
        fill=(236, 235, 230),
        outline=(90, 90, 90),
        width=6,
    )
    pen.line((width // 5, height // 4, width // 2, height // 2), fill=(40, 40, 40), width=8)
    pen.text((20, 20), text, fill=(40, 40, 40))
    out = BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def photos() -> dict[str, bytes]:
    """The photographs that the contents name."""
    taken = (picture("Board cover"), picture("Porch light"), picture("Garage socket", 600, 800))
    return {hashlib.sha256(one).hexdigest(): one for one in taken}


def _photo(text: str, *size: int) -> dict[str, str]:
    return {"name": "photo.jpg", "sha256": hashlib.sha256(picture(text, *size)).hexdigest()}


def _circuit(number: int, way: str, line: str) -> dict[str, Any]:
    (
        _, description, points, live, cpc, standard, kind, rating, limit, rcd, ring, r1, rn, r2, r1_r2, volts,
        live_live, live_earth, zs, trip_ms, remarks,
    ) = line.split("|")  # fmt: skip
    has_rcd = bool(rcd)
    loaded = live_live == "0.98"
    return {
        "number": number, "way": way, "phase": "", "is_spare": False, "retired_on": None,
        "details": {
            "designation": way, "description": description, "wiring_type": "A", "reference_method": "C",
            "points": points, "live_csa_mm2": live, "cpc_csa_mm2": cpc, "disconnection_time_s": "0.4",
            "device_standard": standard, "device_type": kind, "device_rating_a": rating,
            "breaking_capacity_ka": "6", "max_zs_ohm": "",
            "rcd_standard": standard if has_rcd else "", "rcd_type": "A" if has_rcd else "",
            "rcd_residual_ma": rcd, "rcd_rating_a": rating if has_rcd else "",
            "length_m": "", "design_current_a": "", "nominal_voltage_v": "",
        },
        "arrangement": _choice(Arrangement.RING if ring else Arrangement.RADIAL),
        "serves": _choice(Serves.SOCKETS if "socket" in description else Serves.FIXED),
        "voltage_band": _choice(VoltageBand.LOW),
        "equipment_stays_connected": False,
        "max_zs": {
            "ohm": limit, "by_hand": False, "worked_out_ohm": limit, "cold_ohm": "", "working": "230 × 0.95 / Ia",
            "source": _MEMORY, "cannot_tell": "",
        },
        "result": dict.fromkeys((column.name for column in RESULTS), "") | {
            "r1": r1, "rn": rn, "r2": r2, "r1_r2": r1_r2, "ir_voltage_v": volts, "ir_live_live": live_live,
            "ir_live_earth": live_earth, "polarity": "✓", "zs": zs, "rcd_trip_ms": trip_ms,
            "rcd_button": "✓" if has_rcd else "", "instrument_group": "A", "remarks": remarks,
        },
        "expected": [],
        "explained": {
            "verdict": "explained by what is registered",
            "summary": "The register explains it: 0.80 to 1.20 MΩ is expected with those loads in.",
            "lines": [], "next_step": "",
        } if loaded else None,
    } | ({"expected": [_EXPECTED]} if loaded else {})  # fmt: skip


_EXPECTED = {
    "test_v": 500, "mohm": "0.80 to 1.20 MΩ", "low_mohm": "0.8", "high_mohm": "1.2", "voltage": "", "settles": "",
    "discharges": "", "stays_charged": False, "reasons": [], "assumptions": [], "working": [],
}  # fmt: skip


def _board(number: int, circuits: list[dict[str, Any]], boards: int) -> dict[str, Any]:
    place = ("Meter cupboard in the hall", "Workshop", "Annexe", "Sluice house", "Weir room", "Boat shed")[
        (number - 1) % 6
    ]
    sub = number > 1
    return {
        "number": number, "designation": f"DB{number}", "location": place, "depth": int(sub),
        "fed_from": 1 if sub else None, "fed_from_words": f"DB1 way {number}" if sub else "the supply",
        "phases": {"key": "1", "words": "Single-phase"}, "ways": "18", "main_switch": "BS EN 60947-3, 2-pole, 100 A",
        "surge_protection": "" if sub else "Type 2, 275 V", "retired_on": None,
        "measured": {
            "zdb_ohm": "0.28" if sub else "0.19", "ipf_ka": "0.9" if sub else "1.2", "polarity": "✓",
            "phase_sequence": "N/A", "surge_indicator": "N/A" if sub else "✓",
        },
        "circuits": circuits,
    }  # fmt: skip


def _limitation(number: int, **own: Any) -> dict[str, Any]:
    return {
        "number": number, "kind": {"key": "operational", "words": "Operational"}, "tests": ["ir_live_live"],
        "tests_words": ["Live-live"], "scope": {"key": "circuits", "words": "Some circuits"}, "boards": [],
        "circuits": [6], "where": "DB1/6", "reason": "The stair luminaire is out of reach without a tower.",
        "agreed_with": "", "agreed_on": None, "agreed_how": "", "is_standing": True,
        "standing_answer": {"key": "kept", "words": "Kept"}, "since": "2016-10-12", "visits": 3, **own,
    }  # fmt: skip


def _observation(number: int, code: Code, text: str, where: str, **own: Any) -> dict[str, Any]:
    return {
        "number": number, "code": {"key": code.value, "words": str(code.label)}, "text": text,
        "place": {"board": 1, "circuit": None}, "where": where, "regulation": "", "made_from": "",
        "action_on_day": "", "client_warned_on": None, "photo": None, "put_right": None, **own,
    }  # fmt: skip


def _observations(kind: InspectionKind) -> list[dict[str, Any]]:
    if kind in (InspectionKind.INITIAL, InspectionKind.ALTERATION):
        return [
            _observation(
                1, Code.C3, "The old bonding clamp has no label; the new one beside it has.", "Kitchen sink"
            ),
        ]
    return [
        _observation(
            1, Code.C1, "Live busbar can be touched through a missing blank in the board’s cover, at way 14.",
            "DB1, Meter cupboard in the hall", regulation="416.2.1", photo=_photo("Board cover"),
            action_on_day="A blank was fitted and the cover checked before leaving.",
            client_warned_on="2026-11-03",
            put_right={"on": "2026-11-03", "by": "Idris Penhale", "evidence": "Blank fitted; finger probe does not enter."},
        ),
        _observation(
            2, Code.C2, "The socket by the garage door is broken: its shutter does not close and the front is loose "
            "in the wall.", "DB1/11, Garage, by the door", regulation="651.2", photo=_photo("Garage socket", 600, 800),
            place={"board": 1, "circuit": 11},
        ),
        _observation(
            3, Code.FI, "Insulation to earth of the outdoor circuit has fallen from over 200 MΩ to 12.7 MΩ in ten "
            "years. Where the loss lies could not be found in the time agreed.", "DB1/12, Garden",
            place={"board": 1, "circuit": 12},
        ),
        _observation(4, Code.C3, "The immersion heater’s circuit has no RCD; the rest of the house has.", "DB1/8",
                     regulation="411.3.3", place={"board": 1, "circuit": 8}),
        _observation(5, Code.C3, "The board’s list of circuits is out of date: ways 10 to 12 are not on it.", "DB1",
                     regulation="514.9.1"),
    ]  # fmt: skip


def _load(number: int, **own: Any) -> dict[str, Any]:
    return {
        "number": number, "circuit": 5, "circuit_words": "DB1/5", "count": 1,
        "what": "Suppression capacitor X2 0.1 µF with 1 MΩ discharge resistor 275 V", "in_brief": "X2 0.1 µF with 1 MΩ",
        "capacitor_class": "X2", "capacitance_uf": "0.1", "resistance_ohm": "", "resistors_in_series": "1",
        "discharge_resistor_ohm": "1000000", "tolerance_percent": "", "rated_voltage_v": "275", "rated_power_w": "",
        "place": "Behind the porch light", "access": "Two screws, 3 m steps", "access_minutes": "15",
        "reason": "LED lamp glowed when switched off", "taken_out_by": "", "remarks": "", "since": "2023-02-14",
        "state_since": "2023-02-14", "taken_out_on": None, "kind": _choice(LoadKind.CAPACITOR),
        "connection": _choice(Connection.SWITCHED_L_N), "state": _choice(LoadState.IN_PLACE),
        "origin": _choice(Origin.FITTED), "is_hidden": True, "photo": _photo("Porch light"), "cautions": [], **own,
    }  # fmt: skip


def _visual() -> list[dict[str, Any]]:
    said = {
        0: ("C3", "See observation 5"),
        4: ("N/A", ""),
        17: ("LIM", "Floor boards not lifted"),
        31: ("N/V", ""),
    }
    areas, count = [], 0
    for area in visual.areas():
        items = []
        for item in area.items:
            outcome, remark = said.get(count, ("✓", ""))
            count += 1
            items.append(
                {
                    "key": item.key, "text": item.text, "regulation": item.source.clause,
                    "regulation_from_memory": item.source.from_memory, "outcome": outcome, "remark": remark,
                }
            )  # fmt: skip
        areas.append({"key": area.key, "name": area.name, "items": items})
    return areas


def record(
    circuits: int = 12,
    boards: int = 1,
    kind: InspectionKind = InspectionKind.PERIODIC,
    *,
    issued: bool = True,
) -> dict[str, Any]:
    """A record of so many circuits, spread over so many boards."""
    lines = _HOUSE.strip().splitlines()
    numbers = [range(board, circuits, boards) for board in range(boards)]
    first, tree = 1, []
    for board, here in enumerate(numbers, start=1):
        of_board = [_circuit(first + n, str(n + 1), lines[n % len(lines)]) for n in range(len(here))]
        first += len(of_board)
        tree.append(_board(board, of_board, boards))
    is_new = kind in (InspectionKind.INITIAL, InspectionKind.ALTERATION)
    return {
        "schema": SCHEMA,
        "issue": _issue() if issued else None,
        "firm": {
            "name": "Tidewell Electrical", "address": "The Old Ropewalk\nLarkfield", "phone": "01632 960114",
            "email": "office@tidewell.example.com",
        },
        "client": {"name": "Agnès Wołek", "address": "3 Weir Cottages\nLarkfield"},
        "installation": {
            "name": "3 Weir Cottages", "address": "3 Weir Cottages\nMill Lane\nLarkfield", "postcode": "LF1 4QZ",
            "use": {"key": "dwelling_rented", "words": "Dwelling, rented"}, "built": "about 1910",
            "alterations": "Kitchen extended in 2016; garage supply added later",
            "earthing": {"key": "TN-C-S", "words": "TN-C-S"}, "phases": {"key": "1", "words": "Single-phase"},
            "nominal_voltage_v": 230, "frequency_hz": 50, "interval_months": 60,
        },
        "inspection": {
            "kind": _choice(kind), "started_on": "2026-11-03", "finished_on": "2026-11-04",
            "last_inspected_on": None if is_new else "2021-10-28",
            "reason": "The house is let; the report is due, and the tenant says that the porch light glows when off.",
            "extent": "The whole fixed installation of house and garage, from the meter to every outlet. Not the "
            "appliances, nor the solar panels on the roof, which have a report of their own.",
            "general_condition": "The wiring is sound for its age and the board is recent. One danger was met and "
            "put right on the day; a broken socket and a fall in insulation outdoors need attention soon.",
            "inspector": {"name": "Idris Penhale", "role": "Inspector", "qualification": "Level 3 inspection and testing"},
            "edition": EDITION, "ze_ohm": "0.19", "ipf_ka": "1.2", "supply_polarity": "✓",
            "calibration_explanation": "",
        },
        "boards": tree,
        "findings": [
            {
                "severity": "look into", "code": "insulation-look-into", "column": "ir_live_earth",
                "place": {"board": 1, "circuit": 12}, "summary": "Live-earth fell from >200 to 12.7 MΩ.",
                "working": "", "figures": [], "reference": "common practice, no source",
                "answer": {"text": "Raised as observation 3.", "by": "Morag Tidewell", "on": "2026-11-05"},
            }
        ] if circuits >= 12 and not is_new and boards == 1 else [],
        "limitations": [] if kind is InspectionKind.INITIAL else [
            _limitation(1),
            _limitation(
                2, kind={"key": "agreed", "words": "Agreed"}, circuits=[10], where="DB1/10",
                reason="The boiler is not switched off for the test in the heating season.", agreed_with="Agnès Wołek",
                agreed_on="2026-10-20", agreed_how="by e-mail", is_standing=False,
                standing_answer={"key": "", "words": "—"}, since="2026-11-03", visits=1,
            ),
            _limitation(
                3, tests=["zs"], tests_words=["Zs"], where="DB1/11",
                standing_answer={"key": "lifted", "words": "Lifted"}, is_standing=False, visits=2, circuits=[11],
            ),
        ],
        "observations": _observations(kind),
        "visual": [] if kind is InspectionKind.FAULT else _visual(),
        "load_register": [
            _load(1),
            _load(
                2, circuit=3, circuit_words="DB1/3", what="Indicator neon in an accessory 220 kΩ", in_brief="indicator neon 220 kΩ",
                kind=_choice(LoadKind.INDICATOR), capacitor_class="", capacitance_uf="", resistance_ohm="220000",
                discharge_resistor_ohm="", rated_voltage_v="", connection=_choice(Connection.L_N), place="Switched socket by the stairs",
                access="", access_minutes="", reason="", since="2021-10-28", state_since="2026-11-03", is_hidden=False,
                state=_choice(LoadState.TAKEN_OUT), taken_out_on="2026-11-03", taken_out_by="Idris Penhale",
                origin=_choice(Origin.FOUND), photo=None, remarks="Replaced by a plain socket",
            ),
        ] if not is_new else [],
        "instruments": [
            {
                "group": "A", "measures": {"key": "multifunction", "words": "Multifunction tester"}, "serial": "TW-0417",
                "description": "", "calibrated_until": "2027-03-31", "in_calibration": True,
            },
            {
                "group": "B", "measures": {"key": "voltage", "words": "Voltage"}, "serial": "TW-0533",
                "description": "Two-pole voltage detector", "calibrated_until": "2026-10-31", "in_calibration": False,
            },
        ],
        "outcome": {"satisfactory": is_new, "reason": "Satisfactory: C3 once alone." if is_new else "Unsatisfactory: C2 once, FI once.", "source": _MEMORY},
        "next_due": {
            "on": "2031-11-03", "reason": "Five years: let to one household, and the wiring is sound for its age.",
            "published": {"words": "5 years for rented dwellings", "months": 60, "at_latest": "2031-11-04", "source": _MEMORY},
        },
        "cautions": list(GENERAL),
    }  # fmt: skip


def _issue() -> dict[str, Any]:
    return {
        "number": 41, "revision": 1, "issued_at": "2026-11-05T15:04:05Z", "issued_on": "2026-11-05",
        "issued_by": {"name": "Morag Tidewell", "role": "Supervisor", "qualification": ""},
        "previous_sha256": hashlib.sha256(b"the record before").hexdigest(), "replaces_sha256": "",
        "what_changed": "", "changes": [],
    }  # fmt: skip
