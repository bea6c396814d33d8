"""A stop carried to another day: both days as they would be, and written in one change."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from servicedesk.desk.demand import Wanted, demand_of
from servicedesk.desk.office import Desk
from servicedesk.desk.planning import DayCase, case_of, places_for_stop, write_plan
from servicedesk.desk.squeeze_read import released
from servicedesk.records import period_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import Visit
from servicedesk.routes import keep
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.squeeze import SqueezePlace
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

LOOK_AHEAD_DAYS = 180  # a visit is planned weeks ahead, seldom months


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A stop on its way: the day it goes to, and the day it leaves (None: it had none)."""

    stop_id: str
    wanted: Wanted
    there: DayCase
    there_plan: DayPlan
    here: DayCase | None
    here_plan: DayPlan | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlace:
    """The best place for a stop on another day."""

    case: DayCase
    place: SqueezePlace


def day_with(desk: Desk, day: date, wanted: Wanted, sites: Mapping[int, rows.SitePlace]) -> DayCase:
    """A day with a stop of another day (or of none) among those that it must make."""
    demand = demand_of(desk, day)
    others = tuple(w for w in demand.wanted if w.id != wanted.id)
    visit = wanted.visit
    if visit is not None and visit.planned_on != day:
        visit = released(visit)
    must = replace(wanted, visit=visit, prize_min=None)
    asked = replace(demand, wanted=(*others, must), sites={**sites, **demand.sites})
    return case_of(desk, day, asked)


def best_on(desk: Desk, case: DayCase, stop_id: str, day: date) -> DayPlace | None:
    """The cheapest sound place for a stop of `case` on another day; None if there is none."""
    there = day_with(desk, day, case.wanted[stop_id], case.demand.sites)
    places = places_for_stop(there, stop_id)
    return DayPlace(case=there, place=places[0]) if places else None


def carried_to(case: DayCase, stop_id: str, there: DayCase, crew: str, position: int) -> Carried:
    """A stop of one day put at a place of another (0 is first)."""
    wanted = case.wanted[stop_id]
    placed = wanted.visit is not None and wanted.visit.round_id is not None
    return Carried(
        stop_id=stop_id,
        wanted=wanted,
        there=there,
        there_plan=keep.moved(there.stand, stop_id, to_crew=crew, position=position),
        here=case if placed else None,
        here_plan=keep.taken_out(case.stand, stop_id) if placed else None,
    )


def write_carried(work: Work, carried: Carried) -> None:
    """Write both days. What was held is held no more, and who was told another day is to be told
    anew.
    """
    if carried.here is not None and carried.here_plan is not None:
        write_plan(work, carried.here, carried.here_plan, elsewhere=carried.stop_id)
    write_plan(work, carried.there, carried.there_plan)
    visit = carried.wanted.visit
    if visit is not None and visit.planned_on != carried.there.day:
        let_go(work, visit.id)


def let_go(work: Work, visit_id: int) -> None:
    """What was agreed about the day of a visit holds no more: hold, promise, and that they know."""
    record = work.get(Visit, visit_id)
    record.held = record.told = False
    record.held_at_min = record.held_crew_id = None
    record.promise_from_min = record.promise_until_min = None


def carry_to_day(desk: Desk, case: DayCase, stop_id: str, day: date) -> Changed:
    """Move a stop of `case` to its best place on another day, in one change.

    Raises Trouble if no round of that day has room, or if the stop was made already.
    """
    wanted = case.wanted[stop_id]
    address = case.demand.sites[wanted.site_id].address
    if wanted.visit is not None and wanted.visit.arrived_at is not None:
        raise Trouble(say("{address} was made already.", address=address))
    found = best_on(desk, case, stop_id, day)
    shown = desk.formats.weekday(day)
    if found is None:
        raise Trouble(
            say("No round of {day} has room for {address}.", day=shown, address=address),
            means=say("Nothing was written."),
            do=say("Look at all ways for this stop, or choose another day."),
        )
    place = found.place
    carried = carried_to(case, stop_id, found.case, place.crew_id, place.position)
    lead = found.case.technicians[place.crew_id]
    what = say(
        "Moved {address} to {day}, {who}", address=address, day=shown,
        who=lead.short_name or lead.name.split()[0],
    )  # fmt: skip
    with desk.store.change(desk.who, what) as work:
        write_carried(work, carried)
    return work.changed


def placed_at(desk: Desk, site_id: int, *, days: int = LOOK_AHEAD_DAYS) -> Wanted | None:
    """The next visit of a site that has its place on a round, as its day wants it; else None."""
    until = desk.today + timedelta(days=days)
    with desk.store.read() as session:
        found = period_rows.visits_between(session, desk.today, until)
    visit = next((v for v in found if v.site_id == site_id), None)
    if visit is None or visit.planned_on is None:
        return None
    wanted = demand_of(desk, visit.planned_on).wanted
    return next((w for w in wanted if w.id == f"v{visit.id}"), None)


def stop_asked(desk: Desk, site_id: int) -> Wanted | None:
    """What waits at a site: the call first, then what has no day, then the visit of the nearest
    day. None where nothing does: room is looked for as for a call that comes in now.
    """
    here = [w for w in demand_of(desk, desk.today).wanted if w.site_id == site_id]
    here = [w for w in here if w.visit is None or w.visit.arrived_at is None]
    calls = [w for w in here if any(job.call_id is not None for job in w.jobs)]
    dayless = [w for w in here if w.visit is None or w.visit.round_id is None]
    for found in (calls, dayless, here):
        if found:
            return found[0]
    return placed_at(desk, site_id)
