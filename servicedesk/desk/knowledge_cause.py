"""A cause as a page: what happens, what mends it, how it is told from those that look alike."""

from collections.abc import Mapping

from servicedesk.desk.knowledge_bits import (
    Lines,
    PageLine,
    cause_link,
    check_link,
    comes_from,
    heading,
    links,
    own_weight_text,
    part_link,
    said,
    share_text,
    shares_of,
    title,
)
from servicedesk.desk.knowledge_lists import KnowledgeSeen, cases_text
from servicedesk.desk.office import Desk
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.components import equipment
from servicedesk.trade.fault_lists import factors
from servicedesk.trade.faults import Evidence
from servicedesk.words import say, say_n

# a result is told where it is this many times likelier, or rarer, than usual
_TELLING = 1.5


def cause_page(desk: Desk, seen: KnowledgeSeen, entry_id: str) -> Lines:
    """The lines of a cause."""
    known = seen.known
    one = known.causes[entry_id]
    yield from title(seen, "cause", entry_id, one.name)
    yield PageLine(kind="text", text=known.components[one.component].name)
    yield from said(say("What happens"), one.mechanism)
    yield from said(say("Lasting fix"), one.permanent_fix)
    yield from said(say("What gets by for now"), one.workaround)
    for text in caution_texts(one.cautions):
        yield PageLine(kind="caution", text=text)
    yield from said(say("Why it is missed"), one.why_missed)
    yield from links(say("Parts"), (part_link(seen, part) for part in one.parts))
    yield from _symptoms(seen, entry_id)
    yield from _needs(seen, entry_id)
    yield from _evidence(seen, entry_id)
    yield from _rivals(desk, seen, entry_id)
    yield from links(
        say("Often together with"),
        (cause_link(seen, other) for other in one.often_with),
    )
    yield from _roots(seen, entry_id)
    yield from comes_from(seen, "cause", entry_id, one.sources)


def _symptoms(seen: KnowledgeSeen, cause: str) -> Lines:
    """How often it is behind each symptom, before anything is looked at."""
    found = []
    for symptom, one in seen.known.causes_of.items():
        if cause not in one.weights:
            continue
        n = seen.learned.causes.get(symptom, {}).get(cause, 0)
        parts = (cases_text(n) if n else "", own_weight_text(seen, symptom, cause))
        share = shares_of(seen, symptom)[cause]
        found.append(
            PageLine(
                kind="bar",
                text=seen.known.symptoms[symptom].name,
                second=" · ".join(part for part in parts if part),
                right=share_text(share),
                share=share,
                to=("symptom", symptom),
            )
        )
    found.sort(key=lambda line: -(line.share or 0.0))
    yield from links(say("Behind these calls"), found, say("share before anything is looked at"))


def _needs(seen: KnowledgeSeen, cause: str) -> Lines:
    needs = seen.known.causes[cause].needs
    names = ", ".join(equipment()[one].name for one in needs)
    yield from said(say("Only where there is"), names)


def _evidence(seen: KnowledgeSeen, cause: str) -> Lines:
    rows = [_evidence_line(seen, cause, row) for row in seen.known.causes[cause].evidence.values()]
    yield from links(
        say("What checks show if this is the cause"),
        rows,
        say("judged, no published source unless one is named below"),
    )


def _evidence_line(seen: KnowledgeSeen, cause: str, row: Evidence) -> PageLine:
    """One check: each telling result with its chance here and its usual one."""
    check = seen.known.checks[row.check]
    counts = seen.learned.results.get(cause, {}).get(row.check, {})
    chances = seen.learned.row(cause, row.check, row.p)
    told = []
    for result in check.results:
        ratio = chances[result.id] / result.usual
        if result.id in row.said or not 1 / _TELLING < ratio < _TELLING:
            told.append(
                result_text(result.text, chances[result.id], result.usual, row.said, result.id)
            )
    n = sum(counts.values())
    learned = say("with {cases}", cases=cases_text(n)) if n else ""
    direct = row.check in seen.telling.direct[cause]
    parts = ("; ".join(told) or say("says nothing new"), row.why, learned)
    return PageLine(
        kind="link",
        text=check.name,
        second=" · ".join(part for part in parts if part),
        right=say("speaks directly") if direct else "",
        to=("check", row.check),
    )


def result_text(
    text: str, chance: float, usual: float, said_words: Mapping[str, str], result: str
) -> str:
    """As "“stays on”: likely (80%, usually 10%)"."""
    word = likelihood_text(said_words.get(result, ""))
    shares = {"here": share_text(chance), "usual": share_text(usual)}
    if word:
        return say("“{result}” {word} ({here}, usually {usual})", result=text, word=word, **shares)
    return say("“{result}” {here}, usually {usual}", result=text, **shares)


def likelihood_text(word: str) -> str:
    """A word of likelihood as people read it; "" for none."""
    return {
        "very-likely": say("very likely"),
        "likely": say("likely"),
        "possible": say("possible"),
        "unlikely": say("unlikely"),
        "very-unlikely": say("very unlikely"),
    }.get(word, "")


def _rivals(desk: Desk, seen: KnowledgeSeen, cause: str) -> Lines:
    rivals = seen.known.causes[cause].rivals
    if not rivals:
        return
    yield heading(say("Looks alike, and what tells them apart"))
    for rival in rivals:
        n = say_n("{n} check", "{n} checks", len(rival.told_apart_by))
        name = seen.known.causes[rival.cause].name
        yield PageLine(kind="link", text=name, right=n, to=("cause", rival.cause))
        for check in rival.told_apart_by:
            yield check_link(desk, seen, check, indent=1)


def _roots(seen: KnowledgeSeen, cause: str) -> Lines:
    ids = seen.known.causes[cause].factors
    if not ids:
        return
    yield heading(say("What lies behind it"), say("seen across sites"))
    for one in ids:
        factor = factors()[one]
        text = say("{pattern}. What helps: {counter}.", pattern=factor.pattern.rstrip("."),
                   counter=factor.counter.rstrip("."))  # fmt: skip
        yield PageLine(kind="link", text=factor.name, second=text)
