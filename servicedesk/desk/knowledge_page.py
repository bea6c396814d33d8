"""One entry of fault knowledge as a page to read."""

from collections.abc import Callable, Mapping
from typing import Any

from servicedesk.desk.knowledge_bits import (
    Lines,
    PageLine,
    base_text,
    cause_link,
    check_link,
    comes_from,
    heading,
    links,
    own_weight_text,
    said,
    share_text,
    shares_of,
    title,
)
from servicedesk.desk.knowledge_cause import cause_page
from servicedesk.desk.knowledge_check import check_page
from servicedesk.desk.knowledge_lists import (
    LEARNED,
    KnowledgeSeen,
    cases_text,
    kind_text,
    own_name,
    truck_text,
)
from servicedesk.desk.office import Desk
from servicedesk.trouble.learning import UNLISTED
from servicedesk.words import say


def page_of(desk: Desk, seen: KnowledgeSeen, kind: str, entry_id: str) -> tuple[PageLine, ...]:
    """The page of an entry; one line that says so where it is not there (any more)."""
    makers: Mapping[str, Callable[..., Lines]] = {
        "symptom": _symptom_page,
        "cause": cause_page,
        "check": check_page,
        "part": _part_page,
        "own": _own_page,
        LEARNED: _learned_page,
    }
    known = seen.known
    there: Mapping[str, Mapping[str, Any]] = {
        "symptom": known.symptoms,
        "cause": known.causes,
        "check": known.checks,
        "part": known.part_kinds,
    }
    if kind not in makers or entry_id not in there.get(kind, {entry_id: None}):
        return (PageLine(kind="text", text=say("There is no entry of that name any more.")),)
    return tuple(makers[kind](desk, seen, entry_id))


def _symptom_page(desk: Desk, seen: KnowledgeSeen, entry_id: str) -> Lines:
    known = seen.known
    one = known.symptoms[entry_id]
    yield from title(seen, "symptom", entry_id, one.name)
    yield from said(say("What callers say"), ", ".join(f"“{w}”" for w in one.caller_says))
    yield from said(say("How urgent"), one.urgency)
    yield from said(say("Keep in mind"), one.note)
    yield heading(say("Causes, before anything is looked at"), base_text(seen, entry_id))
    yield from _cause_bars(seen, entry_id)
    yield from links(
        say("Owed before anybody says “no fault found”"),
        (check_link(desk, seen, check) for check in one.before_no_fault_found),
    )
    yield from links(
        say("Only says the same again"),
        (check_link(desk, seen, check) for check in one.restates),
        say("not counted with this symptom"),
    )
    yield from comes_from(seen, "symptom", entry_id, [known.causes_of[entry_id].source])


def _cause_bars(seen: KnowledgeSeen, symptom: str) -> Lines:
    counts = seen.learned.causes.get(symptom, {})
    shares = shares_of(seen, symptom)
    for cause, share in sorted(shares.items(), key=lambda pair: (pair[0] == UNLISTED, -pair[1])):
        parts = (
            cases_text(counts[cause]) if counts.get(cause) else "",
            own_weight_text(seen, symptom, cause),
        )
        is_listed = cause != UNLISTED
        yield PageLine(
            kind="bar",
            text=seen.known.causes[cause].name if is_listed else say("Something not in this list"),
            second=" · ".join(part for part in parts if part),
            right=share_text(share),
            share=share,
            to=("cause", cause) if is_listed else None,
        )


def _part_page(_desk: Desk, seen: KnowledgeSeen, entry_id: str) -> Lines:
    known = seen.known
    part = known.part_kinds[entry_id]
    yield from title(seen, "part", entry_id, part.name)
    yield PageLine(kind="text", text=truck_text(part))
    yield from links(
        say("Causes whose repair takes it"),
        (
            cause_link(seen, cause.id, known.components[cause.component].name)
            for cause in known.causes.values()
            if entry_id in cause.parts
        ),
    )
    yield from comes_from(seen, "part", entry_id, ["common"])


def _own_page(desk: Desk, seen: KnowledgeSeen, entry_id: str) -> Lines:
    """An own entry that stands on no page of its own: a weight, a component, one that is wrong."""
    row = next((one for one in seen.own if str(one.id) == entry_id), None)
    if row is None:
        yield PageLine(kind="text", text=say("There is no entry of that name any more."))
        return
    known = seen.known
    yield PageLine(
        kind="title",
        text=own_name(row, known),
        second=f"{kind_text(row.kind_of)} · {say('yours')}",
    )
    if row.ended_on is not None:
        day = desk.formats.day(row.ended_on, near=desk.today)
        yield PageLine(kind="text", text=say("Ended on {day}.", day=day))
    symptom, cause = str(row.body.get("symptom")), str(row.body.get("cause"))
    if row.kind_of == "weight" and symptom in known.symptoms and cause in known.causes:
        share = shares_of(seen, symptom).get(cause, 0.0)
        yield PageLine(
            kind="bar",
            text=say("Share of such calls, before anything is looked at"),
            right=share_text(share),
            share=share,
        )
        name = known.symptoms[symptom].name
        yield PageLine(kind="link", text=name, to=("symptom", symptom))
        yield cause_link(seen, cause)
    if row.kind_of == "component":
        yield from links(
            say("Its causes"),
            (cause_link(seen, c.id) for c in known.causes.values() if c.component == row.entry_id),
        )
    yield from comes_from(seen, row.kind_of, row.entry_id, ())


def _learned_page(_desk: Desk, seen: KnowledgeSeen, _entry_id: str) -> Lines:
    known = seen.known
    yield PageLine(kind="title", text=say("What was learned"), second=say("yours"))
    yield PageLine(
        kind="text",
        text=say(
            "Only confirmed causes teach: a direct check spoke, somebody saw it, or the lasting "
            "fix has held its quiet time. One trouble counts once. What was judged counts as 10 "
            "cases beside them. Forgetting begins anew: visits up to now teach nothing any more, "
            "nothing else is lost, and it can be taken back."
        ),
    )
    if not seen.is_counted:
        yield PageLine(kind="text", text=say("Own cases are being counted."))
        return
    counted = {s: c for s, c in seen.learned.causes.items() if s in known.symptoms}
    if not counted:
        yield PageLine(kind="text", text=say("No own case speaks yet."))
    for symptom, causes in counted.items():
        name = known.symptoms[symptom].name
        yield heading(name, cases_text(seen.learned.n_cases(symptom)))
        for cause, n in sorted(causes.items(), key=lambda pair: -pair[1]):
            if cause in known.causes:
                line = cause_link(seen, cause)
                yield PageLine(kind="link", text=line.text, right=cases_text(n), to=line.to)
            else:
                other = say("Something not in this list")
                yield PageLine(kind="link", text=other, right=cases_text(n))
