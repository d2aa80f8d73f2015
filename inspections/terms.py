"""The trade's terms explained, for help where they are met. The texts are ours; ``terms.toml`` holds them."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

FILE = files("inspections") / "terms.toml"


@dataclass(frozen=True, slots=True)
class Term:
    """One term. says: what it is, in our words. source: where it is dealt with. fields: the columns and
    fields of forms that it explains."""

    key: str
    word: str
    says: str
    source: str
    from_memory: bool = False
    fields: tuple[str, ...] = ()

    @property
    def reference(self) -> str:
        """The source in one line, saying so where the clause is from memory."""
        return f"{self.source} (clause from memory)" if self.from_memory else self.source


@cache
def all_terms() -> dict[str, Term]:
    """Every term by its key, in the order of the file."""
    entries = tomllib.loads(FILE.read_text(encoding="utf-8")).items()
    return {key: Term(key, **{**entry, "fields": tuple(entry.get("fields", ()))}) for key, entry in entries}


@cache
def _by_field() -> dict[str, Term]:
    return {name: term for term in all_terms().values() for name in term.fields}


def term_of(field: str | None) -> Term | None:
    """The term that explains a column or a field of a form, if there is one."""
    return _by_field().get(field or "")
