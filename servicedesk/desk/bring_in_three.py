"""Three versions of one field: what the list said last, what stands here, what it says now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from servicedesk.desk.bring_in_fields import Wish

EMPTY: tuple[Any, ...] = (None, "", [])


@dataclass(frozen=True, slots=True)
class Memory:
    """What a list said of fields, and what was written for it, by name of the field."""

    said: Mapping[str, Any] = field(default_factory=dict)
    wrote: Mapping[str, Any] = field(default_factory=dict)

    @classmethod
    def of(cls, cells: Iterable[Mapping[str, Any]]) -> "Memory":
        """Out of brought rows; the first that knows a field wins."""
        said: dict[str, Any] = {}
        wrote: dict[str, Any] = {}
        for one in cells:
            for name, value in one.get("said", {}).items():
                if name not in said:
                    said[name] = value
                    wrote[name] = one.get("wrote", {}).get(name, value)
        return cls(said, wrote)

    def with_missing(self, other: "Memory", prefix: str) -> "Memory":
        """This one, with the fields that only `other` knows and whose names begin so."""
        names = [n for n in other.said if n.startswith(prefix) and n not in self.said]
        return Memory(
            {**self.said, **{n: other.said[n] for n in names}},
            {**self.wrote, **{n: other.wrote[n] for n in names}},
        )

    def plain(self) -> dict[str, Any]:
        """For keeping as JSON: `wrote` only where it is not what was said."""
        return {
            "said": dict(self.said),
            "wrote": {n: v for n, v in self.wrote.items() if v != self.said.get(n)},
        }


@dataclass(frozen=True, slots=True)
class Difference:
    """A field that would change; `kept` where it was edited here and needs a tick."""

    wish: Wish
    here: Any
    kept: bool


def compare(
    wishes: Iterable[Wish], here: Mapping[str, Any], memory: Memory, overwrite: frozenset[str]
) -> tuple[tuple[Difference, ...], Memory]:
    """What is to be changed or asked, and what to remember afterwards.

    A field the list is silent about never changes. One that the list says as it did last time is
    left alone unless it was edited here since; then, and where both sides changed, and where
    nobody remembers who wrote it, what stands here is kept unless the name is in `overwrite`.
    """
    found: list[Difference] = []
    said, wrote = dict(memory.said), dict(memory.wrote)
    for wish in wishes:
        name, stands = wish.name, here.get(wish.name)
        if wish.said is None:
            continue
        differs = not _alike(stands, wish.value)
        if name in memory.said:
            untouched = _alike(stands, memory.wrote.get(name))
            if wish.said == memory.said[name] and untouched:
                continue  # neither side changed
        else:
            untouched = stands in EMPTY
        said[name] = wish.said
        if not differs:
            wrote[name] = wish.value
            continue
        kept = not untouched and name not in overwrite
        found.append(Difference(wish, stands, kept))
        if kept:
            wrote.setdefault(name, None)  # nothing of ours ever stood here
        else:
            wrote[name] = wish.value
    return tuple(found), Memory(said, wrote)


def _alike(one: Any, other: Any) -> bool:
    return one == other or (one in EMPTY and other in EMPTY)


def first_memory(wishes: Iterable[Wish]) -> Memory:
    """What to remember of a record that is being made; also what was written unsaid."""
    kept = [wish for wish in wishes if wish.value not in EMPTY]
    return Memory({w.name: w.said for w in kept}, {w.name: w.value for w in kept})
