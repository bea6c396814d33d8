"""A day of the desk as the route calculations see it: stops, crews and the road between them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

from servicedesk.desk.day_wishes import within_wishes
from servicedesk.desk.demand import Demand, Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.places import Located
from servicedesk.desk.road_times import travel_between
from servicedesk.desk.skills import Staff, abilities, licenses_asked, needs_of, wishes_of
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.routes.price import LIKED_COST
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.values.abilities import is_license
from servicedesk.values.position import Position


def day_problem(
    desk: Desk,
    day: date,
    wanted: Sequence[Wanted],
    at_work: Sequence[Technician],
    demand: Demand,
    spots: Mapping[int, Located],
    home: Position,
    staff: Staff,
) -> DayProblem:
    """Stops, crews and driving times between them. Place 0 is the office.

    What a job asks for (skill, license valid that day) is hard, who is wanted a matter of price.
    """
    positions: list[Position] = [home]
    crews = []
    for technician in at_work:
        start = 0
        if technician.base == "home" and technician.home_lat_deg is not None:
            positions.append(Position(technician.home_lat_deg, technician.home_lon_deg or 0.0))
            start = len(positions) - 1
        crews.append(_crew(technician, start, staff, day))
    first = len(positions)
    positions += [spots[w.site_id].position for w in wanted]
    crew_ids = {c.id for c in crews}
    stops = tuple(
        _asked(_stop(desk, day, w, first + n, demand.sites[w.site_id], crew_ids), w, demand, staff)
        for n, w in enumerate(wanted)
    )
    travel = travel_between(desk, positions)
    made = {w.id for w in wanted if w.visit is not None and w.visit.arrived_at is not None}
    return _under_way(DayProblem(stops=stops, crews=tuple(crews), travel=travel), made)


def _under_way(problem: DayProblem, made: set[str]) -> DayProblem:
    """Nothing can be put before or between stops that were made: the crew has no time there.

    It leaves just in time for the first one, and each made stop lasts until it left for the next.
    """
    stops, crews = dict(problem.stop_of), dict(problem.crew_of)
    minutes = problem.travel.minutes
    for crew in problem.crews:
        own = [s for s in problem.stops if s.id in made and s.held_crew == crew.id]
        own.sort(key=lambda s: (s.held_at_min or 0, s.id))
        if not own:
            continue
        first = own[0]
        leaves = (first.held_at_min or 0) - minutes[crew.start_place][first.place]
        leaves = min(max(0, leaves), crew.shift_until_min - 1)
        crews[crew.id] = replace(crew, shift_from_min=leaves)
        for n, (stop, following) in enumerate(pairwise(own)):
            gap = (following.held_at_min or 0) - (stop.held_at_min or 0)
            service = max(0, gap - minutes[stop.place][following.place])
            stops[stop.id] = replace(stop, service_min=service, held_position=n)
        stops[own[-1].id] = replace(own[-1], held_position=len(own) - 1)
    return DayProblem(
        stops=tuple(stops.values()), crews=tuple(crews.values()), travel=problem.travel
    )


def _asked(stop: Stop, wanted: Wanted, demand: Demand, staff: Staff) -> Stop:
    """The stop with what it asks of the crew, and whom the customer would like.

    Who was there already was there. Whoever holds a stop by hand answers for skills, never for
    a license.
    """
    visit = wanted.visit
    if visit is not None and visit.arrived_at is not None:
        return stop
    wishes = wishes_of(visit.wishes if visit is not None else {})
    kinds = [job.kind for job in wanted.jobs]
    needs = needs_of(kinds, staff.team) | licenses_asked(kinds, staff) | wishes.marks
    if stop.held_crew is not None:
        needs = frozenset(mark for mark in needs if is_license(mark))
    liked = wishes.technician_id or demand.sites[wanted.site_id].wanted_technician_id
    return replace(
        stop,
        needs=needs,
        liked_crew=None if liked is None else str(liked),
        liked_min=0 if liked is None else LIKED_COST,
    )


def _crew(technician: Technician, start: int, staff: Staff, day: date) -> Crew:
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
        skills=abilities(technician, staff, day),
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
        return _after_the_call(desk, day, stop, wanted)
    if visit.arrived_at is not None:
        return _already_made(desk, stop, visit, crews)
    stop = replace(
        within_wishes(stop, visit.wishes),
        promise_from_min=visit.promise_from_min,
        promise_until_min=_least(visit.promise_until_min, until_min),
        told=visit.told and visit.planned_on is not None,
    )
    return _after_the_call(desk, day, _held(stop, visit, crews), wanted)


def _after_the_call(desk: Desk, day: date, stop: Stop, wanted: Wanted) -> Stop:
    """Nobody is there before they called; a time that a person held stays as it is."""
    called = [job.call.called_at for job in wanted.jobs if job.call is not None]
    minutes = [desk.clock.minute_of(at) for at in called if desk.clock.day_of(at) == day]
    if not minutes or stop.held_at_min is not None:
        return stop
    later = max(stop.open_from_min, *minutes)
    return replace(stop, open_from_min=later, open_until_min=max(later, stop.open_until_min))


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
