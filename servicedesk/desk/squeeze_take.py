"""A way to squeeze a stop in, taken in one change: the stop, and the visit that is put off."""

from dataclasses import dataclass

from servicedesk.desk.carry import day_with, let_go
from servicedesk.desk.demand import Wanted, demand_of
from servicedesk.desk.office import Desk
from servicedesk.desk.planning import DayCase, day_case, places_for_stop, write_plan
from servicedesk.desk.squeeze import PutOff, Squeezed
from servicedesk.records.store import Changed, Work
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
    if stop_id is None:
        raise _changed(desk, way)
    return _write(desk, _ready(desk, case, stop_id, way, here=None))


def take_stop(desk: Desk, stop: Wanted, way: Squeezed) -> Changed:
    """The same for a stop that is wanted, which leaves the place it has now.

    Raises Trouble where the rounds, or the stop, are no longer those that were shown.
    """
    return _write(desk, ready_stop(desk, stop, way))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """All that taking a way writes, looked at once more and found to be as it was shown."""

    words: str
    stop_id: str
    case: DayCase
    plan: DayPlan
    off_id: str  # the visit put off to another day, "" for none
    here: tuple[DayCase, DayPlan] | None  # the day that the stop leaves
    other: tuple[DayCase, DayPlan] | None  # the day that takes what is put off

    def write(self, work: Work) -> None:
        """Write it, within a change."""
        if self.here is not None:
            write_plan(work, *self.here, elsewhere=self.stop_id)
        write_plan(work, self.case, self.plan, elsewhere=self.off_id)
        visit = self.case.wanted[self.stop_id].visit
        if visit is not None and visit.planned_on != self.case.day:
            let_go(work, visit.id)
        if self.other is not None:
            write_plan(work, *self.other, elsewhere=self.stop_id)


def ready_stop(desk: Desk, stop: Wanted, way: Squeezed) -> Ready:
    """What taking a way for a stop would write. Raises Trouble as `take_stop` does."""
    visit = stop.visit
    here = None
    if visit is not None and visit.round_id is not None and visit.planned_on is not None:
        here = day_case(desk, visit.planned_on)
        now = here.wanted.get(stop.id)
        if now is None or now.visit is None or now.visit.revision != visit.revision:
            raise _changed(desk, way)
    sites = here.demand.sites if here is not None else demand_of(desk, way.day).sites
    case = day_with(desk, way.day, stop, sites)
    leaves = here if here is not None and here.day != way.day else None
    return _ready(desk, case, stop.id, way, here=leaves)


def _write(desk: Desk, ready: Ready) -> Changed:
    with desk.store.change(desk.who, ready.words) as work:
        ready.write(work)
    return work.changed


def _ready(
    desk: Desk, case: DayCase, stop_id: str, way: Squeezed, *, here: DayCase | None
) -> Ready:
    """`case` is the day of the way with the stop; `here` the day that the stop leaves for it."""
    crew = str(way.technician_id)
    if crew not in case.stand.day_of:
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
    other: tuple[DayCase, DayPlan] | None = None
    if way.put_off is not None and way.put_off.to_day == way.day:
        plan = _moved_to(desk, case, plan, way, way.put_off)
    elif way.put_off is not None and way.put_off.to_day is not None:
        other = _other_day(desk, case, stop_id, way, way.put_off)
    leaves = None
    if here is not None and (other is None or other[0].day != here.day):
        leaves = (here, keep.taken_out(here.stand, stop_id))
    return Ready(
        words=_words(desk, case, stop_id, way), stop_id=stop_id, case=case, plan=plan,
        off_id=off_id if other is not None else "", here=leaves, other=other,
    )  # fmt: skip


def _other_day(
    desk: Desk, case: DayCase, stop_id: str, way: Squeezed, off: PutOff
) -> tuple[DayCase, DayPlan]:
    """The other day with the visit on it, and without the stop if it leaves that very day."""
    day = off.to_day or way.day
    other = day_with(desk, day, case.wanted[f"v{off.visit_id}"], case.demand.sites)
    plan = other.stand
    if stop_id in plan.crew_id_of:
        plan = keep.taken_out(plan, stop_id)
    return other, _moved_to(desk, other, plan, way, off)


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
