"""What an observation was made from: a finding of the checks, or an item of the visual inspection.

Kept with the observation as ``finding zs-over-limit zs`` or ``visual meter-tails``, so that the page it came
from can say that it is done.
"""

from inspections.columns import BY_NAME
from inspections.rules import visual
from inspections.rules.finding import Code, Finding

_FINDING, _VISUAL = "finding", "visual"
_CODES = frozenset(Code)


def of_finding(finding: Finding) -> str:
    """The origin of an observation made from ``finding``; its circuit or board is the observation's own."""
    return " ".join(filter(None, (_FINDING, finding.code, finding.column)))


def of_item(key: str) -> str:
    """The origin of an observation made from the visual item of that key."""
    return f"{_VISUAL} {key}"


def is_finding(text: str) -> bool:
    """Whether ``text`` names a finding that the checks can make."""
    kind, _, rest = text.partition(" ")
    code, _, column = rest.partition(" ")
    return kind == _FINDING and code in _CODES and (not column or column in BY_NAME)


def item_of(text: str) -> visual.VisualItem | None:
    """The visual item that ``text`` names, if it names one."""
    kind, _, key = text.partition(" ")
    try:
        return visual.item(key) if kind == _VISUAL else None
    except KeyError:
        return None
