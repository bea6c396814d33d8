"""Which inspections are owed, by when, and which ones done filled which window.

Matching is one function: inspections in date order, the earliest unfilled window first, early
within the tolerance. An attempt never fills a window; nothing is counted twice. The end of a
window counts from the last inspection made, by ``anchor + n months`` on the calendar: a month
without the day gives its last day, and the 31st comes back (a calendar recurrence rule, RFC 5545
section 3.3.10, would skip such a month and lose a visit).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import takewhile

from servicedesk.duties.closings import open_day_after, open_day_before, usable_spans
from servicedesk.duties.months import add_months
from servicedesk.duties.periods import LEAST_OPEN_DAYS, Period, after, periods_of
from servicedesk.duties.terms import (
    Attempt,
    Counting,
    DoneInspection,
    DueWindow,
    Matched,
    Terms,
    WindowState,
)
from servicedesk.trade.rule_shapes import EveryMonths, PerYear
from servicedesk.values.reason import Reason
from servicedesk.values.span import Span

_DAY = timedelta(days=1)


def windows_of(
    terms: Terms, done: Iterable[DoneInspection], attempts: Iterable[Attempt], *, today: date
) -> tuple[DueWindow, ...]:
    """The windows of one contract as they stand on `today`, in date order.

    Inspections and attempts after `today` or outside the contract are left aside. Where a system
    has had several contracts ask `windows_of_chain`.
    """
    return matched_of(terms, done, attempts, today=today).windows


def matched_of(
    terms: Terms, done: Iterable[DoneInspection], attempts: Iterable[Attempt], *, today: date
) -> Matched:
    """The windows of one contract, and which inspections counted for none and why."""
    known = sorted(one for one in done if one.on <= today)
    inside = [one for one in known if terms.span.holds(one.on)]
    outside = tuple(
        (one.job_id, Reason.of("outside_contract", on=one.on))
        for one in known
        if not terms.span.holds(one.on)
    )
    found = _match(terms, inside, list(attempts), today, from_on=terms.span.from_on)
    return Matched(windows=found.windows, counted_for_none=outside + found.counted_for_none)


def windows_of_chain(
    contracts: Sequence[Terms],
    done: Iterable[DoneInspection],
    attempts: Iterable[Attempt],
    *,
    today: date,
) -> tuple[Matched, ...]:
    """The same for all contracts of one system, in the order given, nothing counted twice.

    The earlier contract takes its inspections first. One that it does not need counts for the
    first window of the next, if it came early within that one's tolerance; where the next follows
    without a gap, one that came late within the tolerance still counts for the earlier. The gap
    between two inspections runs on across contracts.
    """
    order = sorted(range(len(contracts)), key=lambda n: (contracts[n].span.from_on, n))
    known = sorted(one for one in done if one.on <= today)
    tries = list(attempts)
    found: dict[int, Matched] = {}
    used: set[int] = set()
    starts = {terms.span.from_on for terms in contracts}
    for n in order:
        terms = replace(contracts[n], runs_on=contracts[n].span.until_on in starts)
        terms, mine = _with_history(terms, known, used)
        found[n] = _match(terms, mine, tries, today, from_on=terms.span.from_on - _early(terms))
        used |= {window.filled_by for window in found[n].windows if window.filled_by is not None}
        told = {job_id for window in found[n].windows for job_id in window.attempts}
        tries = [one for one in tries if one.job_id not in told]
    return tuple(found[n] for n in range(len(contracts)))


def _early(terms: Terms) -> timedelta:
    return timedelta(days=terms.tolerance_days)


def _with_history(
    terms: Terms, known: Sequence[DoneInspection], used: set[int]
) -> tuple[Terms, list[DoneInspection]]:
    """`terms` with the last inspection before it, and those that may count for it."""
    start, until = terms.span.from_on, terms.span.until_on
    free_from = start - _early(terms)
    if until is not None and terms.runs_on:
        until += _early(terms)
    mine = [
        one
        for one in known
        if free_from <= one.on and one.job_id not in used and (until is None or one.on < until)
    ]
    ids = {one.job_id for one in mine}
    earlier = [one.on for one in known if one.on < start and one.job_id not in ids]
    if terms.last_before_on is not None:
        earlier.append(terms.last_before_on)
    if not earlier:
        return terms, mine
    return replace(terms, last_before_on=max(earlier)), mine


@dataclass(frozen=True, slots=True)
class _Anchor:
    """From where the next end counts: an inspection, or the start; `steps` windows ago."""

    on: date
    is_visit: bool
    steps: int = 0

    def stepped(self) -> "_Anchor":
        """The same anchor for the next window."""
        return _Anchor(self.on, self.is_visit, self.steps + 1)

    def moved_to(self, last_on: date) -> "_Anchor":
        """A new anchor at an end: the day itself after a visit, the day after it after a start."""
        return _Anchor(last_on if self.is_visit else last_on + _DAY, self.is_visit)

    def limit(self, months: int) -> date:
        """The last day, `steps` times `months` on. A start counts its own day."""
        end = add_months(self.on, months * self.steps)
        return end if self.is_visit else end - _DAY

    def share(self, times: int) -> date:
        """The last day, `steps` times a `times`-th of a year on."""
        end = after(self.on, self.steps, times)
        return end if self.is_visit else end - _DAY


@dataclass(frozen=True, slots=True)
class _Ends:
    """One window before anything is matched to it."""

    opens_on: date
    closes_on: date
    accepts_from_on: date
    by_rule: bool
    rule_on: date | None
    why: tuple[Reason, ...]


def _match(
    terms: Terms,
    done: Sequence[DoneInspection],
    attempts: Sequence[Attempt],
    today: date,
    *,
    from_on: date,
) -> Matched:
    """`done` is sorted and lies within the contract or early before it, from `from_on`.

    Two anchors run along. From the last inspection that *counted* follows from when the next one
    counts; from the last one *made*, also where it came too early to count, follows by when the
    next is due: the gap between two visits is what contract and rule limit.
    """
    windows: list[DueWindow] = []
    none: list[tuple[int, Reason]] = []
    counted = made = _first_anchor(terms)
    counted_on = terms.last_before_on
    at = 0
    last: tuple[Period, _Ends] | None = None
    for period in periods_of(terms, today=today):
        if last is not None and counted.steps and _changes(last[0], period):
            # the rule or the number of visits is another from here: count on from the last end
            counted = made = made.moved_to(last[1].closes_on)
        counted = counted.stepped()
        made = counted if made.on == counted.on else made.stepped()
        ends = _ends_of(terms, period, counted, counted_on, from_on)
        accepts_on = ends.accepts_from_on
        for one in takewhile(lambda d: d.on < accepts_on, done[at:]):  # noqa: B023 - used at once
            none.append((one.job_id, Reason.of("too_early", on=one.on, counts_from_on=accepts_on)))
            made = _Anchor(one.on, is_visit=True, steps=1) if one.on >= made.on else made
            at += 1
        if made is not counted:
            ends = _ends_of(terms, period, made, counted_on, from_on)
            ends = replace(ends, accepts_from_on=accepts_on)
        filled = None
        if at < len(done) and done[at].on < period.book_closes_on:
            filled = done[at]
            at += 1
            counted = made = _Anchor(filled.on, is_visit=True)
            counted_on = filled.on
        windows.append(_window(terms, period, ends, filled, today))
        last = (period, ends)
    none += [(one.job_id, Reason.of("no_window_left", on=one.on)) for one in done[at:]]
    return Matched(
        windows=tuple(_with_attempts(windows, attempts, today)), counted_for_none=tuple(none)
    )


def _changes(before: Period, after_it: Period) -> bool:
    return (before.times, before.duty.visits) != (after_it.times, after_it.duty.visits)


def _first_anchor(terms: Terms) -> _Anchor:
    """The last inspection before the contract, unless it was too long ago to bind anybody."""
    start, before = terms.span.from_on, terms.last_before_on
    if before is not None:
        gaps = [terms.longest_gap_months or 12]
        if terms.rule is not None and isinstance(terms.rule.visits, EveryMonths):
            gaps.append(terms.rule.visits.months)
        if add_months(before, min(gaps)) >= start:
            return _Anchor(before, is_visit=True)
    return _Anchor(start, is_visit=False)


def _ends_of(
    terms: Terms, period: Period, anchor: _Anchor, counted_on: date | None, earliest_on: date
) -> _Ends:
    """Opening, closing and what set them, from the contract and the rule: the stricter holds."""
    contract_on, gap_set = _contract_end(terms, period, anchor)
    rule_on = _rule_end(period, anchor)
    by_rule = rule_on is not None and rule_on < contract_on
    closes_on = rule_on if rule_on is not None and by_rule else contract_on
    length = (period.until_on - period.from_on).days
    least = timedelta(days=min(LEAST_OPEN_DAYS, length))
    if terms.counting is Counting.ROLLING:
        opens_on = closes_on - max(least, timedelta(days=min(terms.tolerance_days, length)))
        accepts_on = opens_on
    else:
        opens_on = min(max(period.from_on, period.rule_first_on or period.from_on), closes_on)
        opens_on = min(opens_on, closes_on - least + _DAY)
        accepts_on = min(period.from_on - timedelta(days=terms.tolerance_days), opens_on)
        accepts_on = max(accepts_on, period.rule_first_on or accepts_on)
    apart_on = _apart_from(period, counted_on)
    if counted_on is not None:
        earliest_on = max(earliest_on, counted_on + _DAY)
    accepts_on = max(accepts_on, earliest_on, apart_on)
    opens_on = max(opens_on, apart_on, terms.span.from_on)
    why = _why_ends(terms, period, contract_on, rule_on)
    if gap_set and not by_rule:
        why += (Reason.of("longest_gap", months=terms.longest_gap_months, since_on=anchor.on),)
    return _Ends(
        opens_on=opens_on,
        closes_on=max(closes_on, opens_on),
        accepts_from_on=accepts_on,
        by_rule=by_rule,
        rule_on=rule_on,
        why=why,
    )


def _contract_end(terms: Terms, period: Period, anchor: _Anchor) -> tuple[date, bool]:
    """The last day by the contract, and whether its longest gap set it."""
    end = period.until_on - _DAY
    if terms.counting is Counting.ROLLING:
        end = min(anchor.share(period.times), period.year_until_on - _DAY)
    if terms.longest_gap_months is not None:
        gap = anchor.limit(terms.longest_gap_months)
        if gap < end:
            return gap, True
    return end, False


def _rule_end(period: Period, anchor: _Anchor) -> date | None:
    """The last day by the rule, or None where it sets none."""
    visits = period.duty.visits
    if isinstance(visits, EveryMonths):
        return anchor.limit(visits.months)
    return period.rule_last_on


def _apart_from(period: Period, counted_on: date | None) -> date:
    """The first day that is far enough from the inspection before, where the rule asks for it."""
    visits = period.duty.visits
    if (
        counted_on is not None
        and isinstance(visits, PerYear)
        and visits.apart_months is not None
        and visits.times >= period.times
    ):
        return add_months(counted_on, visits.apart_months)
    return date.min


def _why_ends(
    terms: Terms, period: Period, contract_on: date, rule_on: date | None
) -> tuple[Reason, ...]:
    """Which of contract and rule is the stricter, and what else there is to know of the rule."""
    why = period.duty.why
    rule = terms.rule
    if rule is None:
        return why
    wanted = period.duty.times_a_year
    if wanted > terms.visits_a_year:
        why += (Reason.of("rule_wants_more", rule=rule.id, rule_times=wanted,
                          contract_times=terms.visits_a_year),)  # fmt: skip
    if rule_on is not None and rule_on != contract_on:
        code = "rule_stricter" if rule_on < contract_on else "contract_stricter"
        why += (Reason.of(code, rule=rule.id, rule_on=rule_on, contract_on=contract_on),)
    return why


def _window(
    terms: Terms, period: Period, ends: _Ends, filled: DoneInspection | None, today: date
) -> DueWindow:
    late_from = ends.closes_on if filled is None else filled.on
    why = ends.why
    if filled is not None and filled.on < ends.opens_on:
        why += (Reason.of("early_within_tolerance", days=(ends.opens_on - filled.on).days),)
    usable, closed_why = _usable(terms, ends)
    last_late_on = min(today, period.book_closes_on - _DAY) if filled is None else late_from
    set_by_rule = ends.by_rule or period.times > terms.visits_a_year
    return DueWindow(
        number=period.number,
        year_no=period.year_no,
        ordinal=period.ordinal,
        opens_on=ends.opens_on,
        closes_on=ends.closes_on,
        accepts_from_on=ends.accepts_from_on,
        book_closes_on=period.book_closes_on,
        state=_state(terms, period, ends, filled, today),
        filled_by=None if filled is None else filled.job_id,
        done_on=None if filled is None else filled.on,
        days_late=max(0, (last_late_on - ends.closes_on).days),
        usable=usable,
        why=why + closed_why,
        confirmed=period.duty.confirmed or not set_by_rule,
    )


def _state(
    terms: Terms, period: Period, ends: _Ends, filled: DoneInspection | None, today: date
) -> WindowState:
    if filled is not None:
        return WindowState.DONE if filled.on <= ends.closes_on else WindowState.DONE_LATE
    if today >= period.book_closes_on:
        return WindowState.MISSED
    if today > ends.closes_on:
        return WindowState.LATE
    if today < ends.opens_on:
        return WindowState.NOT_YET
    closing = (ends.closes_on - today).days < terms.closing_days
    return WindowState.CLOSING if closing else WindowState.OPEN


def _usable(terms: Terms, ends: _Ends) -> tuple[tuple[Span, ...], tuple[Reason, ...]]:
    """What closed days leave of the window; where nothing, what contract and rule allow."""
    if not terms.closed:
        return (Span(ends.opens_on, ends.closes_on + _DAY),), ()
    left = usable_spans(ends.opens_on, ends.closes_on, terms.closed)
    if left:
        whole = left == (Span(ends.opens_on, ends.closes_on + _DAY),)
        if whole:
            return left, ()
        shortened = Reason.of("partly_closed", from_on=left[0].from_on, last_on=left[-1].last_on)
        return left, (shortened,)
    before_on = open_day_before(ends.opens_on, terms.closed)
    after_on = open_day_after(ends.closes_on, terms.closed)
    allowed = Reason.of(
        "wholly_closed",
        before_on=before_on,
        before_counts=before_on is not None and before_on >= ends.accepts_from_on,
        after_on=after_on,
        # past the contract's own end, yet not past the rule's
        after_within_rule=(
            after_on is not None and (ends.rule_on is None or after_on <= ends.rule_on)
        ),
    )
    return (), (allowed,)


def _with_attempts(
    windows: list[DueWindow], attempts: Iterable[Attempt], today: date
) -> Iterable[DueWindow]:
    """`windows` with each attempt named at the window that was waiting on its day."""
    tried: dict[int, list[Attempt]] = {}
    for one in sorted(attempts):
        if one.on > today:
            continue
        for window in windows:
            waiting = window.done_on is None or window.done_on >= one.on
            if waiting and window.accepts_from_on <= one.on < window.book_closes_on:
                tried.setdefault(window.number, []).append(one)
                break
    for window in windows:
        mine = tried.get(window.number)
        if mine is None:
            yield window
        else:
            reason = Reason.of("attempted", n=len(mine), last_on=mine[-1].on)
            ids = tuple(one.job_id for one in mine)
            yield replace(window, attempts=ids, why=(*window.why, reason))
