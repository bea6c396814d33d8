"""What pages of fault knowledge are made of: lines in words, each with where it leads."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from servicedesk.desk.knowledge_lists import (
    KnowledgeSeen,
    cases_text,
    check_facts,
    kind_text,
    truck_text,
)
from servicedesk.desk.office import Desk
from servicedesk.trade.fault_lists import sources
from servicedesk.trade.own_shapes import scope_text
from servicedesk.trouble.learning import UNLISTED
from servicedesk.words import say

LineKind = Literal["title", "heading", "text", "link", "bar", "caution", "small"]
Target = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLine:
    """One line. `to`: kind and id of the entry it leads to; `share` (0..1) is drawn as a bar.

    `hint` of a heading stands beside it. `indent` sets a line in.
    """

    kind: LineKind
    text: str
    second: str = ""
    right: str = ""
    share: float | None = None
    to: Target | None = None
    indent: int = 0
    icon: str = ""


Lines = Iterator[PageLine]


def title(seen: KnowledgeSeen, kind: str, entry_id: str, name: str) -> Lines:
    """Name, kind, and whose it is."""
    row = seen.own_row(kind, entry_id)
    whose = say("yours") if row is not None else say("of the program")
    yield PageLine(kind="title", text=name, second=f"{kind_text(kind)} · {whose}")


def heading(text: str, hint: str = "") -> PageLine:
    """A heading with a word on where its lines come from."""
    return PageLine(kind="heading", text=text, second=hint)


def said(lead: str, text: str | None) -> Lines:
    """A heading with one text, nothing where there is none."""
    if text:
        yield heading(lead)
        yield PageLine(kind="text", text=text)


def links(lead: str, lines: Iterable[PageLine], hint: str = "") -> Lines:
    """A heading with lines, nothing where there are none."""
    found = tuple(lines)
    if found:
        yield heading(lead, hint)
        yield from found


def check_link(desk: Desk, seen: KnowledgeSeen, check_id: str, *, indent: int = 0) -> PageLine:
    """A check by name, with where and how long."""
    check = seen.known.checks[check_id]
    return PageLine(
        kind="link",
        text=check.name,
        right=check_facts(desk, check.where, check.minutes),
        to=("check", check_id),
        indent=indent,
    )


def cause_link(seen: KnowledgeSeen, cause_id: str, second: str = "") -> PageLine:
    """A cause by name."""
    name = seen.known.causes[cause_id].name
    return PageLine(kind="link", text=name, second=second, to=("cause", cause_id))


def part_link(seen: KnowledgeSeen, part_id: str) -> PageLine:
    """A kind of part by name, and whether it rides along."""
    part = seen.known.part_kinds[part_id]
    return PageLine(kind="link", text=part.name, right=truck_text(part), to=("part", part_id))


def comes_from(seen: KnowledgeSeen, kind: str, entry_id: str, ids: Iterable[str]) -> Lines:
    """Where a page's statements come from, and how much of each source was seen."""
    yield heading(say("Where this comes from"))
    row = seen.own_row(kind, entry_id)
    if row is not None:
        note = row.note or say("nobody wrote where it comes from")
        yield PageLine(kind="text", text=say("Your own entry: {note}", note=note))
    for one in ids:
        source = sources()[one]
        seen_text = "" if source.seen == "none" else source.seen
        yield PageLine(kind="small", text=source.title, second=seen_text)
    yield PageLine(kind="small", text=scope_text())


def share_text(share: float) -> str:
    """As "62%"; "under 1%" for what is next to nothing."""
    n = round(100 * share)
    return say("under 1%") if n < 1 else say("{n}%", n=n)


def base_text(seen: KnowledgeSeen, symptom: str) -> str:
    """What the shares of a symptom's causes rest on."""
    n = seen.learned.n_cases(symptom)
    if not seen.is_counted:
        return say("own cases are being counted")
    if not n:
        return say("judged, no own case speaks yet")
    if seen.learned.is_default(symptom):
        return say("judged, counted as 10 cases, and {cases}", cases=cases_text(n))
    return say("{cases}, and what was judged counted as 10", cases=cases_text(n))


def shares_of(seen: KnowledgeSeen, symptom: str) -> Mapping[str, float]:
    """Chance of each cause of a symptom before anything is looked at; "unlisted" among them."""
    one = seen.known.causes_of[symptom]
    weights = {**one.weights, UNLISTED: one.unlisted_weight}
    total = sum(weights.values())
    return {
        cause: seen.learned.share(symptom, cause, weight / total)
        for cause, weight in weights.items()
    }


def own_weight_text(seen: KnowledgeSeen, symptom: str, cause: str) -> str:
    """Says that the company set this weight, and by whom; "" where the program's holds."""
    row = seen.own_row("weight", f"{symptom} {cause}")
    if row is None:
        return ""
    return say("your number: {note}", note=row.note) if row.note else say("your number")
