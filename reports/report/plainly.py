"""The report in plain English: what its outcome and codes mean to whoever is not an electrician, and what to
do next. Our own words; the codes themselves are the trade's.
"""

from collections import Counter
from collections.abc import Iterator

from inspections.enums import Code
from reports import words
from reports.words import Content

CODE_MEANS = {
    Code.C1: ("Danger present", "Someone can be hurt as it is. Put right at once."),
    Code.C2: ("Potentially dangerous", "One more fault or mishap could make it dangerous. Put right soon."),
    Code.FI: (
        "To be looked into",
        "It may be dangerous, and this visit could not settle it. Look into it soon.",
    ),
    Code.C3: ("Improvement recommended", "Not dangerous. Worth doing when other work is done."),
    "": ("Not classified", "No code has been given to it."),
}
_ORDER = (Code.C1, Code.C2, Code.FI, Code.C3)

_UNSATISFACTORY = (
    "At least one thing was found that is dangerous, could become dangerous, or has to be looked into before "
    "it can be called safe. It does not mean that everything is in poor order: the observations say what is "
    "wrong, where, and how urgent it is."
)
_SATISFACTORY = (
    "Nothing was found that makes the installation unsafe to go on using, within the extent and limits of "
    "this report. Wear and damage go on, so it needs to be inspected again in time."
)
_DRAFT = (
    "This is a draft. It has not been reviewed, and what was measured may still call for observations; only "
    "an issued report says whether the installation is satisfactory."
)
_NO_RULE = "The rules this inspection was held to give no outcome; read the observations one by one."


def outcome_word(content: Content) -> str:
    """The outcome in a word or two. A draft is never called satisfactory: what the checks found may yet
    become observations."""
    satisfactory = content["outcome"]["satisfactory"]
    if satisfactory is None:
        return "No outcome by rule"
    if content["issue"]:
        return "Satisfactory" if satisfactory else "Unsatisfactory"
    return "No outcome yet" if satisfactory else "Unsatisfactory, so far"


def outcome_means(content: Content) -> str:
    """What the outcome means to the client."""
    if content["outcome"]["satisfactory"] and not content["issue"]:
        return _DRAFT
    return {True: _SATISFACTORY, False: _UNSATISFACTORY, None: _NO_RULE}[content["outcome"]["satisfactory"]]


def still_open(content: Content) -> list[Content]:
    """The observations not put right when the record was made, the most urgent first."""
    return [observation for observation in content["observations"] if not observation["put_right"]]


def counts(content: Content) -> list[tuple[str, int, str]]:
    """(code, how many are open, what it means in a word or two) for each code, the most urgent first."""
    found = Counter(observation["code"]["key"] for observation in still_open(content))
    return [(code.value, found[code.value], CODE_MEANS[code][0]) for code in _ORDER]


def next_steps(content: Content) -> Iterator[tuple[str, str]]:
    """(when, what to do), the most urgent first."""
    by_code: dict[str, list[Content]] = {}
    for observation in still_open(content):
        by_code.setdefault(observation["code"]["key"], []).append(observation)
    for code, when, what in (
        (Code.C1, "At once", "Have {} put right. Until then keep what is named there off or out of reach."),
        (Code.C2, "Soon", "Have {} put right by a qualified electrician."),
        (Code.FI, "Soon", "Have {} looked into further: it may turn out to be dangerous."),
        (Code.C3, "In time", "Think of having {} improved when other work is done."),
        ("", "Ask", "{} has no code yet: ask the inspector."),
    ):
        if found := by_code.get(code):
            yield when, what.format(_numbered(found))
    yield from _about_loads(content)
    yield from _about_limits(content)
    yield from _about_next(content)


def _numbered(observations: list[Content]) -> str:
    numbers = words.listed([str(observation["number"]) for observation in observations])
    return f"observation {numbers}" if len(observations) == 1 else f"observations {numbers}"


def _about_loads(content: Content) -> Iterator[tuple[str, str]]:
    present = [
        load for load in content["load_register"] if load["state"]["key"] in ("in_place", "disconnected")
    ]
    if present:
        count = sum(load["count"] for load in present)
        yield (
            "Next test",
            f"Show the next electrician the load register in this report: {words.counted(count, 'part')} "
            "left across circuits upset an insulation test or must be disconnected before one.",
        )
    if any(load["state"]["key"] == "disconnected" for load in present):
        yield (
            "Soon",
            "Have the parts put back that were disconnected for the test and still are: see the load "
            "register.",
        )


def _about_limits(content: Content) -> Iterator[tuple[str, str]]:
    standing = [one for one in content["limitations"] if one["is_standing"]]
    if standing:
        numbers = words.listed([str(one["number"]) for one in standing])
        what = "limitation" if len(standing) == 1 else "limitations"
        yield (
            "Before then",
            f"Arrange with us how {what} {numbers} can be lifted, so that the next visit tests what this one "
            "could not.",
        )


def _about_next(content: Content) -> Iterator[tuple[str, str]]:
    due = content["next_due"]
    if due["on"]:
        yield (
            words.day(due["on"]),
            "Have the installation inspected and tested again by this day, and sooner after damage, "
            f"flooding, fire or a change of use. {due['reason']}".strip(),
        )


FOR_THE_READER: tuple[tuple[str, str], ...] = (
    (
        "C1, C2, C3, FI",
        "The urgency of an observation, given by the inspector. C1, C2 and FI make the outcome of a "
        "condition report unsatisfactory; C3 alone does not.",
    ),
    (
        "Limitation",
        "Something that was not tested or could not be seen. Agreed: settled with the client beforehand. "
        "Operational: met on the day. Standing: the same as at earlier visits. The report says nothing about "
        "what a limitation covers.",
    ),
    (
        "Board, circuit, way",
        "A board holds the switches and protective devices. Each feeds a circuit, the wiring to a group of "
        "lights, sockets or one appliance, and is known by its way: the place it has in the board.",
    ),
    (
        "Fuse, breaker, RCD",
        "A fuse or circuit-breaker switches off a circuit that carries too much current. An RCD switches off "
        "when current leaks to earth, as it does through a person. Press its test button every six months, "
        "unless its instructions name another interval.",
    ),
    (
        "Zs, Ze, R1+R2",
        "Resistances, in ohms (Ω), of the path a fault current takes. They must be low enough for the "
        "protective device to switch off in time.",
    ),
    (
        "Insulation resistance",
        "How well the wiring keeps current where it belongs, in millions of ohms (MΩ). High is good.",
    ),
    (
        "Load register",
        "Small parts left connected across a circuit, often hidden behind a fitting, such as a capacitor "
        "that stops lamps glowing when off. They are not faults, but they make an insulation test read low, "
        "and some are damaged by it. Whoever tests next must know of them.",
    ),
    ("✓  ✗  N/V  N/A", "Passed; failed; not verified; not applicable."),
)
