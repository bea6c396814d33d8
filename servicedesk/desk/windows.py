"""Which inspections are owed where, by when, and which of them have a day already."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.cached import cached, remembered
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import Rules, rules_in
from servicedesk.duties.closings import ClosedDays
from servicedesk.duties.terms import (
    Attempt,
    Counting,
    DoneInspection,
    DueWindow,
    Matched,
    Terms,
    WindowState,
)
from servicedesk.duties.windows import windows_of_chain
from servicedesk.records import planning_rows as rows
from servicedesk.trade.rule_shapes import PerYear
from servicedesk.trade.service_rules import ServiceRule, rule_for
from servicedesk.values.reason import Reason
from servicedesk.values.span import Span

# contracts that ended longer ago no longer move today's windows
LOOK_BACK_DAYS = 800


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteWindow:
    """One window of the contract that runs now, for one system at one site.

    `planned_on` and `planned_visit_id` name the visit that has this inspection on it, if any.
    """

    site_id: int
    system_id: int
    contract_id: int
    contract_number: int
    rule_id: str | None
    window: DueWindow
    planned_visit_id: int | None = None
    planned_on: date | None = None


_HOLDS: tuple[type, ...] = (SiteWindow, DueWindow, WindowState, Span, Reason)


def current_windows(
    desk: Desk, *, day: date | None = None, site_id: int | None = None
) -> tuple[SiteWindow, ...]:
    """All windows of the contracts that run on `day`, by system and date (site_id: of one site)."""
    on = day or desk.today
    if site_id is not None:
        return cached(desk, ("windows", on, site_id), lambda: _windows(desk, on, site_id))
    name = "windows" if on == desk.today else "windows then"
    return remembered(desk, (name, on), lambda: _windows(desk, on, None), _HOLDS)


def _windows(desk: Desk, day: date, site_id: int | None) -> tuple[SiteWindow, ...]:
    with desk.store.read() as session:
        covered = rows.covered_systems(session, day=day, site_id=site_id, past=True)
        covered = _that_matter(covered, day)
        since = min((c.from_on for c in covered), default=day) - timedelta(days=400)
        inspections = rows.inspections(session, since=since, site_id=site_id)
        closed = rows.closed_spans(session, site_id)
        rules = rules_in(session)
    found: list[SiteWindow] = []
    for chain, history, chained in _chained(covered, inspections, closed, day, rules):
        for one, matched in zip(chain, chained, strict=True):
            if _runs_on(one, day):
                found += _site_windows(one, matched.windows, history.planned)
    return tuple(found)


def windows_closing(desk: Desk, *, first: date, until: date) -> tuple[SiteWindow, ...]:
    """All windows whose last day lies from `first` to `until` (excluded), as they stand today.

    Of whichever signed contract, also one that begins later on or has ended since.
    """
    return cached(desk, ("closing", desk.today, first, until), lambda: _closing(desk, first, until))


def _closing(desk: Desk, first: date, until: date) -> tuple[SiteWindow, ...]:
    with desk.store.read() as session:
        covered = rows.covered_systems(session, day=until - timedelta(days=1), past=True)
        covered = _that_matter(covered, min(first, desk.today))
        since = min((c.from_on for c in covered), default=first) - timedelta(days=400)
        inspections = rows.inspections(session, since=since)
        closed = rows.closed_spans(session, None)
        rules = rules_in(session)
    found: list[SiteWindow] = []
    for chain, history, chained in _chained(covered, inspections, closed, desk.today, rules):
        for one, matched in zip(chain, chained, strict=True):
            if one.ended_on is not None and one.ended_on <= one.from_on:
                continue  # what never began owes nothing
            some = [w for w in matched.windows if first <= w.closes_on < until]
            found += _site_windows(one, some, history.planned)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractWindows:
    """All windows of one contract for one system; `matched` also tells what counted for none."""

    contract: rows.CoveredSystem
    matched: Matched


def windows_through_time(
    desk: Desk, site_id: int
) -> tuple[tuple[ContractWindows, ...], tuple[rows.InspectionRow, ...]]:
    """The windows of every signed contract of a site, by system and day; and its inspections.

    As `current_windows` has them for the contracts of late; older ones count with all before.
    """
    day = desk.today
    with desk.store.read() as session:
        every = rows.covered_systems(session, day=date.max, site_id=site_id, past=True)
        inspections = rows.inspections(session, site_id=site_id)
        closed = rows.closed_spans(session, site_id)
        rules = rules_in(session)
    late = _that_matter(every, day)
    late_ids = {(one.contract_id, one.system_id) for one in late}
    found = []
    for some, wanted in ((every, False), (late, True)):
        for chain, _, chained in _chained(some, inspections, closed, day, rules):
            found += [
                ContractWindows(contract=one, matched=matched)
                for one, matched in zip(chain, chained, strict=True)
                if ((one.contract_id, one.system_id) in late_ids) is wanted
            ]
    found.sort(key=lambda one: (one.contract.system_id, one.contract.from_on))
    return tuple(found), tuple(inspections)


def _chained(
    covered: list[rows.CoveredSystem],
    inspections: Iterable[rows.InspectionRow],
    closed: Mapping[int, list[rows.ClosedRow]],
    day: date,
    rules: Rules,
) -> Iterable[tuple[list[rows.CoveredSystem], "_History", tuple[Matched, ...]]]:
    """The contracts of each system with its inspections, matched on `day`."""
    by_system: dict[int, list[rows.CoveredSystem]] = {}
    for one in covered:
        by_system.setdefault(one.system_id, []).append(one)
    seen = _by_system(inspections)
    for system_id, chain in by_system.items():
        history = seen.get(system_id, _NOTHING)
        terms = [_terms(c, closed.get(c.site_id, []), _rule(rules, c.rule_id, day)) for c in chain]
        yield chain, history, windows_of_chain(terms, history.done, history.attempts, today=day)


def _that_matter(covered: list[rows.CoveredSystem], day: date) -> list[rows.CoveredSystem]:
    """Contracts that run on `day` or ended not long ago: a shorter chain gave other windows."""
    recent = day - timedelta(days=LOOK_BACK_DAYS)
    return [c for c in covered if c.until_on > recent]


@dataclass(slots=True)
class _History:
    """Inspections of one system: done, tried, planned."""

    done: list[DoneInspection]
    attempts: list[Attempt]
    planned: list[rows.InspectionRow]


_NOTHING = _History([], [], [])


def _by_system(inspections: Iterable[rows.InspectionRow]) -> dict[int, _History]:
    found: dict[int, _History] = {}
    for row in inspections:
        history = found.setdefault(row.system_id, _History([], [], []))
        if row.visit_state == "planned":
            history.planned.append(row)
        elif row.on is not None and row.outcome == "done":
            history.done.append(DoneInspection(row.on, row.job_id))
        elif row.on is not None and row.outcome is not None:
            history.attempts.append(Attempt(row.on, row.job_id))
    return found


def _runs_on(one: rows.CoveredSystem, day: date) -> bool:
    ended = one.ended_on is not None and one.ended_on <= day
    return one.from_on <= day < one.until_on and not ended


def _rule(
    rules: Mapping[str, tuple[ServiceRule, ...]], rule_id: str | None, day: date
) -> ServiceRule | None:
    return None if rule_id is None else rule_for(rules, rule_id, on=day)


def _terms(
    one: rows.CoveredSystem, closed: list[rows.ClosedRow], rule: ServiceRule | None
) -> Terms:
    until = one.until_on if one.ended_on is None else min(one.until_on, one.ended_on)
    return Terms(
        span=Span(one.from_on, max(until, one.from_on + timedelta(days=1))),
        visits_a_year=one.visits_a_year,
        counting=Counting(one.counting),
        tolerance_days=one.tolerance_days,
        longest_gap_months=one.longest_gap_months,
        closed=tuple(ClosedDays(Span(c.from_on, c.until_on), c.every_year) for c in closed),
        rule=rule,
        permit_visits=None if one.permit_visits is None else PerYear(one.permit_visits),
        first_use_on=one.started_on,
    )


def _site_windows(
    one: rows.CoveredSystem, windows: Iterable[DueWindow], planned: list[rows.InspectionRow]
) -> Iterable[SiteWindow]:
    waiting = list(planned)
    for window in windows:
        visit = None
        if not window.is_filled and waiting:
            visit = _planned_for(window, waiting)
        if visit is not None:
            waiting.remove(visit)
        yield SiteWindow(
            site_id=one.site_id,
            system_id=one.system_id,
            contract_id=one.contract_id,
            contract_number=one.contract_number,
            rule_id=one.rule_id,
            window=window,
            planned_visit_id=visit.visit_id if visit else None,
            planned_on=visit.on if visit else None,
        )


def _planned_for(window: DueWindow, waiting: list[rows.InspectionRow]) -> rows.InspectionRow | None:
    """The planned inspection that will fill this window: the first that counts for it."""
    for row in waiting:
        if row.on is None or window.accepts_from_on <= row.on < window.book_closes_on:
            return row
    return None
