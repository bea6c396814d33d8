"""The rounds of one day: made, looked at, changed by hand, handed out."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk.at_once import without
from servicedesk.desk.day_problem import day_problem
from servicedesk.desk.demand import Demand, Wanted, demand_of, most_pressing
from servicedesk.desk.office import Desk
from servicedesk.desk.places import Located, located, office_position
from servicedesk.desk.skills import Staff, staff_on
from servicedesk.records import company_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.records.rounds import Round, RoundCrew
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import Job, Visit
from servicedesk.routes import keep
from servicedesk.routes.day import plan_day, retimed
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.plan import CrewDay, DayPlan
from servicedesk.routes.price import day_price
from servicedesk.routes.problem import DayProblem
from servicedesk.routes.squeeze import SqueezePlace, places_for
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
    staff: Staff

    @property
    def is_planned(self) -> bool:
        """Was this day planned or handed out already? (Stops placed by hand alone do not count.)"""
        return any(r.planner or r.state != "draft" for r in self.rounds.values())


def day_case(desk: Desk, day: date) -> DayCase:
    """Everything the planner needs of a day. Reads only."""
    return case_of(desk, day, demand_of(desk, day))


def case_of(desk: Desk, day: date, demand: Demand) -> DayCase:
    """As `day_case`, for a day that asks for something else than what is written. Reads only."""
    staff = staff_on(desk, day)
    with desk.store.read() as session:
        off = company_rows.days_off(session, day)
        written = rows.rounds_on(session, day)
    people = staff.team
    spots = located(desk, demand.sites)
    home = office_position(desk, spots)
    at_work = [t for t in people if t.id not in off and day.weekday() in t.working_days]
    if not desk.works_on(day):
        at_work = [t for t in at_work if any(r.lead_id == t.id for r in written)]
    pressing = most_pressing(demand.wanted, len(at_work))
    problem = day_problem(desk, day, pressing, at_work, demand, spots, home, staff)
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
        staff=staff,
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


def proposed(desk: Desk, case: DayCase, progress: Progress = quiet) -> DayPlan:
    """The best rounds for the day. What is held stays. Writes nothing.

    The rounds as they stand if nothing cheaper was found (a search may end beside its start).

    Raises Trouble if nobody works that day.
    """
    if not case.problem.crews:
        raise Trouble(nobody_works(desk, case.day, case.off))
    start = case.stand if any(d.stops for d in case.stand.days) else None
    plan = plan_day(case.problem, seed=SEED, start=start, progress=progress)
    if start is None or faults_in(start):
        return plan
    is_cheaper = day_price(case.problem, plan.days) < day_price(case.problem, start.days)
    return plan if is_cheaper else start


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
        write_plan(work, case, plan)
    return work.changed


def write_plan(
    work: Work, case: DayCase, plan: DayPlan, *, elsewhere: str | frozenset[str] = ""
) -> None:
    """Write a plan of the day within a change; the stops `elsewhere` go to other days in it."""
    gone = {elsewhere} if isinstance(elsewhere, str) else elsewhere
    for day in plan.days:
        _write_round(work, case, plan, day)
    for left in plan.left_out:
        if left.stop_id not in gone:
            write_left_out(work, case.wanted[left.stop_id])


def _write_round(work: Work, case: DayCase, plan: DayPlan, day: CrewDay) -> None:
    technician = case.technicians[day.crew_id]
    known = case.rounds.get(day.crew_id)
    if known is None and not day.stops:
        return
    values = {
        "leave_min": day.leave_home_min,
        "home_min": day.home_min,
        "road_min": day.road_min,
        "break_at_min": day.pause.begin_min if day.pause else None,
        "planner": plan.planner,
    }
    if known is None:
        truck = technician.truck_id
        round_ = work.add(Round(day=case.day, lead_id=technician.id, truck_id=truck, **values))
        work.add(RoundCrew(round_id=round_.id, technician_id=technician.id))
    else:
        round_ = work.fresh(Round, known.id, seen=known.revision)
        for name, value in values.items():
            setattr(round_, name, value)
    if _write_stops(work, case, day, round_) and round_.state == "handed out":
        round_.changed_since = True


def _write_stops(work: Work, case: DayCase, day: CrewDay, round_: Round) -> bool:
    """Write the visits of a round; is any of them new there, gone, or in another place?"""
    touched = False
    for n, stop in enumerate(day.stops, start=1):
        wanted = case.wanted[stop.stop_id]
        if wanted.visit is not None and wanted.visit.arrived_at is not None:
            continue
        touched = touched or not _stands_at(wanted, round_.id, n)
        visit = write_visit(
            work,
            wanted,
            planned_on=case.day,
            round_id=round_.id,
            place=n,
            arrive_min=stop.arrival_min,
            begin_min=stop.begin_min,
            leave_min=stop.leave_min,
            drive_min=stop.drive_min,
        )
        if visit.held:
            visit.held_crew_id = round_.lead_id
        write_jobs(work, visit, wanted)
    before = {w.id for w in case.wanted.values() if w.visit and w.visit.round_id == round_.id}
    return touched or before != {s.stop_id for s in day.stops}


def _stands_at(wanted: Wanted, round_id: int, place: int) -> bool:
    """Is the stop at that place of that round already?"""
    visit = wanted.visit
    return visit is not None and visit.round_id == round_id and visit.place == place


def write_visit(work: Work, wanted: Wanted, **values: Any) -> Visit:
    """Write a stop's visit, new or as it was shown. StaleEdit if others changed it."""
    if wanted.visit is None:
        return work.add(Visit(site_id=wanted.site_id, **values))
    visit = work.fresh(Visit, wanted.visit.id, seen=wanted.visit.revision)
    for name, value in values.items():
        setattr(visit, name, value)
    return visit


def write_jobs(work: Work, visit: Visit, wanted: Wanted) -> None:
    """What waits at the site and joins the visit."""
    for job in wanted.jobs:
        if job.id is not None:
            continue
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


def write_left_out(work: Work, wanted: Wanted) -> None:
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


def places_for_stop(
    case: DayCase, stop_id: str, *, plan: DayPlan | None = None, sound_only: bool = True
) -> tuple[SqueezePlace, ...]:
    """Every place for a stop on the rounds as they stand (or as in `plan`), cheapest first.

    For a stop that has a place already: where else it could go, itself taken out. Raises KeyError
    for a stop that is not wanted on the day.
    """
    stop = case.problem.stop_of[stop_id]
    stand = without(case.stand if plan is None else plan, stop_id)
    return places_for(stop, stand, sound_only=sound_only)


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
