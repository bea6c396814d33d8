"""The soonest places for a call on the rounds as they are, while the customer is on the phone."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from servicedesk.desk.callbacks import place_call
from servicedesk.desk.coming import day_text, first_upper
from servicedesk.desk.day_problem import day_problem
from servicedesk.desk.demand import Wanted, WantedJob, learned_times
from servicedesk.desk.office import Desk
from servicedesk.desk.places import office_position
from servicedesk.desk.planning import DayCase, day_case, take_plan
from servicedesk.records import call_rows
from servicedesk.records.store import Changed
from servicedesk.routes import keep
from servicedesk.routes.plan import CrewDay, DayPlan
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.squeeze import NOTICED_MIN, SqueezePlace, places_in_round
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

N_PLACES = 3
LOOK_AHEAD_DAYS = 7  # to find the working day after today
_CALL = "call"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoonestPlace:
    """One place for the call: on whose round, between which minutes, and what it costs.

    `position` is where it stands in the whole round (0 first), `order` that round's stops when
    this was worked out. `joins`: somebody is going there that day already, nothing moves.
    """

    day: date
    crew_id: str
    technician: str
    position: int
    order: tuple[str, ...]
    begin_min: int
    leave_min: int
    after: str
    extra_road_min: int
    late: tuple[str, ...]
    keeps_promise: bool
    later: tuple[str, ...] = ()  # who begins noticeably later, each with by how much
    joins: bool
    title: str

    @property
    def price(self) -> tuple[bool, bool, date, int, int]:
        """Orders places: promises of all kept first, then the day, then the road."""
        return (not self.keeps_promise, bool(self.late), self.day, self.extra_road_min,
                self.begin_min)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SoonestPlaces:
    """At most three places, the best first; `why_none` is one sentence where there are none."""

    places: tuple[SoonestPlace, ...]
    why_none: str = ""


def soonest_places(
    desk: Desk, site_id: int, *, by_at: datetime | None, call_id: int | None = None
) -> SoonestPlaces:
    """Where a call from this site fits on today's rounds and those of the next working day.

    Only rounds that are planned count, and of today only what is still to come. `by_at` is the
    promise; `call_id` a call that is written already. Reads only.
    """
    found: list[SoonestPlace] = []
    planned = False
    for day in _days(desk):
        case = day_case(desk, day)
        if not any(one.stops for one in case.stand.days):
            continue
        planned = True
        if site_id in case.demand.sites:
            found += _places_on(desk, case, site_id, by_at, call_id)
    if not planned:
        return SoonestPlaces((), say("No rounds are planned yet. The planner places the call."))
    if not found:
        why = say("The rounds of today and the next working day are full.")
        return SoonestPlaces((), why + " " + say("The call waits in No day yet."))
    return SoonestPlaces(tuple(sorted(found, key=lambda p: p.price)[:N_PLACES]))


def _days(desk: Desk) -> tuple[date, ...]:
    """Today and the next working day."""
    ahead = (desk.today + timedelta(days=n) for n in range(1, LOOK_AHEAD_DAYS + 1))
    following = next((day for day in ahead if desk.works_on(day)), None)
    return (desk.today,) if following is None else (desk.today, following)


def _places_on(
    desk: Desk, case: DayCase, site_id: int, by_at: datetime | None, call_id: int | None
) -> list[SoonestPlace]:
    joined = _joined(desk, case, site_id, by_at, call_id)
    if joined is not None:
        return [joined]
    problem, call = _with_call(desk, case, site_id, by_at)
    best: list[SoonestPlace] = []
    for round_ in case.stand.days:
        if not round_.stops:
            continue
        crew, order, n_past = _still_to_come(desk, case, problem, round_)
        if crew is None or not crew.may_serve(call):
            continue
        places = places_in_round(call, crew, order, problem.travel)
        sound = [p for p in places if p.is_sound]
        sound.sort(key=lambda p: (p.late_min > 0, p.price_min, p.position))
        best += [_shown(desk, case, round_, p, call, n_past, by_at) for p in sound[:2]]
    return best


def _with_call(
    desk: Desk, case: DayCase, site_id: int, by_at: datetime | None
) -> tuple[DayProblem, Stop]:
    """The day's problem with one more stop, and that stop."""
    minutes = learned_times(desk.store).minutes("callback", site_id)
    job = WantedJob(kind="callback", minutes=minutes)
    wanted = Wanted(
        id=_CALL, site_id=site_id, visit=None, jobs=(job,), service_min=minutes, prize_min=None
    )
    problem = day_problem(
        desk,
        case.day,
        [*case.wanted.values(), wanted],
        list(case.technicians.values()),
        case.demand,
        case.located,
        office_position(desk, case.located),
        case.staff,
    )
    stop = problem.stop_of[_CALL]
    if by_at is not None and desk.clock.day_of(by_at) == case.day:
        stop = replace(stop, promise_until_min=desk.clock.minute_of(by_at))
    return problem, stop


def _still_to_come(
    desk: Desk, case: DayCase, problem: DayProblem, round_: CrewDay
) -> tuple[Crew | None, list[Stop], int]:
    """A crew from now on: where it is and when free, its stops to come, how many are behind it.

    A stop is behind it once somebody arrived there, or once the plan says so. None for a crew
    whose shift is over.
    """
    crew = problem.crew_of[round_.crew_id]
    order = [problem.stop_of[stop_id] for stop_id in round_.order]
    if case.day != desk.today:
        return crew, order, 0
    now = desk.clock.minute_of_day()
    n_past = 0
    for n, stop in enumerate(round_.stops, start=1):
        visit = case.wanted[stop.stop_id].visit
        if (visit is not None and visit.arrived_at is not None) or stop.begin_min <= now:
            n_past = n
    free = max(now, crew.shift_from_min)
    if n_past:
        last = round_.stops[n_past - 1]
        visit = case.wanted[last.stop_id].visit
        left_at = visit.left_at if visit else None
        free = max(now, desk.clock.minute_of(left_at) if left_at else last.leave_min)
        crew = replace(crew, start_place=last.place)
    if free >= crew.shift_until_min:
        return None, [], n_past
    had_break = round_.pause is not None and round_.pause.end_min <= free
    crew = replace(crew, shift_from_min=free, break_min=0 if had_break else crew.break_min)
    return crew, order[n_past:], n_past


def _joined(
    desk: Desk, case: DayCase, site_id: int, by_at: datetime | None, call_id: int | None
) -> SoonestPlace | None:
    """The stop at the site that is still to come and takes the call along."""
    for round_ in case.stand.days:
        for n, stop in enumerate(round_.stops):
            visit = case.wanted[stop.stop_id].visit
            if visit is None or visit.site_id != site_id or visit.kept_apart:
                continue
            if visit.arrived_at is not None or any(j.call_id == call_id for j in visit.jobs
                                                   if call_id is not None):  # fmt: skip
                continue
            if case.day == desk.today and stop.begin_min <= desk.clock.minute_of_day():
                continue
            return _place(desk, case, round_, n, stop.begin_min, stop.leave_min, by_at, joins=True)
    return None


def _shown(
    desk: Desk,
    case: DayCase,
    round_: CrewDay,
    place: SqueezePlace,
    call: Stop,
    n_past: int,
    by_at: datetime | None,
) -> SoonestPlace:
    late = tuple(
        say(
            "{address} {time} late",
            address=_address(case, delay.stop_id),
            time=desk.formats.minutes(delay.late_min),
        )
        for delay in place.delays
        if delay.stop_id in place.promises_broken
    )
    shown = _place(
        desk, case, round_, n_past + place.position, place.begin_min,
        place.begin_min + call.service_min, by_at,
    )  # fmt: skip
    later = tuple(
        say("{address} {time} later", address=_address(case, delay.stop_id),
            time=desk.formats.minutes(delay.by_min))
        for delay in place.delays
        if delay.by_min > NOTICED_MIN and delay.stop_id not in place.promises_broken
    )  # fmt: skip
    return replace(shown, extra_road_min=place.extra_road_min, late=late, later=later)


def _place(
    desk: Desk,
    case: DayCase,
    round_: CrewDay,
    position: int,
    begin_min: int,
    leave_min: int,
    by_at: datetime | None,
    *,
    joins: bool = False,
) -> SoonestPlace:
    technician = case.technicians[round_.crew_id]
    name = technician.short_name or technician.name.split()[0]
    begins = desk.clock.instant(case.day, begin_min)
    day = first_upper(day_text(desk, case.day))
    times = _span(desk, begin_min, leave_min)
    before = _address(case, round_.order[position - 1]) if position else ""
    after = say("after {address}", address=before) if before else say("first stop of the round")
    return SoonestPlace(
        day=case.day,
        crew_id=round_.crew_id,
        technician=name,
        position=position,
        order=round_.order,
        begin_min=begin_min,
        leave_min=leave_min,
        after=say("on a stop there that is planned already") if joins else after,
        extra_road_min=0,
        late=(),
        keeps_promise=by_at is None or begins <= by_at,
        joins=joins,
        title=say(
            "{day}, {who}, {from_} to {until}",
            day=day, who=name, from_=times[0], until=times[1],
        ),
    )  # fmt: skip


def _span(desk: Desk, from_min: int, until_min: int) -> tuple[str, str]:
    """As "7:43", "8:34 am": the half of the day once where both lie in it."""
    same_half = from_min // 720 == until_min // 720 and from_min != 720
    begins = desk.formats.short_time(from_min) if same_half else desk.formats.time(from_min)
    return begins, desk.formats.time(until_min)


def _address(case: DayCase, stop_id: str) -> str:
    return case.demand.sites[case.wanted[stop_id].site_id].address


def cost_text(desk: Desk, place: SoonestPlace) -> tuple[str, str]:
    """What a place costs: "+7 min", "nobody late"."""
    road = say("no more road") if place.joins else desk.formats.signed_minutes(place.extra_road_min)
    if not place.keeps_promise:
        return road, say("after the promise")
    if not place.late and len(place.later) == 1:
        return road, place.later[0]
    if not place.late and place.later:
        return road, say_n("{n} begins later", "{n} begin later", len(place.later))
    if not place.late:
        return road, say("nobody late")
    if len(place.late) == 1:
        return road, place.late[0]
    return road, say_n("{n} late", "{n} late", len(place.late))


def take_soonest(desk: Desk, call_uid: str, place: SoonestPlace) -> Changed:
    """Put a written call on the round at the place that was chosen, in one change.

    Raises Trouble if the call is not there, or if the round is not the one that was shown.
    """
    with desk.store.read() as session:
        call_id = call_rows.call_of_uid(session, call_uid)
    if call_id is None:
        raise Trouble(say("That call is not in the store any more."), exit_code=3)
    if place.joins:
        return place_call(desk, call_id, place.day)
    case = day_case(desk, place.day)
    stop_id = _stop_of(case, call_id)
    standing = case.stand.day_of.get(place.crew_id)
    if stop_id is None or standing is None or _but(standing.order, stop_id) != place.order:
        raise Trouble(
            say("The rounds of {day} have changed meanwhile.",
                day=desk.formats.weekday(place.day)),
            means=say("The call is written and waits in Phone; it has no place yet."),
            do=say("Open it and choose a place again."),
        )  # fmt: skip
    stand = case.stand if place.day != desk.today else _not_before(case, stop_id, place.begin_min)
    plan = keep.moved(stand, stop_id, to_crew=place.crew_id, position=place.position)
    what = say(
        "Placed {address} on the round of {who}, {day}",
        address=_address(case, stop_id),
        who=place.technician,
        day=desk.formats.weekday(place.day),
    )
    return take_plan(desk, case, plan, what=what)


def _not_before(case: DayCase, stop_id: str, begin_min: int) -> DayPlan:
    """How the day stands, the stop of the call not before the minute that was offered.

    The round may be over by now for all that its plan knows: a call of the afternoon would be
    timed into the morning.
    """
    problem = case.stand.problem
    stop = problem.stop_of[stop_id]
    later = max(stop.open_from_min, begin_min)
    stop = replace(stop, open_from_min=later, open_until_min=max(later, stop.open_until_min))
    stops = tuple(stop if one.id == stop_id else one for one in problem.stops)
    return replace(case.stand, problem=replace(problem, stops=stops))


def _stop_of(case: DayCase, call_id: int) -> str | None:
    """The stop of the day that answers a call."""
    for wanted in case.wanted.values():
        if any(job.call_id == call_id for job in wanted.jobs):
            return wanted.id
    return None


def _but(order: Sequence[str], stop_id: str) -> tuple[str, ...]:
    return tuple(one for one in order if one != stop_id)
