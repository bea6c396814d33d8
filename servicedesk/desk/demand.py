"""What a day asks for: every stop that must, should or may be made, joined by site."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from servicedesk.desk.day_wishes import allows
from servicedesk.desk.office import Desk
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.duties.closings import ClosedDays, usable_spans
from servicedesk.duties.terms import WindowState
from servicedesk.records import planning_rows as rows
from servicedesk.records.store import Store
from servicedesk.routes.service_time import KindTimes, PastTimes, kind_times, stop_min
from servicedesk.values.reason import Reason
from servicedesk.values.span import Span

# What leaving a stop out costs, in minutes of road. Larger than any detour of a day means:
# whenever there is room. Weights: common practice, no source.
PRIZE_CLOSES_TODAY = 600
PRIZE_LATE = 280
PRIZE_CALL = 900
PRIZE_OWED_LATE = 300
PRIZE_OWED = 90
PRIZE_OPEN = 45
# Another technician than the one wanted costs so many minutes of road: routes.price.LIKED_COST.
STOPS_A_CREW = 16  # candidates looked at for each crew, the most pressing first


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedJob:
    """A job for a stop: one on a planned visit (`id`), or one still to be written."""

    kind: str
    id: int | None = None
    system_id: int | None = None
    contract_id: int | None = None
    ordinal: int | None = None
    window: SiteWindow | None = None
    call: rows.WaitingCall | None = None
    owed: rows.WaitingOwed | None = None
    call_id: int | None = None
    owed_id: int | None = None
    prize_min: int | None = None
    minutes: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A stop that could be made: a visit that exists, or one to be made (`visit` None)."""

    id: str  # "v12": visit 12; "s45": a new visit at site 45
    site_id: int
    visit: rows.VisitRow | None
    jobs: tuple[WantedJob, ...]
    service_min: int
    prize_min: int | None  # None: must be made
    promise_until_min: int | None = None
    promise_from_min: int | None = None
    reasons: tuple[Reason, ...] = ()


@dataclass(slots=True)
class Times:
    """How long jobs take, by kind: learned from the store once."""

    kinds: dict[str, KindTimes]
    sites: dict[str, dict[int, PastTimes]] = field(default_factory=dict)

    def minutes(self, kind: str, site_id: int) -> int:
        """Minutes to plan for a job of this kind at this site."""
        known = self.kinds.get(kind)
        if known is None:
            known = self.kinds[kind] = kind_times(kind, ())
        return known.at_site(self.sites.get(kind, {}).get(site_id))


def learned_times(store: Store) -> Times:
    """Job minutes learned from all past visits."""
    with store.read() as session:
        past = rows.job_times(session)
    sites: dict[str, dict[int, PastTimes]] = {}
    for kind, by_site in past.items():
        sites[kind] = {
            site: PastTimes(n, total / n, max(0.0, squares - total * total / n))
            for site, (n, total, squares) in by_site.items()
        }
    kinds = {kind: kind_times(kind, by_site.values()) for kind, by_site in sites.items()}
    return Times(kinds, sites)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """All stops wanted on a day, and what cannot be visited that day with the reason."""

    day: date
    wanted: tuple[Wanted, ...]
    closed: tuple[tuple[int, Reason], ...]  # site, why
    windows: tuple[SiteWindow, ...]
    sites: Mapping[int, rows.SitePlace]


def demand_of(desk: Desk, day: date) -> Demand:
    """Every stop that must, should or may be made on `day`, most pressing first."""
    windows = current_windows(desk, day=day)
    with desk.store.read() as session:
        visits = rows.visits_of_day(session, day)
        dayless = [v for v in rows.visits_without_day(session) if allows(v.wishes, day)]
        calls = rows.waiting_calls(session)
        on_visits = [j.call_id for v in (*visits, *dayless) for j in v.jobs if j.call_id]
        placed = rows.calls_of(session, on_visits)
        owed_there = [j.owed_id for v in (*visits, *dayless) for j in v.jobs if j.owed_id]
        placed_owed = rows.owed_of(session, owed_there)
        owed = rows.waiting_owed(session)
        sites = rows.site_places(session)
        closed = rows.closed_spans(session)
    times = learned_times(desk.store)
    jobs = _jobs_by_site(desk, day, windows, calls, owed)
    wanted = _of_visits([*visits, *dayless], jobs, windows, times, placed, placed_owed)
    wanted += [
        _new_stop(site_id, found, times) for site_id, found in jobs.items() if site_id in sites
    ]
    shut = _shut(day, sites, closed, wanted)
    wanted = [w for w in wanted if w.site_id not in shut or w.visit is not None]
    return Demand(
        day=day,
        wanted=tuple(sorted(wanted, key=_pressing)),
        closed=tuple(sorted((s, r) for s, r in shut.items())),
        windows=windows,
        sites=sites,
    )


def _pressing(wanted: Wanted) -> tuple[int, str]:
    return (-(wanted.prize_min if wanted.prize_min is not None else 10**6), wanted.id)


def most_pressing(wanted: Iterable[Wanted], n_crews: int) -> list[Wanted]:
    """The stops worth looking at for so many crews: all musts, then the most pressing others."""
    ordered = sorted(wanted, key=_pressing)
    bound = STOPS_A_CREW * max(1, n_crews)
    return [w for n, w in enumerate(ordered) if w.prize_min is None or n < bound]


def _jobs_by_site(
    desk: Desk,
    day: date,
    windows: Iterable[SiteWindow],
    calls: Iterable[rows.WaitingCall],
    owed: Iterable[rows.WaitingOwed],
) -> dict[int, list[WantedJob]]:
    """What waits at each site and has no visit yet."""
    found: dict[int, list[WantedJob]] = {}
    for call in calls:
        job = WantedJob(
            kind="callback", system_id=call.system_id, call=call, call_id=call.id,
            prize_min=None if _due_by(desk, call.promised_by_at, day) else PRIZE_CALL,
        )  # fmt: skip
        found.setdefault(call.site_id, []).append(job)
    for window in _first_due(windows):
        found.setdefault(window.site_id, []).append(_inspection(window, day))
    for work in owed:
        late = work.by_on is not None and work.by_on <= day
        job = WantedJob(
            kind="owed", system_id=work.system_id, owed=work, owed_id=work.id,
            prize_min=PRIZE_OWED_LATE if late else PRIZE_OWED,
        )  # fmt: skip
        found.setdefault(work.site_id, []).append(job)
    return found


def _first_due(windows: Iterable[SiteWindow]) -> list[SiteWindow]:
    """For each system the first window that is due: one inspection fills one window only.

    A system whose due inspection has a visit already waits for that one.
    """
    first: dict[int, SiteWindow] = {}
    for window in windows:
        if window.window.is_due:
            known = first.setdefault(window.system_id, window)
            if known.planned_visit_id is None and window.planned_visit_id is not None:
                first[window.system_id] = window
    return [w for w in first.values() if w.planned_visit_id is None]


def _due_by(desk: Desk, promised: datetime | None, day: date) -> bool:
    return promised is not None and desk.clock.day_of(promised) <= day


def _inspection(window: SiteWindow, day: date) -> WantedJob:
    return WantedJob(
        kind="inspection",
        system_id=window.system_id,
        contract_id=window.contract_id,
        ordinal=window.window.ordinal,
        window=window,
        prize_min=inspection_prize(window, day),
    )


def inspection_prize(window: SiteWindow, day: date) -> int:
    """What leaving an inspection for another day costs, in minutes of road.

    Grows as the window closes: ``45 + 600 / (days left + 2)`` while it is open.
    """
    if window.window.state is WindowState.LATE:
        return PRIZE_LATE
    left = window.window.days_left(day)
    if left <= 0:
        return PRIZE_CLOSES_TODAY
    return PRIZE_OPEN + round(600 / (left + 2))


def _new_stop(site_id: int, jobs: list[WantedJob], times: Times) -> Wanted:
    return _wanted(f"s{site_id}", site_id, None, jobs, times)


def _wanted(
    stop_id: str,
    site_id: int,
    visit: rows.VisitRow | None,
    jobs: list[WantedJob],
    times: Times,
) -> Wanted:
    timed = tuple(
        replace(j, minutes=(j.owed.minutes if j.owed and j.owed.minutes else None)
                or times.minutes(j.kind, site_id))
        for j in jobs
    )  # fmt: skip
    prizes = [j.prize_min for j in timed]
    must = any(prize is None for prize in prizes)
    by_hand = visit.service_min if visit else None
    return Wanted(
        id=stop_id,
        site_id=site_id,
        visit=visit,
        jobs=timed,
        service_min=by_hand or stop_min(j.minutes for j in timed),
        prize_min=None if must else sum(prize or 0 for prize in prizes),
    )


def _of_visits(
    visits: list[rows.VisitRow],
    waiting: dict[int, list[WantedJob]],
    windows: Iterable[SiteWindow],
    times: Times,
    placed: Mapping[int, rows.WaitingCall],
    placed_owed: Mapping[int, rows.WaitingOwed],
) -> list[Wanted]:
    """Stops for visits that exist; jobs that wait at the same site join the first of them."""
    by_visit = {w.planned_visit_id: w for w in windows if w.planned_visit_id is not None}
    found = []
    for visit in visits:
        jobs = [
            WantedJob(
                kind=job.kind,
                id=job.id,
                system_id=job.system_id,
                contract_id=job.contract_id,
                ordinal=job.ordinal,
                window=by_visit.get(visit.id) if job.kind == "inspection" else None,
                call=placed.get(job.call_id) if job.call_id else None,
                call_id=job.call_id,
                # its minutes were planned with; without them the round would be timed otherwise
                owed=placed_owed.get(job.owed_id) if job.owed_id else None,
                owed_id=job.owed_id,
                prize_min=None if visit.planned_on is not None else PRIZE_CALL,
            )
            for job in visit.jobs
        ]
        if visit.state == "planned" and not visit.kept_apart and visit.planned_on is not None:
            jobs += waiting.pop(visit.site_id, [])
        found.append(_wanted(f"v{visit.id}", visit.site_id, visit, jobs, times))
    return found


def _shut(
    day: date,
    sites: Mapping[int, rows.SitePlace],
    closed: Mapping[int, list[rows.ClosedRow]],
    wanted: Iterable[Wanted],
) -> dict[int, Reason]:
    """Sites of the day that cannot be visited on it, with the reason."""
    shut: dict[int, Reason] = {}
    for site_id in {w.site_id for w in wanted}:
        spans = [
            ClosedDays(Span(c.from_on, c.until_on), c.every_year) for c in closed.get(site_id, [])
        ]
        if spans and not usable_spans(day, day, spans):
            shut[site_id] = Reason.of("site_closed", on=day)
        place = sites.get(site_id)
        days = place.visiting_days if place else None
        if days is not None and day.weekday() not in days:
            shut[site_id] = Reason.of("not_a_visiting_day", on=day)
    return shut
