"""A draft of some weeks as people read it: days, what moved and why, what found no place."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import pstdev

from servicedesk.desk.office import Desk
from servicedesk.desk.period_case import PeriodCase
from servicedesk.records.company import Technician
from servicedesk.routes.period_plan import PeriodPlan, load_min
from servicedesk.routes.period_problem import PeriodStop
from servicedesk.routes.period_room import best_gap, extra_road
from servicedesk.routes.plan import CrewDay
from servicedesk.routes.service_time import stop_min
from servicedesk.values.reason import Reason
from servicedesk.words.reasons import reason_text

_LATER_TELLS = ("day", "waits_until")  # values of reasons that count days of the problem


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftStop:
    """One stop of the draft. Minutes of the day are local.

    `was_on`, `was_with`: where it stands now; None and "" for a new visit. `is_moved`: on another
    day or with somebody else than now, `why` says what for. `tell`: the customer was told the old
    day. `joins`: several jobs in one stop, and what that saves.
    """

    stop_id: str
    site_id: int
    visit_id: int | None
    address: str
    locality: str
    jobs: tuple[str, ...]
    begin_min: int
    leave_min: int
    drive_min: int
    closes_on: date | None
    is_held: bool
    was_on: date | None
    was_with: str
    is_moved: bool
    why: tuple[str, ...]
    tell: bool
    joins: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftDay:
    """One technician's day of the draft. `load_min`: from leaving to coming home, no break."""

    shift_id: str
    day: date
    technician_id: int
    technician: str
    stops: tuple[DraftStop, ...]
    leave_min: int
    home_min: int
    road_min: int
    road_m: int | None
    load_min: int
    kept_min: int
    is_changed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPlaced:
    """A stop without a day: why, and what would free one, in words. `closes_on`: last in time."""

    stop_id: str
    site_id: int
    visit_id: int | None
    address: str
    jobs: tuple[str, ...]
    closes_on: date | None
    closes_inside: bool
    why: tuple[str, ...]
    frees: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """A plan in figures: `n_late` stops after their last day, `spread_min` of the day loads."""

    n_stops: int
    n_days: int
    road_min: int
    road_m: int | None
    work_min: int
    n_late: int
    spread_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftPage:
    """All that is shown of a draft. `before` is the plan as it is written now."""

    first: date
    last: date
    technicians: tuple[str, ...]
    days: tuple[DraftDay, ...]
    not_placed: tuple[NotPlaced, ...]
    before: Totals
    after: Totals
    n_new: int
    n_moved: int
    n_frozen: int
    to_tell: tuple[str, ...]
    planner: str
    was_stopped: bool
    roads: str

    @property
    def n_closing_missed(self) -> int:
        """Stops without a day though their last one lies within the weeks."""
        return sum(one.closes_inside for one in self.not_placed)


def draft_page(desk: Desk, case: PeriodCase, plan: PeriodPlan, stand: PeriodPlan) -> DraftPage:
    """The draft in words and figures; `stand` is the plan as it is written."""
    days = tuple(
        _day(desk, case, plan, shift_id)
        for shift_id in sorted(plan.days)
        if plan.days[shift_id].stops
    )
    stops = [stop for day in days for stop in day.stops]
    return DraftPage(
        first=case.first,
        last=case.last,
        technicians=tuple(sorted({t.name for t in case.shift_lead.values()})),
        days=days,
        not_placed=(*_not_placed(desk, case, plan), *_waiting(desk, case)),
        before=_totals(case, stand),
        after=_totals(case, plan),
        n_new=sum(stop.visit_id is None for stop in stops),
        n_moved=sum(stop.is_moved for stop in stops),
        n_frozen=len(case.frozen),
        to_tell=tuple(stop.address for stop in stops if stop.tell),
        planner=plan.planner,
        was_stopped=plan.was_stopped,
        roads=case.problem.travel.source,
    )


def in_words(desk: Desk, case: PeriodCase, reasons: Sequence[Reason]) -> tuple[str, ...]:
    """Reasons of the calculation, their days as dates, their ids as names."""
    names = {i: case.address(i) for i in case.wanted}
    names |= {str(t.id): short_name(t) for t in case.shift_lead.values()}
    return tuple(reason_text(_dated(case, one), desk.formats, names) for one in reasons)


def short_name(technician: Technician) -> str:
    """What a technician is called in a list."""
    return technician.short_name or technician.name.split()[0]


def _dated(case: PeriodCase, reason: Reason) -> Reason:
    values = {
        name: case.first + timedelta(days=value)
        if name in _LATER_TELLS and isinstance(value, int)
        else value
        for name, value in reason.values
    }
    return Reason.of(reason.code, **values)


def _day(desk: Desk, case: PeriodCase, plan: PeriodPlan, shift_id: str) -> DraftDay:
    day, shift, lead = (
        plan.days[shift_id],
        case.problem.shift_of[shift_id],
        case.shift_lead[shift_id],
    )
    stops = [case.problem.stop_of[stop_id] for stop_id in day.order]
    return DraftDay(
        shift_id=shift_id,
        day=case.shift_day[shift_id],
        technician_id=lead.id,
        technician=short_name(lead),
        stops=tuple(_stop(desk, case, plan, shift_id, n) for n in range(len(stops))),
        leave_min=day.leave_home_min,
        home_min=day.home_min,
        road_min=day.road_min,
        road_m=day.road_m,
        load_min=load_min(shift, stops, case.problem.travel),
        kept_min=shift.kept_min,
        is_changed=is_changed(case, shift_id, day),
    )


def is_changed(case: PeriodCase, shift_id: str, day: CrewDay) -> bool:
    """Differs a round from what is written: other stops, another order, or another job?"""
    if tuple(case.stand.get(shift_id, ())) != day.order:
        return True
    return any(job.id is None for stop_id in day.order for job in case.wanted[stop_id].jobs)


def _stop(desk: Desk, case: PeriodCase, plan: PeriodPlan, shift_id: str, n: int) -> DraftStop:
    planned = plan.days[shift_id].stops[n]
    wanted, facts = case.wanted[planned.stop_id], case.facts[planned.stop_id]
    visit, site = wanted.visit, case.sites[wanted.site_id]
    was_on = visit.planned_on if visit is not None else None
    lead = case.shift_lead.get(facts.now_at or "")
    day_moved = was_on is not None and was_on != case.shift_day[shift_id]
    moved = day_moved or (facts.now_at is not None and facts.now_at != shift_id)
    return DraftStop(
        stop_id=planned.stop_id,
        site_id=wanted.site_id,
        visit_id=visit.id if visit is not None else None,
        address=site.address,
        locality=site.locality,
        jobs=tuple(job.kind for job in wanted.jobs),
        begin_min=planned.begin_min,
        leave_min=planned.leave_min,
        drive_min=planned.drive_min,
        closes_on=facts.closes_on,
        is_held=facts.held,
        was_on=was_on,
        was_with=short_name(lead) if lead is not None else "",
        is_moved=moved,
        why=in_words(desk, case, _why_moved(case, plan, shift_id, n)) if moved else (),
        tell=day_moved and visit is not None and visit.told,
        joins="".join(in_words(desk, case, _joins(case, plan, shift_id, n))),
    )


def _why_moved(case: PeriodCase, plan: PeriodPlan, shift_id: str, n: int) -> tuple[Reason, ...]:
    """What speaks against where it stood: nobody there, outside its window, no room, the road."""
    stop = case.problem.stop_of[plan.days[shift_id].order[n]]
    wanted, facts = case.wanted[stop.id], case.facts[stop.id]
    was_on = wanted.visit.planned_on if wanted.visit is not None else None
    if was_on is None:
        return ()
    day = (was_on - case.first).days
    if was_on < case.first:
        return ()
    closes = facts.closes_on
    if closes is not None and was_on > closes >= case.shift_day[shift_id]:
        return (Reason.of("move_into_window", day=day),)
    if facts.now_at is None:
        lead = wanted.visit.lead_id if wanted.visit is not None else None
        return (Reason.of("move_nobody", crew=str(lead), day=day),) if lead is not None else ()
    shift = case.problem.shift_of[facts.now_at]
    order = [case.problem.stop_of[i] for i in plan.days[shift.id].order if i != stop.id]
    back = best_gap(case.problem, shift, order, stop)
    if back.shut_min:
        return (Reason.of("move_hours", day=day),)
    if back.over_min:
        over = back.over_min
        return (Reason.of("move_no_room", crew=shift.crew.id, day=day, over_min=over),)
    saves = back.extra_road_min - _detour(case, plan, shift_id, n)
    return (Reason.of("move_saves", by_min=saves) if saves > 0 else Reason.of("move_others"),)


def _detour(case: PeriodCase, plan: PeriodPlan, shift_id: str, n: int) -> int:
    """More minutes of road for this stop on its round."""
    order = [case.problem.stop_of[i] for i in plan.days[shift_id].order]
    rest = [*order[:n], *order[n + 1 :]]
    return extra_road(case.problem, case.problem.shift_of[shift_id], rest, n, order[n])


def _joins(case: PeriodCase, plan: PeriodPlan, shift_id: str, n: int) -> tuple[Reason, ...]:
    """What the jobs after the longest one add, and the road a second stop there would cost."""
    stop: PeriodStop = case.problem.stop_of[plan.days[shift_id].order[n]]
    minutes = sorted((job.minutes for job in case.wanted[stop.id].jobs), reverse=True)
    if len(minutes) < 2:
        return ()
    plus = max(0, stop.service_min - stop_min(minutes[:1]))
    return (Reason.of("same_stop", plus_min=plus, saves_min=_detour(case, plan, shift_id, n)),)


def _not_placed(desk: Desk, case: PeriodCase, plan: PeriodPlan) -> tuple[NotPlaced, ...]:
    found = []
    for left in plan.left_out:
        wanted, facts = case.wanted[left.stop_id], case.facts[left.stop_id]
        reasons = left.reasons
        if wanted.site_id in case.closed and not case.problem.stop_of[left.stop_id].chances:
            reasons = (Reason.of("wholly_shut"),)
        found.append(
            NotPlaced(
                stop_id=left.stop_id,
                site_id=wanted.site_id,
                visit_id=wanted.visit.id if wanted.visit else None,
                address=case.address(left.stop_id),
                jobs=tuple(job.kind for job in wanted.jobs),
                closes_on=facts.closes_on,
                closes_inside=facts.closes_on is not None and facts.closes_on <= case.last,
                why=in_words(desk, case, reasons),
                frees=in_words(desk, case, left.frees),
            )
        )
    return tuple(found)


def _waiting(desk: Desk, case: PeriodCase) -> tuple[NotPlaced, ...]:
    """Windows that wait for an earlier one of their system."""
    return tuple(
        NotPlaced(
            stop_id="",
            site_id=one.site_id,
            visit_id=None,
            address=case.sites[one.site_id].address,
            jobs=("inspection",),
            closes_on=one.window.closes_on,
            closes_inside=one.window.closes_on <= case.last,
            why=in_words(desk, case, (Reason.of("earlier_one_first"),)),
            frees=(),
        )
        for one in case.waiting
        if one.site_id in case.sites
    )


def _totals(case: PeriodCase, plan: PeriodPlan) -> Totals:
    out = {i: day for i, day in plan.days.items() if day.stops}
    late = 0
    all_loads = []
    for shift_id, day in out.items():
        stops = [case.problem.stop_of[i] for i in day.order]
        all_loads.append(load_min(case.problem.shift_of[shift_id], stops, case.problem.travel))
        on = case.shift_day[shift_id]
        late += sum(_is_late(case.facts[i].closes_on, on) for i in day.order)
    return Totals(
        n_stops=sum(len(day.stops) for day in out.values()),
        n_days=len(out),
        road_min=plan.road_min,
        road_m=plan.road_m,
        work_min=sum(case.problem.stop_of[i].service_min for d in out.values() for i in d.order),
        n_late=late,
        spread_min=round(pstdev(all_loads)) if len(all_loads) > 1 else 0,
    )


def _is_late(closes_on: date | None, on: date) -> bool:
    return closes_on is not None and on > closes_on
