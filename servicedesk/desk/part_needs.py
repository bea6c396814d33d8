"""What the patterns say will be needed: systems still exposed times the chance until a delivery."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.load import lying_now
from servicedesk.desk.load_needs import PartsOfCauses
from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_page import Pattern
from servicedesk.desk.patterns import patterns
from servicedesk.desk.shelf import ShelfLine, ShelfPage, terms_of
from servicedesk.stock.reorder import YEAR_DAYS
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.rates import Range
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say, say_n

CLEAR = "clearly above"
WORTH_A_LINE = 0.1  # parts expected until a delivery; less says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternNeed:
    """A part that a pattern asks for. `expected` pieces within `days`, by `n_exposed` units.

    `share`: of such failures that take this part, by the company's own callbacks. `extra`: what
    is to be bought on top of what the shelf's own rule says.
    """

    part_id: int
    number: str
    name: str
    title: str
    n_exposed: int
    expected: Range
    days: int
    share: float
    extra: int


def pattern_needs(
    desk: Desk, page: ShelfPage, progress: Progress = quiet
) -> tuple[PatternNeed, ...]:
    """Of each part the largest need of a clear pattern, most expected first.

    Raises Stopped as `patterns` does.
    """
    clear = [one for one in patterns(desk, progress).patterns if one.row.flag == CLEAR]
    lying = lying_now(desk)
    with desk.store.read() as session:
        causes = PartsOfCauses.of(session, lying)
    known = knowledge_of(desk)
    by_key: dict[str, ShelfLine] = {}
    for line in page.lines:
        if line.part.part_kind:
            by_key.setdefault(line.part.part_kind, line)
    found = [
        need
        for pattern in clear
        for key, share in parts_of_component(pattern.component, causes, known).items()
        if key in by_key
        for need in _need(pattern, by_key[key], share)
    ]
    found.sort(key=lambda one: (-one.expected.best, one.number, one.title))
    first: dict[int, PatternNeed] = {}  # patterns of one component hold the same units
    for need in found:
        first.setdefault(need.part_id, need)
    return tuple(first.values())


def parts_of_component(
    component: str, causes: PartsOfCauses, known: Knowledge
) -> Mapping[str, float]:
    """Of failures of a component the share that takes each part, by own callbacks."""
    taken: Counter[str] = Counter()
    whole = 0
    for cause, ways in causes.seen.items():
        if cause not in known.causes or known.causes[cause].component != component:
            continue
        for parts, n in ways.items():
            whole += n
            taken.update(dict.fromkeys(parts, n))
    return {key: n / whole for key, n in taken.items()} if whole else {}


def _need(pattern: Pattern, line: ShelfLine, share: float) -> Iterable[PatternNeed]:
    rate = pattern.row.best
    if rate is None or not pattern.exposed:
        return
    terms = terms_of(line.part)
    days = round(terms.lead_days + terms.review_days)
    times = len(pattern.exposed) * share * days / YEAR_DAYS / 100
    expected = Range(rate.best * times, rate.low * times, rate.high * times)
    if expected.best < WORTH_A_LINE:
        return
    there = line.on_shelf + line.on_order + line.buy
    yield PatternNeed(
        part_id=line.part.id,
        number=line.part.number,
        name=line.part.name,
        title=pattern.title,
        n_exposed=len(pattern.exposed),
        expected=expected,
        days=days,
        share=share,
        extra=max(0, math.ceil((math.ceil(expected.best) - there) / terms.pack) * terms.pack),
    )


def need_text(one: PatternNeed, desk: Desk) -> str:
    """The need with its reason."""
    return say("{name}: {reason}", name=one.name, reason=need_reason(one, desk))


def need_reason(one: PatternNeed, desk: Desk) -> str:
    """Why it will be needed: how many are exposed, and how many of them will ask for one."""

    def number(value: float) -> str:
        return desk.formats.number(round(value, 1))

    return say(
        "{units} of {title}, so about {best} ({low} to {high}) within {days} days",
        units=say_n("{n} in service", "{n} in service", one.n_exposed),
        title=one.title,
        best=number(one.expected.best),
        low=number(one.expected.low),
        high=number(one.expected.high),
        days=one.days,
    )
