"""Symptoms, causes, checks and parts by name, for the find box."""

from dataclasses import dataclass

from servicedesk.desk.cached import cached
from servicedesk.desk.knowledge_lists import (
    KnowledgeLine,
    found_by_name,
    kind_text,
    knowledge_seen,
)
from servicedesk.desk.office import Desk
from servicedesk.words import say

MOST_FOUND = 4
LEAST_SIGNS = 3
_KINDS = ("symptom", "cause", "check", "part")


@dataclass(frozen=True, slots=True, kw_only=True)
class KnowledgeFound:
    """One answer of the find box, in the shape that the frame shows."""

    group: str
    icon: str
    title: str
    second: str
    place: str
    ids: tuple[object, ...]
    act: str = ""


def found_in_knowledge(desk: Desk, text: str) -> tuple[KnowledgeFound, ...]:
    """The first entries whose name has each word typed; none for fewer than three signs."""
    if sum(sign.isalnum() for sign in text) < LEAST_SIGNS:
        return ()
    lines = cached(desk, ("knowledge by name",), lambda: _all_lines(desk))
    return tuple(
        KnowledgeFound(
            group=say("Fault knowledge"),
            icon="look",
            title=line.name,
            second=" · ".join((kind_text(line.kind), line.second)),
            place="knowledge",
            ids=(line.kind, line.id),
        )
        for line in found_by_name(lines, text)[:MOST_FOUND]
    )


def _all_lines(desk: Desk) -> tuple[KnowledgeLine, ...]:
    lists = knowledge_seen(desk).lists
    return tuple(line for kind in _KINDS for line in lists[kind])
