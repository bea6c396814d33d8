"""A check as a page: how it is done, what it can show, and which causes each result speaks for."""

from servicedesk.desk.knowledge_bits import (
    Lines,
    PageLine,
    comes_from,
    heading,
    links,
    said,
    share_text,
    title,
)
from servicedesk.desk.knowledge_cause import result_text
from servicedesk.desk.knowledge_lists import KnowledgeSeen, check_facts
from servicedesk.desk.office import Desk
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.checks import tools
from servicedesk.trade.components import equipment
from servicedesk.words import say

# a result speaks for a cause where it is this many times likelier than usual
_SPEAKS = 2.0


def check_page(desk: Desk, seen: KnowledgeSeen, entry_id: str) -> Lines:
    """The lines of a check."""
    one = seen.known.checks[entry_id]
    yield from title(seen, "check", entry_id, one.name)
    yield PageLine(kind="text", text=check_facts(desk, one.where, one.minutes))
    # the danger before the doing
    for text in caution_texts(one.cautions):
        yield PageLine(kind="caution", text=text)
    yield from said(say("How"), one.how)
    yield from said(say("With"), ", ".join(tools()[tool].name for tool in one.tools))
    yield from said(say("Only where there is"), ", ".join(equipment()[n].name for n in one.needs))
    yield heading(say("What it can show"), say("share when nothing points at it; judged"))
    for result in one.results:
        yield PageLine(
            kind="bar", text=result.text, right=share_text(result.usual), share=result.usual
        )
    yield from _speaks_for(seen, entry_id)
    yield from _owed_for(seen, entry_id)
    yield from comes_from(seen, "check", entry_id, one.sources)


def _speaks_for(seen: KnowledgeSeen, check: str) -> Lines:
    """By result, the causes under which it is much likelier than usual, strongest first."""
    known = seen.known
    for result in known.checks[check].results:
        found = []
        for cause in known.causes.values():
            row = cause.evidence.get(check)
            if row is None:
                continue
            chance = seen.learned.row(cause.id, check, row.p)[result.id]
            if chance < _SPEAKS * result.usual:
                continue
            is_direct = result.id in seen.telling.direct[cause.id].get(check, ())
            line = PageLine(
                kind="link",
                text=cause.name,
                second=result_text(result.text, chance, result.usual, row.said, result.id),
                right=say("speaks directly") if is_direct else "",
                to=("cause", cause.id),
            )
            found.append((-chance / result.usual, cause.name, line))
        found.sort(key=lambda one: one[:2])
        lead = say("“{result}” speaks for", result=result.text)
        yield from links(lead, (line for _, _, line in found))


def _owed_for(seen: KnowledgeSeen, check: str) -> Lines:
    symptoms = [s for s in seen.known.symptoms.values() if check in s.before_no_fault_found]
    yield from links(
        say("Owed before “no fault found” at"),
        (PageLine(kind="link", text=s.name, to=("symptom", s.id)) for s in symptoms),
    )
