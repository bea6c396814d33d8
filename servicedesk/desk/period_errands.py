"""What the weeks ask for: every job with the days on which it may be done, joined by site."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

from servicedesk.desk.day_wishes import allows, day_wishes
from servicedesk.desk.demand import Times, Wanted, WantedJob
from servicedesk.desk.office import Desk
from servicedesk.desk.windows import SiteWindow
from servicedesk.duties.closings import ClosedDays, usable_spans
from servicedesk.duties.terms import WindowState
from servicedesk.records import planning_rows as rows
from servicedesk.routes.service_time import stop_min
from servicedesk.values.span import Span

# What leaving a job out of the weeks costs, and what a later day costs, in minutes of road.
# One that closes inside outweighs any detour, the sooner the more; one that can wait about three
# times the road a visit costs. Told and held outweigh all. Weights: common practice, no source.
PRIZE_CLOSES = 3_000  # closes on the last day; up to twice as much on the first
PRIZE_LATE = 7_000
PRIZE_CAN_WAIT = 60
PRIZE_CALL = 8_000
PRIZE_OWED_BY = 2_000
PRIZE_OWED = 150
PRIZE_OTHER = 1_500  # a visit that somebody planned by hand: a start-up, an estimate
PRIZE_TOLD = 20_000
PRIZE_HELD = 60_000
LATER_CALL = 400  # on a day after the promise
LATER_CALL_DAY = 40  # and for each day more
LATER_LATE = 120  # a late inspection, for each week it waits
LATER_OWED = 100
JOIN_WORTH = 60  # what one stop instead of two may cost a job in later days


@dataclass(frozen=True, slots=True)
class DayChance:
    """One day on which a job may be done: begun within these minutes, at a price."""

    from_min: int = 0
    until_min: int = 1440
    price_min: int = 0


Days = Mapping[date, DayChance]
ANY_HOUR = DayChance()
_chance = lru_cache(maxsize=4096)(DayChance)  # thousands of stops share some dozens of them


@lru_cache(maxsize=8)
def _days_from(first: date, n: int) -> tuple[date, ...]:
    return tuple(first + timedelta(days=k) for k in range(n))


def job_days(job: WantedJob, first: date, last: date, desk: Desk) -> Days:
    """The days of `first`..`last` on which a job may be done. A call also after its promise."""
    all_days = _days_from(first, (last - first).days + 1)
    if job.window is not None:
        window = job.window.window
        if window.closes_on < first:  # late already: the sooner the better
            return {d: DayChance(price_min=LATER_LATE * ((d - first).days // 7)) for d in all_days}
        return {d: ANY_HOUR for d in all_days if window.opens_on <= d <= window.closes_on}
    if job.call is not None:
        return _call_days(job.call, all_days, desk)
    if job.owed is not None and job.owed.by_on is not None:
        by = job.owed.by_on
        return {d: DayChance(price_min=0 if d <= by else LATER_OWED) for d in all_days}
    return dict.fromkeys(all_days, ANY_HOUR)


def _call_days(call: rows.WaitingCall, days: Sequence[date], desk: Desk) -> Days:
    if call.promised_by_at is None:
        return {d: DayChance(price_min=LATER_CALL_DAY * (d - days[0]).days) for d in days}
    by = desk.clock.day_of(call.promised_by_at)
    found = {
        d: DayChance(price_min=0 if d < by else LATER_CALL + LATER_CALL_DAY * (d - by).days)
        for d in days
    }
    if by in found:
        found[by] = DayChance(until_min=desk.clock.minute_of(call.promised_by_at))
    return found


def job_prize(job: WantedJob, first: date, last: date) -> int:
    """What leaving a job out of the weeks costs."""
    if job.window is not None:
        closes = job.window.window.closes_on
        if closes < first:
            return PRIZE_LATE
        if closes <= last:
            n_days = max(1, (last - first).days)
            return PRIZE_CLOSES + PRIZE_CLOSES * (last - closes).days // n_days
        weeks_after = (closes - last).days / 7
        return PRIZE_CAN_WAIT + round(PRIZE_CAN_WAIT / (1 + weeks_after))
    if job.call is not None or job.call_id is not None:
        return PRIZE_CALL
    if job.kind == "owed":
        by = job.owed.by_on if job.owed else None
        return PRIZE_OWED_BY if by is not None and by <= last else PRIZE_OWED
    return PRIZE_OTHER


def common_days(parts: Iterable[Days]) -> dict[date, DayChance]:
    """The days that all jobs of a stop share; hours cut together, prices summed."""
    found: dict[date, DayChance] | None = None
    for part in parts:
        if found is None:
            found = dict(part)
            continue
        both = {d: _both(found[d], part[d]) for d in found if d in part}
        found = {d: one for d, one in both.items() if one.from_min <= one.until_min}
    return found or {}


def joint_days(one: Days, other: Days) -> dict[date, DayChance]:
    """The days two jobs of a site may share; none where sharing makes one of them wait dearly.

    A call of today does not wait for an inspection whose window opens next month.
    """
    both = common_days([one, other])
    if both and _least(both) > _least(one) + _least(other) + JOIN_WORTH:
        return {}
    return both


def _least(days: Days) -> int:
    return min(day.price_min for day in days.values())


def _both(a: DayChance, b: DayChance) -> DayChance:
    return _chance(
        max(a.from_min, b.from_min), min(a.until_min, b.until_min), a.price_min + b.price_min
    )


def open_days(
    days: Days, site: rows.SitePlace, closed: Iterable[rows.ClosedRow], service_min: int
) -> dict[date, DayChance]:
    """The days on which the site can be visited, within its visiting hours."""
    if not days:
        return {}
    spans = [ClosedDays(Span(c.from_on, c.until_on), c.every_year) for c in closed]
    usable = usable_spans(min(days), max(days), spans)
    until = 1440 if site.visiting_until_min is None else site.visiting_until_min - service_min
    hours = DayChance(site.visiting_from_min or 0, max(site.visiting_from_min or 0, until))
    found = {}
    for day, one in days.items():
        visited = site.visiting_days is None or day.weekday() in site.visiting_days
        if visited and any(span.holds(day) for span in usable):
            both = _both(one, hours)
            if both.from_min <= both.until_min:
                found[day] = both
    return found


def wished_days(days: Days, wanted: Wanted) -> dict[date, DayChance]:
    """The days that suit the customer of a visit, within the hours they asked for."""
    if wanted.visit is None or not wanted.visit.wishes:
        return dict(days)
    wishes = day_wishes(wanted.visit.wishes)
    last = 1440 if wishes.until_min is None else wishes.until_min - wanted.service_min
    hours = DayChance(wishes.from_min or 0, max(wishes.from_min or 0, last))
    found = {}
    for day, one in days.items():
        if allows(wanted.visit.wishes, day):
            both = _both(one, hours)
            found[day] = both if both.from_min <= both.until_min else one
    return found


def first_windows(
    windows: Iterable[SiteWindow], first: date, last: date
) -> tuple[list[SiteWindow], list[SiteWindow]]:
    """Windows to be filled in the weeks, and those that must wait for one before them.

    Of each system the first unfilled one that has opened by `last`. A second one only where it
    must be filled in the weeks too and opens after the first has closed: two inspections of one
    system never come on the same days. One that has time after the weeks is left to them.
    """
    chosen: dict[int, list[SiteWindow]] = {}
    waiting: list[SiteWindow] = []
    due = [w for w in windows if not w.window.is_filled and w.window.opens_on <= last
           and w.window.state is not WindowState.MISSED]  # fmt: skip
    for one in sorted(due, key=lambda w: (w.system_id, w.window.closes_on, w.window.number)):
        known = chosen.setdefault(one.system_id, [])
        if not known:
            known.append(one)
        elif one.window.closes_on <= last and one.planned_visit_id is None:
            before = known[-1].window.closes_on
            apart = before >= first and one.window.opens_on > before
            (known if apart else waiting).append(one)
    flat = [one for known in chosen.values() for one in known if one.planned_visit_id is None]
    return flat, waiting


def inspection_job(window: SiteWindow) -> WantedJob:
    """The job that fills a window."""
    return WantedJob(
        kind="inspection",
        system_id=window.system_id,
        contract_id=window.contract_id,
        ordinal=window.window.ordinal,
        window=window,
    )


def joined(
    site_id: int, jobs: Sequence[WantedJob], parts: Sequence[Days], times: Times
) -> list[tuple[Wanted, dict[date, DayChance]]]:
    """Stops for the jobs of one site: one stop, as far as the jobs share a day."""
    groups: list[tuple[list[WantedJob], dict[date, DayChance]]] = []
    for job, days in zip(jobs, parts, strict=True):
        for group in groups:
            both = joint_days(group[1], days)
            if both:
                group[0].append(job)
                group[1].clear()
                group[1].update(both)
                break
        else:
            groups.append(([job], dict(days)))
    return [
        (wanted_of(f"s{site_id}" + (f".{n + 1}" if n else ""), site_id, None, found, times), days)
        for n, (found, days) in enumerate(groups)
    ]


def wanted_of(
    stop_id: str,
    site_id: int,
    visit: rows.VisitRow | None,
    jobs: Iterable[WantedJob],
    times: Times,
) -> Wanted:
    """A stop with its minutes: by hand, of the owed work, or learned."""
    timed = tuple(
        replace(
            j,
            minutes=(j.owed.minutes if j.owed and j.owed.minutes else None)
            or times.minutes(j.kind, site_id),
        )
        for j in jobs
    )
    by_hand = visit.service_min if visit else None
    return Wanted(
        id=stop_id,
        site_id=site_id,
        visit=visit,
        jobs=timed,
        service_min=by_hand or stop_min(j.minutes for j in timed),
        prize_min=0,
    )
