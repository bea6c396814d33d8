"""Figures of the shelf: finished at the first visit, why a second one, what parts cost."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.part_costs import PartsCost, costs_of
from servicedesk.records import part_cost_rows
from servicedesk.records.part_cost_rows import AnsweredRow
from servicedesk.trouble.rates import Range, binomial_limits
from servicedesk.trouble.returns import RETURN_DAYS
from servicedesk.words import say, say_n

QUARTERS = 12
MOST_SYSTEMS = 8
MONTHS = 3


@dataclass(frozen=True, slots=True)
class Quarter:
    """Callbacks of three months: how many were finished at the first visit."""

    first: date
    visits: int
    finished: int
    share: Range | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfFigures:
    """`why`: reasons of second visits with how often, most first. `costs`: of the last year."""

    quarters: tuple[Quarter, ...]
    why: tuple[tuple[str, int], ...]
    since: date
    costs: tuple[PartsCost, ...]
    dearest: tuple[tuple[str, int, int], ...]  # address, site, cost in minor units
    cost_minor: int
    unknown: int


def shelf_figures(desk: Desk) -> ShelfFigures:
    """The figures as of today."""
    starts = _quarters(desk.today)
    year = desk.today - timedelta(days=365)
    with desk.store.read() as session:
        jobs = part_cost_rows.answered(session, starts[0])
        rows = part_cost_rows.taken(session, year, desk.today + timedelta(days=1))
        steps = part_cost_rows.price_steps(session)
        places = part_cost_rows.addresses_of_systems(session)
    ends = endings(jobs, desk.today)
    costs = costs_of(rows, steps)
    by_system: Counter[int] = Counter()
    for one in costs:
        if one.system_id is not None:
            by_system[one.system_id] += one.cost_minor
    return ShelfFigures(
        quarters=tuple(_quarter(start, end, ends) for start, end in _spans(starts, desk.today)),
        why=tuple(Counter(why for day, why in ends if why and day >= year).most_common()),
        since=year,
        costs=costs,
        dearest=tuple(
            (places[key][1], places[key][0], cost)
            for key, cost in by_system.most_common(MOST_SYSTEMS)
            if key in places and cost > 0
        ),
        cost_minor=sum(one.cost_minor for one in costs),
        unknown=sum(one.unknown for one in costs),
    )


def endings(jobs: Sequence[AnsweredRow], today: date) -> list[tuple[date, str]]:
    """Of the first visit to each call: its day, and why another was needed ("": finished).

    A call at the same system within the days in which one counts as coming back tells that the
    first visit did not finish it; calls so young that this is not known yet are left out, unless
    something was left open.
    """
    firsts: dict[int, AnsweredRow] = {}
    of_call: Counter[int] = Counter()
    for job in jobs:
        of_call[job.call_id] += 1
        firsts.setdefault(job.call_id, job)
    by_system: dict[int, list[AnsweredRow]] = {}
    for job in firsts.values():
        by_system.setdefault(job.system_id or 0, []).append(job)
    found = []
    for job in firsts.values():
        why = _why(job, again=of_call[job.call_id] > 1)
        if not why:
            later = [
                one for one in by_system[job.system_id or 0]
                if job.system_id and 0 < (one.on - job.on).days <= RETURN_DAYS
            ]  # fmt: skip
            if later:
                why = "no_fault_found" if job.no_fault_found else "came_back"
            elif (today - job.on).days <= RETURN_DAYS:
                continue
        found.append((job.on, why))
    return found


def _why(job: AnsweredRow, *, again: bool) -> str:
    if job.outcome == "could not":
        return "could_not"
    if job.waits_for is not None or job.fix == "patched":
        waits = {"part": "part", "approval": "approval", "weather": "weather"}
        if job.waits_for == "" and job.needs_parts:
            return "part"
        return waits.get(job.waits_for or "", "patched")
    if job.outcome == "partly" or again:
        return "patched" if job.outcome == "partly" else "again"
    return ""


def why_text(code: str) -> str:
    """Why a second visit was needed, in words."""
    return {
        "could_not": say("could not be done (gate, power, lid)"),
        "part": say("a part was not there"),
        "approval": say("the owner had to approve it"),
        "weather": say("weather"),
        "patched": say("patched, the rest owed"),
        "again": say("somebody drove again for the same call"),
        "no_fault_found": say("no fault found, it called again"),
        "came_back": say("it came back after a fix"),
    }[code]


def _quarter(start: date, end: date, ends: Sequence[tuple[date, str]]) -> Quarter:
    own = [why for day, why in ends if start <= day < end]
    finished = sum(not why for why in own)
    return Quarter(start, len(own), finished, share_range(finished, len(own)))


def share_range(hits: int, n: int) -> Range | None:
    """A share with its exact 95 % range (Clopper and Pearson, 1934); None of nothing."""
    if n == 0:
        return None
    low, high = binomial_limits(hits, n)
    return Range(hits / n, low, high)


def _quarters(today: date) -> list[date]:
    """The first days of the last quarters of the calendar, this one with them."""
    index = today.year * 12 + (today.month - 1) // MONTHS * MONTHS
    months = [index - MONTHS * n for n in range(QUARTERS - 1, -1, -1)]
    return [date(month // 12, month % 12 + 1, 1) for month in months]


def _spans(starts: Sequence[date], today: date) -> list[tuple[date, date]]:
    return list(zip(starts, [*starts[1:], today + timedelta(days=1)], strict=True))


def figure_lines(figures: ShelfFigures, desk: Desk) -> list[str]:
    """The figures as lines for the shell."""
    from servicedesk.values.money import Money

    def money(minor: int) -> str:
        return desk.formats.money(Money(minor, desk.company.currency))

    lines = [say("Callbacks finished at the first visit:")]
    for one in figures.quarters:
        if one.share is None:
            lines.append(say("  from {month}: none", month=desk.formats.month(one.first)))
            continue
        lines.append(
            say(
                "  from {month}: {n} of {of}, {best}% ({low} to {high})",
                month=desk.formats.month(one.first),
                n=one.finished,
                of=one.visits,
                best=round(100 * one.share.best),
                low=round(100 * one.share.low),
                high=round(100 * one.share.high),
            )
        )
    lines.append(say("Why a second visit was needed, last 12 months:"))
    lines += [say("  {n} x {why}", n=n, why=why_text(code)) for code, n in figures.why]
    lines.append(say("Parts cost {money} in the last 12 months.", money=money(figures.cost_minor)))
    if figures.unknown:
        lines.append(say_n("{n} piece has no known cost and is not in it.",
                           "{n} pieces have no known cost and are not in it.",
                           figures.unknown))  # fmt: skip
    lines += [
        say("  {money} at {address}", money=money(cost), address=address)
        for address, _, cost in figures.dearest
    ]
    return lines
