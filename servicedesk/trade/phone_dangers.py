"""The questions about danger that come before all others while somebody is on the phone."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml
from servicedesk.trade.say_this_now import say_this_now
from servicedesk.trade.symptoms import symptoms

YES, NO, CANNOT_TELL = "yes", "no", "cannot tell"
SAID = (YES, NO, CANNOT_TELL)
_FILE = "phone_dangers.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """One danger: the question as it is read aloud, which sentences go first, what tells it."""

    id: str
    question: str
    says: tuple[str, ...]
    told_by: tuple[str, ...]


@cache
def dangers() -> tuple[Danger, ...]:
    """All of them in the order in which they are asked."""
    sentences = {one.id for one in say_this_now("0")}
    found: dict[str, Danger] = {}
    for entry in entries_of(shipped_yaml(_FILE), file=_FILE):
        entry.known_only("id", "question", "says", "told_by")
        one = Danger(
            id=entry.text("id"),
            question=entry.text("question"),
            says=_among(entry, "says", sentences),
            told_by=_among(entry, "told_by", symptoms()),
        )
        if one.id in found:
            raise entry.fault("id", "twice", value=one.id)
        found[one.id] = one
    return tuple(found.values())


def stands(said: Mapping[str, str], seen: Iterable[str]) -> tuple[str, ...]:
    """Ids of the dangers that stand, in order: said to be so, or told by a symptom.

    `said` holds answers by id of the danger, `seen` the ids of the symptoms.
    """
    seen = set(seen)
    return tuple(
        one.id for one in dangers() if said.get(one.id) == YES or seen.intersection(one.told_by)
    )


def unsure(said: Mapping[str, str]) -> tuple[str, ...]:
    """Ids of the dangers of which the caller could not tell."""
    return tuple(one.id for one in dangers() if said.get(one.id) == CANNOT_TELL)


def first_said(said: Mapping[str, str], seen: Iterable[str]) -> tuple[str, ...]:
    """Ids of the sentences to be read aloud first, the gravest danger's before the others."""
    ids = [*stands(said, seen), *unsure(said)]
    by_id = {one.id: one for one in dangers()}
    return tuple(dict.fromkeys(sentence for one in ids for sentence in by_id[one].says))


def _among(entry: Entry, key: str, allowed: Iterable[str]) -> tuple[str, ...]:
    known, ids = set(allowed), entry.texts(key)
    for one in ids:
        if one not in known:
            raise entry.fault(key, "not_known", value=one)
    return ids
