"""A day in the solver's terms, and its answer back again.

- Times are minutes of the day; travel minutes are both cost and clock, so waiting is free.
- Stops are optional tasks; what must be made has a prize above all others together.
- Who may serve whom is a dimension of load: a stop carries 100 of it, a crew that may not serve
  it has room for none. 100 rather than 1, so that breaking it never pays during the search.
- The order of held stops: of two neighbours the first brings 100 out (delivery), the second
  takes 100 home (pickup), and the crew has room for 100. The wrong way round needs 200.
- A break is a group of which one is taken, with a task at the place of every stop that the crew
  may serve and at its own two ends.
- Which crew is liked is a surcharge on the drive to the stop for all others.
- Where promises cannot all be kept, a stop becomes a group: the later, the smaller the prize.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from servicedesk.routes.holds import held_in_order
from servicedesk.routes.plan import CrewDay
from servicedesk.routes.price import LATE_COST, OVERTIME_COST, prizes_of
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.solver import Model, Task, Tour, Vehicle

_UNIT = 100
_PLENTY = 1_000_000
_LATE_STEPS = (15, 30, 60, 120, 240)


@dataclass(frozen=True, slots=True)
class DayModel:
    """The model, and what each of its tasks stands for: a stop's id, or None for a break."""

    model: Model
    stop_ids: tuple[str | None, ...]
    problem: DayProblem

    def orders(self, tours: Iterable[Tour]) -> dict[str, tuple[str, ...]]:
        """Stop ids in order, by crew id, breaks taken out."""
        found: dict[str, tuple[str, ...]] = {crew.id: () for crew in self.problem.crews}
        for tour in tours:
            ids = (self.stop_ids[number] for number in tour.tasks)
            found[self.problem.crews[tour.vehicle].id] = tuple(i for i in ids if i is not None)
        return found

    def tours(self, day_of: Mapping[str, CrewDay]) -> tuple[Tour, ...]:
        """Rounds made elsewhere, as a start for the search; breaks where those have them."""
        first_task: dict[str, int] = {}
        for number, stop_id in enumerate(self.stop_ids):
            if stop_id is not None:
                first_task.setdefault(stop_id, number)
        return tuple(
            Tour(vehicle, self._tasks_of(crew, day_of[crew.id], first_task))
            for vehicle, crew in enumerate(self.problem.crews)
            if crew.id in day_of
        )

    def _tasks_of(self, crew: Crew, day: CrewDay, first_task: dict[str, int]) -> tuple[int, ...]:
        tasks: list[int] = []
        pause = None if day.pause is None else self._break_task(crew, day.pause.place)
        for stop_id in day.order:
            if stop_id not in first_task:
                continue
            here = day.pause is not None and day.pause.stop_id == stop_id
            if pause is not None and here and day.pause and day.pause.at == "before":
                tasks.append(pause)
            tasks.append(first_task[stop_id])
            if pause is not None and here and day.pause and day.pause.at == "after":
                tasks.append(pause)
        if pause is not None and day.pause and day.pause.at == "start":
            tasks.insert(0, pause)
        if pause is not None and day.pause and day.pause.at == "end":
            tasks.append(pause)
        return tuple(tasks)

    def _break_task(self, crew: Crew, place: int) -> int | None:
        """The task that is this crew's break at `place`."""
        group = [c for c in self.problem.crews if c.takes_break].index(crew)
        for number, task in enumerate(self.model.tasks):
            if self.stop_ids[number] is None and task.group == group and task.place == place:
                return number
        return None


def model_of(
    problem: DayProblem, stops: Sequence[Stop], *, lateness_allowed: bool = False
) -> DayModel:
    """The model of a day with only `stops` (the others were ruled out before).

    With `lateness_allowed`, promises and held times may be missed at a price; visiting hours and
    shifts never.
    """
    loads = _Loads(problem, stops)
    prizes = prizes_of(stops)
    groups = _GroupCounter(sum(crew.takes_break for crew in problem.crews))
    tasks: list[Task] = []
    stop_ids: list[str | None] = []
    for stop in stops:
        for task in _stop_tasks(
            stop, prizes[stop.id], loads, groups, lateness_allowed=lateness_allowed
        ):
            tasks.append(task)
            stop_ids.append(stop.id)
    n_stops = len(tasks)
    # More than any stop, or the search would skip the break to make one more of them.
    break_prize = 2 * max(prizes.values(), default=0) + 1_000
    for group, crew in enumerate(crew for crew in problem.crews if crew.takes_break):
        for place in _break_places(crew, stops):
            tasks.append(_break_task(crew, place, group, break_prize, loads))
            stop_ids.append(None)
    tastes = _tastes(problem, stops)
    model = Model(
        tasks=tuple(tasks),
        vehicles=tuple(
            _vehicle(crew, loads, number if tastes else 0)
            for number, crew in enumerate(problem.crews)
        ),
        cost=problem.travel.minutes,
        minutes=problem.travel.minutes,
        n_groups=groups.taken,
        main=n_stops,
        tastes=tastes,
    )
    return DayModel(model, tuple(stop_ids), problem)


class _GroupCounter:
    def __init__(self, taken: int) -> None:
        self.taken = taken

    def next(self) -> int:
        self.taken += 1
        return self.taken - 1


class _Loads:
    """The dimensions of load: skills some crew lacks, crews somebody is bound to, held order."""

    def __init__(self, problem: DayProblem, stops: Sequence[Stop]) -> None:
        crews = problem.crews
        asked = {skill for stop in stops for skill in stop.needs}
        self._skills = sorted(s for s in asked if any(s not in crew.skills for crew in crews))
        bound = {stop.bound_crew for stop in stops} - {None}
        bound |= {crew.id for crew in crews if crew.takes_break}
        # With one crew there is nobody else to keep away.
        self._crews = sorted(i for i in bound if i is not None) if len(crews) > 1 else []
        self._pairs = _held_pairs(problem, stops)
        self._n_pairs = max((k + 1 for _, _, k in self._pairs), default=0)

    def delivery(self, stop: Stop) -> tuple[int, ...]:
        """What a stop has brought to it."""
        who = (stop.bound_crew,)
        return (
            *(_UNIT * (skill in stop.needs) for skill in self._skills),
            *(_UNIT * (crew_id in who) for crew_id in self._crews),
            *(_UNIT * (self._is(stop, 0, k)) for k in range(self._n_pairs)),
        )

    def pickup(self, stop: Stop) -> tuple[int, ...]:
        """What a stop gives to take home."""
        nothing = (0,) * (len(self._skills) + len(self._crews))
        return (*nothing, *(_UNIT * (self._is(stop, 1, k)) for k in range(self._n_pairs)))

    def of_break(self, crew: Crew) -> tuple[int, ...]:
        """What a crew's break has brought to it: only that crew can bring it."""
        return (
            *(0 for _ in self._skills),
            *(_UNIT * (crew_id == crew.id) for crew_id in self._crews),
            *(0 for _ in range(self._n_pairs)),
        )

    def capacity(self, crew: Crew) -> tuple[int, ...]:
        """The room a crew has in each dimension."""
        return (
            *(_PLENTY * (skill in crew.skills) for skill in self._skills),
            *(_PLENTY * (crew_id == crew.id) for crew_id in self._crews),
            *(_UNIT for _ in range(self._n_pairs)),
        )

    def _is(self, stop: Stop, side: int, number: int) -> bool:
        return any(pair[side] == stop.id and pair[2] == number for pair in self._pairs)


def _held_pairs(problem: DayProblem, stops: Sequence[Stop]) -> list[tuple[str, str, int]]:
    """Neighbours in the held order of each crew: first, second, number of the pair there."""
    pairs = []
    for crew in problem.crews:
        held = held_in_order(stops, crew.id)
        pairs += [(a.id, b.id, k) for k, (a, b) in enumerate(pairwise(held))]
    return pairs


def _stop_tasks(
    stop: Stop, prize: int, loads: _Loads, groups: _GroupCounter, *, lateness_allowed: bool
) -> list[Task]:
    """One task, or a group of ever later ones with ever smaller prizes."""
    until = [stop.begin_until_min]
    agreed = stop.agreed_until_min
    if lateness_allowed and agreed is not None and agreed < stop.open_until_min:
        until += [agreed + late for late in _LATE_STEPS if agreed + late < stop.open_until_min]
        until.append(stop.open_until_min)
    group = groups.next() if len(until) > 1 else None
    return [
        Task(
            place=stop.place,
            service_min=stop.service_min,
            from_min=stop.begin_from_min,
            by_min=by,
            # Made late is still worth more than not made.
            prize=max(prize // 2, prize - LATE_COST * max(0, by - (agreed or by))),
            delivery=loads.delivery(stop),
            pickup=loads.pickup(stop),
            group=group,
        )
        for by in until
        if by >= stop.begin_from_min
    ]


def _break_places(crew: Crew, stops: Sequence[Stop]) -> list[int]:
    """Each place once: two stops at one site need one break there."""
    places = {stop.place for stop in stops if crew.may_serve(stop)}
    return sorted(places | {crew.start_place, crew.end_place})


def _break_task(crew: Crew, place: int, group: int, prize: int, loads: _Loads) -> Task:
    load = loads.of_break(crew)
    return Task(
        place=place,
        service_min=crew.break_min,
        from_min=crew.break_from_min,
        by_min=crew.break_until_min,
        prize=prize,
        delivery=load,
        pickup=tuple(0 for _ in load),
        group=group,
    )


def _tastes(problem: DayProblem, stops: Sequence[Stop]) -> tuple[tuple[int, ...], ...]:
    """For each crew what driving to each place costs it more; empty where nobody is liked.

    Two stops at one place are driven to once: the dearer one counts, the exact price tells apart.
    """
    if not any(stop.liked_crew is not None and stop.liked_min for stop in stops):
        return ()
    rows = []
    for crew in problem.crews:
        row = [0] * len(problem.travel)
        for stop in stops:
            row[stop.place] = max(row[stop.place], stop.liking_min(crew.id))
        rows.append(tuple(row))
    return tuple(rows)


def _vehicle(crew: Crew, loads: _Loads, taste: int) -> Vehicle:
    return Vehicle(
        start_place=crew.start_place,
        end_place=crew.end_place,
        from_min=crew.shift_from_min,
        until_min=crew.home_by_min,
        capacity=loads.capacity(crew),
        paid_min=crew.shift_until_min - crew.shift_from_min if crew.overtime_min else None,
        overtime_cost=OVERTIME_COST,
        # Overtime counts by the clock on the wall, so the day begins when the shift does.
        starts_at_once=crew.overtime_min > 0,
        taste=taste,
    )
