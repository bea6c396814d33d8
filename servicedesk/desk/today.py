"""What must be done before anything else: the opening page in values."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from servicedesk.desk.callbacks import CallLine, open_calls
from servicedesk.desk.office import Desk
from servicedesk.desk.owed import OwedLine, owed_list
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.duties.terms import WindowState
from servicedesk.records import company_rows, desk_counts
from servicedesk.records import planning_rows as rows

CLOSING_DAYS = 14
N_ROWS = 12
ORDINALS = 4  # inspections of a year shown apart


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayStop:
    """A stop of today's rounds: planned minutes, and as it went where it went already."""

    visit_id: int
    site_id: int
    address: str
    begin_min: int
    leave_min: int
    arrived_min: int | None
    left_min: int | None
    promise_until_min: int | None
    kinds: tuple[str, ...]

    @property
    def is_done(self) -> bool:
        """Was it written up?"""
        return self.left_min is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayRound:
    """One round of today: its stops in order, how far it is behind (minus: ahead)."""

    round_id: int
    technician: str
    state: str
    stops: tuple[TodayStop, ...]
    leave_min: int
    home_min: int
    behind_min: int | None
    changed_since: bool

    @property
    def n_done(self) -> int:
        """Stops written up."""
        return sum(stop.is_done for stop in self.stops)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingWindow:
    """A window that closes soon or has closed, with the day of its visit if it has one."""

    site_id: int
    address: str
    opens_on: date
    closes_on: date
    planned_on: date | None
    is_late: bool
    confirmed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class YearLine:
    """The first, second, third inspection of the running contract years, in numbers."""

    ordinal: int
    n_done: int
    n_done_late: int
    n_with_day: int
    n_open: int  # due or not yet, without a day
    n_late: int
    last_closes_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """The opening page."""

    day: date
    now_min: int
    n_sites: int
    rounds: tuple[TodayRound, ...]
    calls: tuple[CallLine, ...]
    closing: tuple[ClosingWindow, ...]
    n_closing: int
    n_closing_week: int
    n_closing_week_no_day: int
    n_late: int
    owed: tuple[OwedLine, ...]
    n_owed: int
    n_back: int
    n_unsent: int
    unsent_since: date | None
    year: tuple[YearLine, ...]


def todays_page(desk: Desk) -> Today:
    """Everything on the opening page, read and computed now."""
    day = desk.today
    windows = current_windows(desk)
    with desk.store.read() as session:
        written = rows.rounds_on(session, day)
        visits = rows.visits_of_day(session, day)
        n_sites = desk_counts.sites(session)
        n_unsent, unsent_since = desk_counts.unsent_reports(session)
        n_back = desk_counts.open_alerts(session, day)
        people = {t.id: t.short_name or t.name for t in company_rows.technicians(session, day)}
        wanted = {v.site_id for v in visits} | {w.site_id for w in windows}
        sites = rows.site_places(session, wanted)
    owed = owed_list(desk)
    due = [w for w in windows if w.window.is_due]
    closing = _closing(due, sites, day)
    week = [w for w in due if 0 <= w.window.days_left(day) <= 7]
    return Today(
        day=day,
        now_min=desk.clock.minute_of_day(),
        n_sites=n_sites,
        rounds=tuple(_round(desk, r, visits, sites, people) for r in written),
        calls=open_calls(desk),
        closing=closing[:N_ROWS],
        n_closing=len(closing),
        n_closing_week=len(week),
        n_closing_week_no_day=sum(w.planned_on is None for w in week),
        n_late=sum(w.window.state is WindowState.LATE for w in due),
        owed=owed[:N_ROWS],
        n_owed=len(owed),
        n_back=n_back,
        n_unsent=n_unsent,
        unsent_since=unsent_since,
        year=_year(windows, day),
    )


def _round(
    desk: Desk,
    row: rows.RoundRow,
    visits: list[rows.VisitRow],
    sites: dict[int, rows.SitePlace],
    people: dict[int, str],
) -> TodayRound:
    mine = [v for v in visits if v.round_id == row.id]
    stops = tuple(_stop(desk, v, sites[v.site_id]) for v in mine)
    return TodayRound(
        round_id=row.id,
        technician=people.get(row.lead_id, ""),
        state=row.state,
        stops=stops,
        leave_min=row.leave_min or 0,
        home_min=row.home_min or 0,
        behind_min=_behind(stops),
        changed_since=row.changed_since,
    )


def _stop(desk: Desk, visit: rows.VisitRow, site: rows.SitePlace) -> TodayStop:
    def minute(instant: datetime | None) -> int | None:
        return None if instant is None else desk.clock.minute_of(instant)

    begin = visit.begin_min if visit.begin_min is not None else visit.arrive_min or 0
    return TodayStop(
        visit_id=visit.id,
        site_id=visit.site_id,
        address=site.address,
        begin_min=begin,
        leave_min=visit.leave_min or begin,
        arrived_min=minute(visit.arrived_at),
        left_min=minute(visit.left_at),
        promise_until_min=visit.promise_until_min,
        kinds=tuple(job.kind for job in visit.jobs),
    )


def _behind(stops: tuple[TodayStop, ...]) -> int | None:
    """Minutes behind the plan at the last stop that was left; None before the first."""
    left = [s for s in stops if s.left_min is not None]
    return (left[-1].left_min or 0) - left[-1].leave_min if left else None


def _closing(
    due: list[SiteWindow], sites: dict[int, rows.SitePlace], day: date
) -> tuple[ClosingWindow, ...]:
    until = day + timedelta(days=CLOSING_DAYS)
    soon = [w for w in due if w.window.closes_on <= until]
    soon.sort(key=lambda w: (w.window.closes_on, w.site_id))
    return tuple(
        ClosingWindow(
            site_id=w.site_id,
            address=sites[w.site_id].address,
            opens_on=w.window.opens_on,
            closes_on=w.window.closes_on,
            planned_on=w.planned_on,
            is_late=w.window.state is WindowState.LATE,
            confirmed=w.window.confirmed,
        )
        for w in soon
    )


def _year(windows: tuple[SiteWindow, ...], day: date) -> tuple[YearLine, ...]:
    """Windows of the contract years that run today, by ordinal."""
    lines = []
    running = _of_running_years(windows, day)
    for ordinal in sorted({w.window.ordinal for w in running})[:ORDINALS]:
        mine = [w for w in running if w.window.ordinal == ordinal]
        states = [w.window.state for w in mine]
        waiting = [w for w in mine if not w.window.is_filled]
        lines.append(
            YearLine(
                ordinal=ordinal,
                n_done=states.count(WindowState.DONE),
                n_done_late=states.count(WindowState.DONE_LATE),
                n_with_day=sum(w.planned_on is not None for w in waiting),
                n_open=sum(
                    w.planned_on is None
                    and w.window.state not in {WindowState.LATE, WindowState.MISSED}
                    for w in waiting
                ),
                n_late=sum(
                    w.planned_on is None
                    and w.window.state in {WindowState.LATE, WindowState.MISSED}
                    for w in waiting
                ),
                last_closes_on=max((w.window.closes_on for w in mine), default=None),
            )
        )
    return tuple(lines)


def _of_running_years(windows: tuple[SiteWindow, ...], day: date) -> list[SiteWindow]:
    """The windows of the contract year in which `day` falls, for each system."""
    year_of: dict[tuple[int, int], int] = {}
    for one in windows:
        if one.window.opens_on <= day or one.window.year_no == 1:
            key = (one.contract_id, one.system_id)
            year_of[key] = max(year_of.get(key, 1), one.window.year_no)
    return [w for w in windows if year_of.get((w.contract_id, w.system_id)) == w.window.year_no]
