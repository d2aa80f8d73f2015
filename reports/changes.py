"""What differs between two contents of one installation: since the last time, or by a correction."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from inspections.columns import BY_NAME, CONDUCTORS, DEVICE, RCD, RESULTS
from inspections.enums import StandingAnswer

Content = dict[str, Any]
LIMITS_REST_ON = frozenset(
    name for name, column in BY_NAME.items() if column.group in (CONDUCTORS, DEVICE, RCD)
)
CIRCUIT = "circuit"
_GROUPED = (DEVICE, RCD)  # their headings repeat, so the group is named with them


@dataclass(frozen=True)
class Change:
    """``was`` and ``now`` are empty where there was, or is, nothing. bears_on_limit: it is a detail of a
    circuit that a limit rests on."""

    where: str
    what: str
    was: str
    now: str
    bears_on_limit: bool = False

    def as_content(self) -> dict[str, str]:
        """As it stands in the record."""
        return {"where": self.where, "what": self.what, "was": self.was, "now": self.now}

    @property
    def words(self) -> str:
        """``Protective device rating (A): was 32, is 40``."""
        if not self.was:
            return f"{self.what}: {self.now}, not there before"
        return f"{self.what}: was {self.was}, " + (f"is {self.now}" if self.now else "was removed")


@dataclass(frozen=True)
class Part:
    """One thing with its facts, known in both contents by ``key``. what: the kind of thing. whole: how it is
    told where it is new or gone."""

    key: tuple[str, ...]
    where: str
    what: str
    whole: str
    facts: dict[str, str]


def changes_between(before: Content, now: Content) -> list[Change]:
    """Everything that a correction changed."""
    return list(_differ(_all(before), _all(now)))


def changes_since(before: Content, now: Content) -> list[Change]:
    """What changed at the place since another inspection: all but what belongs to a visit alone."""
    return list(_differ(_of_place(before), _of_place(now)))


def _differ(before: Iterable[Part], now: Iterable[Part]) -> Iterator[Change]:
    was = dict(_by_key(before))
    for key, part in _by_key(now):
        former = was.pop(key, None)
        if former is None:
            yield Change(part.where, part.what, "", part.whole or "entered")
            continue
        for name in {**former.facts, **part.facts}:
            old, new = former.facts.get(name, ""), part.facts.get(name, "")
            if old != new:
                yield Change(part.where, name, old, new, part.what == CIRCUIT and name in _BEARING)
    for part in was.values():
        yield Change(part.where, part.what, part.whole or "entered", "")


def _by_key(parts: Iterable[Part]) -> Iterator[tuple[tuple[str | int, ...], Part]]:
    """Parts by their key; those of one key are told apart by their order."""
    seen: Counter[tuple[str, ...]] = Counter()
    for part in parts:
        seen[part.key] += 1
        yield (*part.key, seen[part.key]), part


def _all(content: Content) -> Iterator[Part]:
    yield from _of_place(content)
    yield from _of_visit(content)


def _of_place(content: Content) -> Iterator[Part]:
    place, visit = content["installation"], content["inspection"]
    facts = {name: _text(place[name]) for name in place}
    yield Part(("place",), "The installation", "installation", "", facts)
    supply = {"Ze (Ω)": visit["ze_ohm"], "Ipf (kA)": visit["ipf_ka"]}
    yield Part(("supply",), "The supply", "supply", "", supply)
    for board in content["boards"]:
        yield _board(board)
        yield from (_circuit(board, circuit) for circuit in board["circuits"])
    for limitation in content["limitations"]:
        if limitation["standing_answer"]["key"] != StandingAnswer.LIFTED:
            yield _limitation(limitation)
    for load in content["load_register"]:
        yield _load(load)


def _board(board: Content) -> Part:
    names = {
        "location": "location",
        "fed_from_words": "fed from",
        "phases": "phases",
        "ways": "ways",
        "main_switch": "main switch",
        "surge_protection": "surge protection",
        "retired_on": "out of use since",
    }
    facts = {words: _text(board[name]) for name, words in names.items()}
    whole = board["location"]
    return Part(("board", board["designation"]), board["designation"], "board", whole, facts)


def detail_name(name: str) -> str:
    """A column of the circuit details in full: ``Protective device rating (A)``."""
    column = BY_NAME[name]
    heading = column.title
    if column.group in _GROUPED:
        return f"{column.group} {heading[0].lower() + heading[1:] if column.group == DEVICE else heading}"
    return f"{column.group} {heading}" if column.group == CONDUCTORS else heading


_BEARING = frozenset(detail_name(name) for name in LIMITS_REST_ON)


def _circuit(board: Content, circuit: Content) -> Part:
    details = circuit["details"]
    where = f"{board['designation']}/{details['designation']}"
    facts = {detail_name(name): details[name] for name in details if name in BY_NAME}
    facts |= {name: _text(circuit[name]) for name in ("arrangement", "serves", "voltage_band")}
    return Part(
        ("circuit", where, circuit["retired_on"] or ""),
        where,
        CIRCUIT,
        details["description"],
        facts,
    )


def _limitation(row: Content) -> Part:
    tests = ", ".join(row["tests_words"])
    facts = {"reason": row["reason"], "agreed with": row["agreed_with"]}
    return Part(
        ("limitation", row["where"], tests), row["where"], "limitation", f"{tests}: {row['reason']}", facts
    )


def _load(row: Content) -> Part:
    facts = {"what it is": row["what"], "state": _text(row["state"]), "taken out": _text(row["taken_out_on"])}
    key = ("load", row["circuit_words"], row["place"], row["since"])
    return Part(key, row["circuit_words"], "parallel load", f"{row['what']}, {row['place']}", facts)


def _of_visit(content: Content) -> Iterator[Part]:
    visit = content["inspection"]
    facts = {
        name.replace("_", " "): _text(value)
        for name, value in visit.items()
        if name not in ("ze_ohm", "ipf_ka")
    }
    facts |= {f"client {name}": value for name, value in content["client"].items()}
    facts |= {
        "outcome": content["outcome"]["reason"],
        "next due": _text(content["next_due"]["on"]),
        "why then": content["next_due"]["reason"],
        "instruments": ", ".join(row["serial"] for row in content["instruments"]),
    }
    yield Part(("visit",), "The visit", "visit", "", facts)
    for board in content["boards"]:
        if board["measured"]:
            yield Part(
                ("measured", board["designation"]), board["designation"], "measured", "", board["measured"]
            )
        yield from _readings(board)
    for area in content["visual"]:
        for item in area["items"]:
            said = " ".join(part for part in (item["outcome"], item["remark"]) if part)
            yield Part(("visual", item["key"]), area["name"], item["text"], said, {item["text"]: said})
    for row in content["observations"]:
        facts = {name: _text(row[name]) for name in ("code", "regulation", "action_on_day", "photo")}
        facts["put right"] = _text(row["put_right"] and row["put_right"]["on"])
        yield Part(
            ("observation", row["where"], row["text"]), row["where"], "observation", row["text"], facts
        )


def _readings(board: Content) -> Iterator[Part]:
    for circuit in board["circuits"]:
        if circuit["result"]:
            where = f"{board['designation']}/{circuit['details']['designation']}"
            facts = {column.title: circuit["result"][column.name] for column in RESULTS}
            yield Part(("result", where, circuit["retired_on"] or ""), where, "readings", "", facts)


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return str(value.get("words") or value.get("name") or value.get("title") or "")
    return "" if value is None else str(value)
