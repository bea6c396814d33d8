"""The rounds of one day: made, looked at, changed by hand, handed out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from servicedesk.desk.demand import Demand, Wanted, demand_of, most_pressing
from servicedesk.desk.office import Desk
from servicedesk.desk.places import Located, located, office_position
from servicedesk.records import company_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.records.rounds import Round, RoundCrew
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import Job, Visit
from servicedesk.routes import keep
from servicedesk.routes.day import plan_day, retimed
from servicedesk.routes.plan import CrewDay, DayPlan
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.travel.matrix import straight_line_times
from servicedesk.values.position import Position
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

SEED = 1


@dataclass(frozen=True, kw_only=True)
class DayCase:
    """One day as the planner sees it: the problem, and what its stops and crews stand for.

    `stand` is the plan as it is written in the store (nothing planned yet: empty rounds).
    """

    day: date
    problem: DayProblem
    wanted: Mapping[str, Wanted]
    technicians: Mapping[str, Technician]
    rounds: Mapping[str, rows.RoundRow]  # by crew id
    located: Mapping[int, Located]
    demand: Demand
    stand: DayPlan
    off: Mapping[str, str]  # technicians who do not work, and why

    @property
    def is_planned(self) -> bool:
        """Has this day rounds already?"""
        return bool(self.rounds)


def day_case(desk: Desk, day: date) -> DayCase:
    """Everything the planner needs of a day. Reads only."""
    demand = demand_of(desk, day)
    with desk.store.read() as session:
        people = company_rows.technicians(session, day)
        off = company_rows.days_off(session, day)
        written = rows.rounds_on(session, day)
    spots = located(desk, demand.sites)
    home = office_position(desk, spots)
    at_work = [t for t in people if t.id not in off and day.weekday() in t.working_days]
    if not desk.works_on(day):
        at_work = [t for t in at_work if any(r.lead_id == t.id for r in written)]
    pressing = most_pressing(demand.wanted, len(at_work))
    problem = _problem(desk, day, pressing, at_work, demand, spots, home)
    rounds = {str(r.lead_id): r for r in written}
    wanted = {w.id: w for w in pressing}
    return DayCase(
        day=day,
        problem=problem,
        wanted=wanted,
        technicians={str(t.id): t for t in at_work},
        rounds=rounds,
        located=spots,
        demand=demand,
        stand=_stand(problem, wanted, rounds),
        off={t.name: off.get(t.id, "") for t in people if t not in at_work},
    )


def _stand(
    problem: DayProblem, wanted: Mapping[str, Wanted], rounds: Mapping[str, rows.RoundRow]
) -> DayPlan:
    crew_of = {r.id: crew for crew, r in rounds.items()}
    orders: dict[str, list[tuple[int, str]]] = {}
    for stop in wanted.values():
        visit = stop.visit
        if visit is not None and visit.round_id in crew_of:
            crew = crew_of[visit.round_id]
            orders.setdefault(crew, []).append((visit.place or 0, stop.id))
    in_order = {
        crew: [stop_id for _, stop_id in sorted(found)]
        for crew, found in orders.items()
        if crew in problem.crew_of
    }
    return retimed(problem, in_order, planner="hand")


def _problem(
    desk: Desk,
    day: date,
    wanted: Sequence[Wanted],
    at_work: Sequence[Technician],
    demand: Demand,
    spots: Mapping[int, Located],
    home: Position,
) -> DayProblem:
    positions: list[Position] = [home]
    crews = []
    for technician in at_work:
        start = 0
        if technician.base == "home" and technician.home_lat_deg is not None:
            positions.append(Position(technician.home_lat_deg, technician.home_lon_deg or 0.0))
            start = len(positions) - 1
        crews.append(_crew(technician, start))
    first = len(positions)
    positions += [spots[w.site_id].position for w in wanted]
    crew_ids = {c.id for c in crews}
    stops = tuple(
        _stop(desk, day, w, first + n, demand.sites[w.site_id], crew_ids)
        for n, w in enumerate(wanted)
    )
    travel = straight_line_times(
        positions, detour=desk.company.road_detour, speed_kmh=desk.company.road_speed_kmh
    )
    return DayProblem(stops=stops, crews=tuple(crews), travel=travel)


def _crew(technician: Technician, start: int) -> Crew:
    return Crew(
        id=str(technician.id),
        start_place=start,
        end_place=start,
        shift_from_min=technician.day_from_min,
        shift_until_min=technician.day_until_min,
        overtime_min=technician.overtime_min,
        break_min=technician.break_min,
        break_from_min=technician.break_from_min,
        break_until_min=technician.break_until_min,
        skills=frozenset(technician.skills),
    )


def _stop(
    desk: Desk, day: date, wanted: Wanted, place: int, site: rows.SitePlace, crews: set[str]
) -> Stop:
    visit = wanted.visit
    until_min = _promise_until(desk, day, wanted)
    stop = Stop(
        id=wanted.id,
        place=place,
        service_min=wanted.service_min,
        open_from_min=site.visiting_from_min or 0,
        open_until_min=_latest_begin(site, wanted.service_min),
        promise_until_min=until_min,
        prize_min=wanted.prize_min,
    )
    if visit is None:
        return stop
    if visit.arrived_at is not None:
        return _already_made(desk, stop, visit, crews)
    stop = replace(
        stop,
        promise_from_min=visit.promise_from_min,
        promise_until_min=_least(visit.promise_until_min, until_min),
        told=visit.told and visit.planned_on is not None,
    )
    return _held(stop, visit, crews)


def _held(stop: Stop, visit: rows.VisitRow, crews: set[str]) -> Stop:
    if not visit.held or str(visit.held_crew_id) not in crews:
        return stop
    return replace(
        stop,
        held_crew=str(visit.held_crew_id),
        held_position=visit.place,
        held_at_min=visit.held_at_min,
    )


def _already_made(desk: Desk, stop: Stop, visit: rows.VisitRow, crews: set[str]) -> Stop:
    """A stop that was made already stays where and when it was."""
    crew = str(visit.lead_id)
    arrived = desk.clock.minute_of(visit.arrived_at) if visit.arrived_at else 0
    left = desk.clock.minute_of(visit.left_at) if visit.left_at else arrived + stop.service_min
    return Stop(
        id=stop.id,
        place=stop.place,
        service_min=max(0, left - arrived),
        held_crew=crew if crew in crews else None,
        held_position=visit.place if crew in crews else None,
        held_at_min=arrived if crew in crews else None,
    )


def _least(one: int | None, other: int | None) -> int | None:
    known = [m for m in (one, other) if m is not None]
    return min(known) if known else None


def _latest_begin(site: rows.SitePlace, service_min: int) -> int:
    """The latest minute to begin: done by the end of the visiting hours where there are any."""
    if site.visiting_until_min is None:
        return 1440
    return max(site.visiting_from_min or 0, site.visiting_until_min - service_min)


def _promise_until(desk: Desk, day: date, wanted: Wanted) -> int | None:
    """The minute by which a call promised for this very day must be answered."""
    minutes = []
    for job in wanted.jobs:
        promised = job.call.promised_by_at if job.call else None
        if promised is not None and desk.clock.day_of(promised) == day:
            minutes.append(desk.clock.minute_of(promised))
    return min(minutes) if minutes else None


def proposed(desk: Desk, case: DayCase, progress: Progress = quiet) -> DayPlan:
    """The best rounds for the day. What is held stays. Writes nothing.

    Raises Trouble if nobody works that day.
    """
    if not case.problem.crews:
        raise Trouble(nobody_works(desk, case.day, case.off))
    start = case.stand if any(d.stops for d in case.stand.days) else None
    return plan_day(case.problem, seed=SEED, start=start, progress=progress)


def nobody_works(desk: Desk, day: date, off: Mapping[str, str]) -> str:
    """The sentence for a day on which nobody goes out, with the reason."""
    shown = desk.formats.long_day(day)
    holiday = desk.company.holidays.get(day)
    if holiday:
        return say("Nobody works on {day}: {holiday}.", day=shown, holiday=holiday)
    if day.weekday() not in desk.company.working_days:
        return say("Nobody works on {day}: it is not a working day.", day=shown)
    if off:
        return say("Nobody works on {day}: everybody is off.", day=shown)
    return say("Nobody works on {day}: there is no technician yet.", day=shown)


def take_plan(desk: Desk, case: DayCase, plan: DayPlan, *, what: str) -> Changed:
    """Write a plan of the day: rounds, visits, order and times, in one change."""
    with desk.store.change(desk.who, what) as work:
        for day in plan.days:
            _write_round(work, case, plan, day)
        for left in plan.left_out:
            _write_left_out(work, case.wanted[left.stop_id])
    return work.changed


def _write_round(work: Work, case: DayCase, plan: DayPlan, day: CrewDay) -> None:
    technician = case.technicians[day.crew_id]
    known = case.rounds.get(day.crew_id)
    if known is None and not day.stops:
        return
    if known is None:
        round_ = work.add(Round(day=case.day, lead_id=technician.id, truck_id=technician.truck_id))
        work.add(RoundCrew(round_id=round_.id, technician_id=technician.id))
    else:
        round_ = work.fresh(Round, known.id, seen=known.revision)
    touched = False
    for n, stop in enumerate(day.stops, start=1):
        wanted = case.wanted[stop.stop_id]
        if wanted.visit is not None and wanted.visit.arrived_at is not None:
            continue
        visit = _visit_for(work, case, wanted)
        moved = visit.round_id != round_.id or visit.place != n
        touched = touched or moved
        visit.planned_on = case.day
        visit.round_id = round_.id
        visit.place = n
        visit.arrive_min = stop.arrival_min
        visit.begin_min = stop.begin_min
        visit.leave_min = stop.leave_min
        visit.drive_min = stop.drive_min
        if visit.held:
            visit.held_crew_id = technician.id
    before = {w.id for w in case.wanted.values() if w.visit and w.visit.round_id == round_.id}
    touched = touched or before != {s.stop_id for s in day.stops}
    round_.leave_min = day.leave_home_min
    round_.home_min = day.home_min
    round_.road_min = day.road_min
    round_.break_at_min = day.pause.begin_min if day.pause else None
    round_.planner = plan.planner
    if touched and round_.state == "handed out":
        round_.changed_since = True


def _visit_for(work: Work, case: DayCase, wanted: Wanted) -> Visit:
    if wanted.visit is not None:
        visit = work.fresh(Visit, wanted.visit.id, seen=wanted.visit.revision)
    else:
        visit = work.add(Visit(site_id=wanted.site_id, planned_on=case.day))
    for job in wanted.jobs:
        if job.id is None:
            window = job.window.window if job.window else None
            work.add(
                Job(
                    visit_id=visit.id,
                    kind_of=job.kind,
                    system_id=job.system_id,
                    contract_id=job.contract_id,
                    ordinal=job.ordinal,
                    window_from=window.opens_on if window else None,
                    window_until=window.closes_on if window else None,
                    call_id=job.call_id,
                    owed_id=job.owed_id,
                )
            )
    return visit


def _write_left_out(work: Work, wanted: Wanted) -> None:
    """A stop that has no place any more keeps its day if the customer was told it."""
    if wanted.visit is None or wanted.visit.round_id is None or wanted.visit.arrived_at:
        return
    visit = work.fresh(Visit, wanted.visit.id, seen=wanted.visit.revision)
    round_ = work.get(Round, wanted.visit.round_id)
    if round_.state == "handed out":
        round_.changed_since = True
    visit.round_id = None
    visit.place = None
    visit.arrive_min = visit.begin_min = visit.leave_min = visit.drive_min = None
    visit.held = False
    visit.held_at_min = None
    visit.held_crew_id = None
    if not visit.told:
        visit.planned_on = None


def plan_rounds(desk: Desk, day: date, progress: Progress = quiet) -> Changed | None:
    """Plan a day that has no rounds yet and write it. None if it has, or nothing is to do."""
    case = day_case(desk, day)
    if case.is_planned:
        return None
    plan = proposed(desk, case, progress)
    if not any(d.stops for d in plan.days):
        return None
    shown = desk.formats.weekday(day)
    return take_plan(desk, case, plan, what=say("Planned the rounds of {day}", day=shown))


def move_stop(desk: Desk, case: DayCase, stop_id: str, *, to_crew: str, position: int) -> Changed:
    """Put a stop at a place of a round by hand (0 is first). StaleEdit if others moved it."""
    plan = keep.moved(case.stand, stop_id, to_crew=to_crew, position=position)
    what = say(
        "Moved {address} to {technician}, stop {n}",
        address=_address(case, stop_id),
        technician=_short(case.technicians[to_crew]),
        n=plan.day_of[to_crew].order.index(stop_id) + 1,
    )
    return take_plan(desk, case, plan, what=what)


def take_out(desk: Desk, case: DayCase, stop_id: str) -> Changed:
    """Take a stop out of its round: it waits under *No day yet*."""
    plan = keep.taken_out(case.stand, stop_id)
    what = say("Took {address} out of the day", address=_address(case, stop_id))
    return take_plan(desk, case, plan, what=what)


def hold(desk: Desk, visit: rows.VisitRow, *, address: str, at_min: int | None = None) -> Changed:
    """Hold a stop in place by hand: the same crew, the same order, if given the same minute."""
    what = say("Held {address} in place", address=address)
    with desk.store.change(desk.who, what) as work:
        record = work.fresh(Visit, visit.id, seen=visit.revision)
        if record.round_id is None:
            raise Trouble(
                say("{address} is on no round yet.", address=address),
                do=say("Give it a place first, then hold it."),
            )
        record.held = True
        record.held_at_min = at_min
        record.held_crew_id = work.get(Round, record.round_id).lead_id
    return work.changed


def free(desk: Desk, visit: rows.VisitRow, *, address: str) -> Changed:
    """Let the planner move a held stop again."""
    with desk.store.change(desk.who, say("Freed {address}", address=address)) as work:
        record = work.fresh(Visit, visit.id, seen=visit.revision)
        record.held = False
        record.held_at_min = None
        record.held_crew_id = None
    return work.changed


def hand_out(desk: Desk, rounds: Iterable[rows.RoundRow], *, day: date) -> Changed:
    """Freeze the rounds of a day: their sheets are in somebody's hands now."""
    what = say("Handed out the rounds of {day}", day=desk.formats.weekday(day))
    with desk.store.change(desk.who, what) as work:
        for row in rounds:
            record = work.fresh(Round, row.id, seen=row.revision)
            if record.state == "done":
                continue
            record.state = "handed out"
            record.handed_out_at = work.at
            record.changed_since = False
    return work.changed


def take_back(desk: Desk, rounds: Iterable[rows.RoundRow], *, day: date) -> Changed:
    """Make handed-out rounds drafts again."""
    what = say("Took back the rounds of {day}", day=desk.formats.weekday(day))
    with desk.store.change(desk.who, what) as work:
        for row in rounds:
            record = work.fresh(Round, row.id, seen=row.revision)
            if record.state == "handed out":
                record.state = "draft"
                record.handed_out_at = None
                record.changed_since = False
    return work.changed


def _address(case: DayCase, stop_id: str) -> str:
    return case.demand.sites[case.wanted[stop_id].site_id].address


def _short(technician: Technician) -> str:
    return technician.short_name or technician.name.split()[0]
