"""Cautions, always in full: at a kind of job, at a check, on every sheet.

They defer to local codes and licensed people, and are never shortened on screen or paper.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml

_FILE = "faults/cautions.yaml"
_JOBS = "job_cautions.yaml"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution with its whole text."""

    id: str
    text: str


@cache
def cautions() -> Mapping[str, Caution]:
    """All cautions by id, in the order of the file."""
    found: dict[str, Caution] = {}
    for entry in entries_of(shipped_yaml("faults", "cautions.yaml"), file=_FILE):
        entry.known_only("id", "text")
        one = Caution(entry.text("id"), entry.text("text"))
        if one.id in found:
            raise entry.fault("id", "twice", value=one.id)
        found[one.id] = one
    return found


@cache
def job_cautions() -> Mapping[str, tuple[str, ...]]:
    """Ids of the cautions at each kind of job; "always" goes with every visit."""
    entry = Entry.of(shipped_yaml("job_cautions.yaml"), file=_JOBS, path="")
    found: dict[str, tuple[str, ...]] = {}
    for kind in entry.values:
        ids = entry.texts(kind)
        for caution_id in ids:
            if caution_id not in cautions():
                raise entry.fault(kind, "no_such_caution", value=caution_id)
        found[kind] = ids
    return found


def caution_texts(ids: Iterable[str]) -> tuple[str, ...]:
    """The whole texts of cautions, each once, in the order of the file."""
    wanted = set(ids)
    return tuple(one.text for one in cautions().values() if one.id in wanted)


def standing_cautions() -> tuple[str, ...]:
    """The texts that go with every visit and stand on every sheet."""
    return caution_texts(job_cautions()["always"])


def cautions_for_jobs(kinds: Iterable[str]) -> tuple[str, ...]:
    """The texts for a visit with these kinds of job, beside the standing ones.

    A kind we do not know gets those of a repair, the fullest list: nothing is left out by a word.
    """
    by_kind = job_cautions()
    ids: set[str] = set()
    for kind in kinds:
        ids.update(by_kind.get(kind, by_kind["repair"]))
    return caution_texts(ids - set(by_kind["always"]))
