"""What the words of a heading mean: its unit, the column, and the group that stands over columns.

The group decides what an ambiguous heading means; the case of r1, rn, r2 and R1, R2 decides where no group
does.
"""

import re
from functools import cache, lru_cache

from inspections.columns import CIRCUIT, CONDUCTORS, CONTINUITY, DEVICE, INSULATION, LIVE, RCD, RING, VISUAL
from inspections.intake.tables import RESULT_NAMES, SCHEDULE_TABLE, TABLES, Field, Table
from inspections.intake.units import Unit, plain_text, read_unit

LONGEST = 80
_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_LIMIT_WORDS = re.compile(r"max|limit|permit|allow|calc|design|tabulated|corrected", re.IGNORECASE)
_TRAILING = re.compile(r"(?P<head>.*?)(?:^|\s+in\s+|[\s/]+)(?P<tail>sq mm|mm sq|\S+)", re.DOTALL)

# Other names of the groups, and what a heading means under one of them only.
_GROUP_SPELLINGS: dict[str, tuple[str, ...]] = {
    CIRCUIT: ("circuit", "circuits", "circuit details", "circuit information"),
    CONDUCTORS: (
        "conductors",
        "conductor",
        "conductor csa",
        "conductors csa",
        "csa",
        "cable",
        "cables",
        "circuit conductors",
        "circuit conductor csa",
        "live conductors",
        "conductor size",
    ),
    DEVICE: (
        "protective device",
        "protective devices",
        "overcurrent device",
        "overcurrent devices",
        "overcurrent protective device",
        "overcurrent protective devices",
        "overcurrent protection",
        "ocpd",
        "device",
        "protection",
        "mcb",
        "fuse/mcb",
    ),
    RCD: (
        "rcd",
        "rcds",
        "rcd/rcbo",
        "rcbo",
        "residual current device",
        "rcd test",
        "rcd tests",
        "rcd testing",
    ),
    RING: (
        "ring",
        "ring final",
        "ring final circuit",
        "ring final circuits",
        "ring final circuits only",
        "ring continuity",
        "ring final circuit continuity",
        "continuity of ring final circuit conductors",
    ),
    CONTINUITY: (
        "continuity",
        "continuity test",
        "continuity of protective conductors",
        "protective conductor continuity",
        "all circuits",
        "all circuits to be completed using r1+r2 or r2",
    ),
    INSULATION: ("insulation resistance", "insulation", "ir", "insulation resistance test"),
    LIVE: ("live tests", "live test", "test results"),
    "Test button": (
        "test button",
        "test buttons",
        "manual test button",
        "functional tests",
        "test button operation",
    ),
}
_UNDER_GROUP: dict[str, dict[str, tuple[str, ...]]] = {
    RCD: {
        "time": ("rcd_trip_ms",),
        "ms": ("rcd_trip_ms",),
        "trip": ("rcd_trip_ms",),
        "trip time": ("rcd_trip_ms",),
        "tripping time": ("rcd_trip_ms",),
        "operating time": ("rcd_trip_ms",),
        "disconnection time": ("rcd_trip_ms",),
        "button": ("rcd_button",),
        "test button": ("rcd_button",),
        "test": ("rcd_button",),
        "rating": ("rcd_rating_a", "rcd_residual_ma"),
    },
    DEVICE: {"device": ("device_standard",), "zs": ("max_zs_ohm",), "time": ("disconnection_time_s",)},
    CONDUCTORS: {"phase": ("live_csa_mm2",), "live size": ("live_csa_mm2",)},
    "Test button": {"rcd": ("rcd_button",), "afdd": ("afdd_button",)},
}
# Headings too general to be read under a group that is not known.
NEEDS_GROUP = frozenset(
    {
        "type", "rating", "standard", "bs en", "bs", "device", "in", "capacity", "voltage",
        "time", "ms", "trip", "operating time", "test", "button", "test button",
        "live", "line", "l", "earth", "name", "number", "no", "method", "ref",
    }
)  # fmt: skip
BOTH_INSULATION = frozenset({"insulation resistance", "insulation", "ir", "insulation test"})
_RING_NAMES = frozenset({"r1", "rn", "r2"})
_WHOLE_GROUPS: dict[str, tuple[str, ...]] = {
    INSULATION: ("ir_live_live", "ir_live_earth"),
    CONTINUITY: ("r1_r2", "r2_only"),
    RING: ("r1", "rn", "r2"),
    RCD: ("rcd_trip_ms", "rcd_button"),
}


@lru_cache(maxsize=8192)
def _name(text: str) -> str:
    """A heading without its marks, its case kept: ``R1 + R2*`` to ``R1+R2``, ``I∆n`` to ``Idn``."""
    text = re.sub(r"[∆Δδ]", "d", plain_text(text))
    text = re.sub(r"[*†‡#:“”\"']", "", text).replace("&", " and ").replace("_", " ")
    text = re.sub(r"\.(?=\s|$)", " ", text).replace(".", "")
    text = re.sub(r"\s*([+/-])\s*", r"\1", text)
    return re.sub(r"\s+", " ", text).strip(" /-")


def _key(text: str) -> str:
    return _name(text).casefold()


@lru_cache(maxsize=8192)
def readings_of(text: str) -> tuple[tuple[str, Unit | None], ...]:
    """The ways a heading can be read, as name and unit, the likeliest first."""
    unit: Unit | None = None

    def without_unit(match: re.Match[str]) -> str:
        nonlocal unit
        found = read_unit(match[1])
        unit = unit or found
        return " " if found else match[0]

    rest = _BRACKETS.sub(without_unit, plain_text(text))
    opened = _name(_BRACKETS.sub(r" \1 ", rest))
    names = [(opened, unit)]
    dropped = _name(_BRACKETS.sub(" ", rest))
    if dropped != opened and not _LIMIT_WORDS.search(" ".join(_BRACKETS.findall(rest))):
        names.append((dropped, unit))
    if unit is None:
        names += [(name, trailing) for name, trailing in map(_trailing_unit, (opened, dropped)) if trailing]
    return tuple(dict.fromkeys(names))


def _trailing_unit(name: str) -> tuple[str, Unit | None]:
    """``Zs ohm`` to ``Zs`` and Ω; the name as it is, and None, when no unit ends it."""
    match = _TRAILING.fullmatch(name)
    unit = read_unit(match["tail"]) if match else None
    return (match["head"].strip(), unit) if match and unit else (name, None)


@cache
def _index(table: Table) -> dict[str, tuple[Field, ...]]:
    index: dict[str, tuple[Field, ...]] = {}
    for field in table.fields:
        words = (field.heading, f"{field.group} {field.heading}", *field.spellings)
        for key in dict.fromkeys(_key(word) for word in words):
            index[key] = (*index.get(key, ()), field)
    return index


@cache
def _under(table: Table, group: str) -> dict[str, tuple[Field, ...]]:
    """What headings mean under a group: the columns of that group, and what its name alone makes clear."""
    meant: dict[str, tuple[Field, ...]] = {}
    for key, fields in _index(table).items():
        if own := tuple(field for field in fields if field.group == group):
            meant[key] = own
    for key, names in _UNDER_GROUP.get(group, {}).items():
        meant[key] = tuple(field for name in names if (field := table.field(name)))
    return meant


@cache
def _known_words() -> frozenset[str]:
    return frozenset(key for table in TABLES for key in _index(table))


_GROUPS = {_key(word): group for group, words in _GROUP_SPELLINGS.items() for word in words}


def is_heading_word(text: str) -> bool:
    """Whether a cell's text is a heading of some table."""
    if len(text) > LONGEST or not text or text[0] in "<>.0123456789":
        return False
    return any(name.casefold() in _known_words() for name, _ in readings_of(text))


def columns_of_test(text: str) -> list[str]:
    """The result columns that the name of a test means: one by its heading, or all those of a group.

    >>> columns_of_test("Insulation resistance"), columns_of_test("R2"), columns_of_test("paint")
    (['ir_live_live', 'ir_live_earth'], ['r2_only'], [])
    """
    for name, _ in readings_of(text):
        if (group := _GROUPS.get(name.casefold())) in _WHOLE_GROUPS:
            return list(_WHOLE_GROUPS[group])
        if name.casefold() in ("visual", "visual inspection"):
            return [VISUAL]
        if name.casefold() in ("all", "all tests"):
            return list(RESULT_NAMES)
        found = anywhere(name, SCHEDULE_TABLE, frozenset())
        if names := [field.name for field in found if field.name in RESULT_NAMES]:
            return names[:1]
    return []


@lru_cache(maxsize=1024)
def read_group(text: str) -> tuple[str | None, Unit | None]:
    """The group that a text over columns names, and the unit it gives; None for what it does not."""
    for name, unit in readings_of(text):
        if group := _GROUPS.get(name.casefold()):
            return group, unit
    return None, None


def in_group(
    name: str, text: str, group: str | None, table: Table, lone: frozenset[str]
) -> tuple[Field, ...]:
    """What a heading may mean under a group, written ``text``. lone: every heading there, by itself."""
    key = name.casefold()
    if key in _RING_NAMES:
        has_ring = bool({"rn", "r1"} & {other.casefold() for other in lone})
        if group == CONTINUITY and not has_ring:
            # With no other conductor of a ring beside it, r2 here is that of the long-lead method.
            return _fields(table, "r2_only") if key == "r2" else ()
        return _fields(table, key) if group == RING else ()
    if group and (fields := _under(table, group).get(key)):
        return fields
    return _index(table).get(_key(f"{text} {name}"), ())


def anywhere(name: str, table: Table, lone: frozenset[str]) -> tuple[Field, ...]:
    """What a heading may mean by itself, under no group or under any. lone: as for ``in_group``."""
    key = name.casefold()
    if table is not SCHEDULE_TABLE or key not in _RING_NAMES:
        return _index(table).get(key, ())
    if name != "R2":
        return _fields(table, key)
    in_capitals = {"R1", "RN"} <= lone
    return _fields(table, "r2", "r2_only") if in_capitals else _fields(table, "r2_only")


def _fields(table: Table, *names: str) -> tuple[Field, ...]:
    return tuple(field for name in names if (field := table.field(name)))
