"""A way to squeeze a call in, taken in one change: the call, and the visit that is put off."""

from dataclasses import replace

from servicedesk.desk.demand import demand_of
from servicedesk.desk.office import Desk
from servicedesk.desk.planning import DayCase, case_of, day_case, places_for_stop, write_plan
from servicedesk.desk.squeeze import PutOff, Squeezed
from servicedesk.records.store import Changed
from servicedesk.routes import keep
from servicedesk.routes.plan import DayPlan
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def take_squeezed(desk: Desk, call_id: int, way: Squeezed) -> Changed:
    """Put a call on the round that `way` shows; what is put off goes where it says.

    A visit put off that found no other day waits without one. All of it is one change, which can
    be taken back. Raises Trouble where the rounds are no longer those that were shown.
    """
    case = day_case(desk, way.day)
    stop_id = _stop_of(case, call_id)
    crew = str(way.technician_id)
    if stop_id is None or crew not in case.stand.day_of:
        raise _changed(desk, way)
    plan, off_id = case.stand, ""
    if way.put_off is not None:
        off_id = f"v{way.put_off.visit_id}"
        if off_id not in case.stand.day_of[crew].order:
            raise _changed(desk, way)
        plan = keep.taken_out(plan, off_id)
    others = [i for i in plan.day_of[crew].order if i != stop_id]
    before = case.wanted[others[way.position - 1]] if 0 < way.position <= len(others) else None
    after = case.demand.sites[before.site_id].address if before is not None else ""
    if way.position > len(others) or after != way.after:
        raise _changed(desk, way)
    plan = keep.moved(plan, stop_id, to_crew=crew, position=way.position)
    other = None
    if way.put_off is not None and way.put_off.to_day == way.day:
        plan = _moved_to(desk, case, plan, way, way.put_off)
    elif way.put_off is not None and way.put_off.to_day is not None:
        other = _other_day(desk, case, way, way.put_off)
    with desk.store.change(desk.who, _words(desk, case, stop_id, way)) as work:
        write_plan(work, case, plan, elsewhere=off_id if other is not None else "")
        if other is not None:
            write_plan(work, *other)
    return work.changed


def _other_day(desk: Desk, case: DayCase, way: Squeezed, off: PutOff) -> tuple[DayCase, DayPlan]:
    """The other day with the visit on it."""
    day = off.to_day or way.day
    demand = demand_of(desk, day)
    asked = replace(
        demand,
        wanted=(*demand.wanted, case.wanted[f"v{off.visit_id}"]),
        sites={**case.demand.sites, **demand.sites},
    )
    other = case_of(desk, day, asked)
    return other, _moved_to(desk, other, other.stand, way, off)


def _moved_to(desk: Desk, case: DayCase, plan: DayPlan, way: Squeezed, off: PutOff) -> DayPlan:
    """The rounds of a day with the visit at its best place with the technician shown."""
    stop_id = f"v{off.visit_id}"
    for place in places_for_stop(case, stop_id, plan=plan) if stop_id in case.wanted else ():
        lead = case.technicians[place.crew_id]
        if off.to_technician in (lead.short_name, lead.name):
            return keep.moved(plan, stop_id, to_crew=place.crew_id, position=place.position)
    raise _changed(desk, way)


def _stop_of(case: DayCase, call_id: int) -> str | None:
    for wanted in case.wanted.values():
        if any(job.call_id == call_id for job in wanted.jobs):
            return wanted.id
    return None


def _words(desk: Desk, case: DayCase, stop_id: str, way: Squeezed) -> str:
    address = case.demand.sites[case.wanted[stop_id].site_id].address
    day = desk.formats.weekday(way.day)
    if way.put_off is None:
        return say("Squeezed in {address}, {day} with {who}",
                   address=address, day=day, who=way.technician)  # fmt: skip
    return say(
        "Squeezed in {address}, {day} with {who}, put off {other}",
        address=address, day=day, who=way.technician, other=way.put_off.address,
    )  # fmt: skip


def _changed(desk: Desk, way: Squeezed) -> Trouble:
    return Trouble(
        say("The rounds of {day} have changed meanwhile.", day=desk.formats.weekday(way.day)),
        means=say("Nothing was written."),
        do=say("Look for places again."),
        exit_code=3,
    )
