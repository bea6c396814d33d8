"""Weeks in the solver's terms, and its answer back again.

- One axis of whole minutes: day d covers ``d * 1440`` to ``d * 1440 + 1439``; a vehicle is one
  crew on one day, so a stop whose days are many is still one task: the shifts cut its days.
- Travel minutes are both cost and clock, so waiting is free. All stops are optional with a prize.
- Several chances (visiting hours, other dates at a price) are a group of which one is taken.
- Who may serve whom is a dimension of load with 100 a stop, so that breaking it never pays.
- Which crew is liked is a surcharge on the drive into the stop for all others.
- Minutes beyond the daily target cost a little each: that spreads the work over the days.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from servicedesk.routes.period_plan import Orders
from servicedesk.routes.period_problem import Chance, PeriodProblem, PeriodStop, Shift
from servicedesk.routes.solver import Model, Task, Tour, Vehicle

DAY_MIN = 1440
_UNIT = 100
_PLENTY = 1_000_000


@dataclass(frozen=True, slots=True)
class PeriodModel:
    """The model, and what its tasks stand for: stop id, first and last day, by number."""

    model: Model
    tasks_of: dict[str, tuple[tuple[int, int, int], ...]]  # (task, first day, last day)
    stop_ids: tuple[str, ...]
    shifts: tuple[Shift, ...]

    def orders(self, tours: Iterable[Tour]) -> dict[str, tuple[str, ...]]:
        """Stop ids in order, by shift id; shifts without a stop are there too."""
        found: dict[str, tuple[str, ...]] = {shift.id: () for shift in self.shifts}
        for tour in tours:
            ids = tuple(self.stop_ids[number] for number in tour.tasks)
            found[self.shifts[tour.vehicle].id] = ids
        return found

    def tours(self, orders: Orders) -> tuple[Tour, ...]:
        """Rounds made elsewhere, as a start for the search."""
        found = []
        for vehicle, shift in enumerate(self.shifts):
            tasks = tuple(
                number
                for stop_id in orders.get(shift.id, ())
                if (number := self._task_on(stop_id, shift.day)) is not None
            )
            if tasks:
                found.append(Tour(vehicle, tasks))
        return tuple(found)

    def _task_on(self, stop_id: str, day: int) -> int | None:
        for number, first, last in self.tasks_of.get(stop_id, ()):
            if first <= day <= last:
                return number
        return None


def model_of(
    problem: PeriodProblem, stops: Sequence[PeriodStop], shifts: Sequence[Shift]
) -> PeriodModel:
    """The model of some of the stops on some of the shifts."""
    loads = _Loads(stops, shifts)
    places, minutes = _places(problem, stops, shifts)
    tasks: list[Task] = []
    stop_ids: list[str] = []
    tasks_of: dict[str, tuple[tuple[int, int, int], ...]] = {}
    groups = 0
    for stop in stops:
        spans = list(_spans(stop, shifts))
        group = groups if len(spans) > 1 else None
        groups += len(spans) > 1
        for chance in spans:
            known = tasks_of.get(stop.id, ())
            tasks_of[stop.id] = (*known, (len(tasks), chance.first_day, chance.last_day))
            tasks.append(_task(stop, chance, places[stop.id], loads, group))
            stop_ids.append(stop.id)
    crews = sorted({shift.crew.id for shift in shifts})
    tastes = _tastes(stops, crews, places, len(minutes))
    model = Model(
        tasks=tuple(tasks),
        vehicles=tuple(
            _vehicle(shift, places, loads, crews.index(shift.crew.id) if tastes else 0)
            for shift in shifts
        ),
        cost=minutes,
        minutes=minutes,
        n_groups=groups,
        tastes=tastes,
    )
    return PeriodModel(model, tasks_of, tuple(stop_ids), tuple(shifts))


def _spans(stop: PeriodStop, shifts: Sequence[Shift]) -> Iterable[Chance]:
    """The stop's chances, each cut into single days where its hours are shorter than shifts."""
    serving = [shift for shift in shifts if shift.may_serve(stop)]
    for chance in sorted(stop.chances, key=lambda c: (c.price_min, c.first_day)):
        days = sorted({s.day for s in serving if chance.first_day <= s.day <= chance.last_day})
        if not days:
            continue
        inside = [s.crew for s in serving if s.day in days]
        whole = all(
            chance.from_min <= crew.shift_from_min
            and chance.until_min >= crew.shift_until_min - stop.service_min
            for crew in inside
        )
        if whole:
            yield Chance(first_day=days[0], last_day=days[-1], price_min=chance.price_min)
            continue
        for day in days:
            yield Chance(
                first_day=day,
                last_day=day,
                from_min=chance.from_min,
                until_min=chance.until_min,
                price_min=chance.price_min,
            )


def _task(stop: PeriodStop, chance: Chance, place: int, loads: "_Loads", group: int | None) -> Task:
    from_min, by_min = chance.from_min, chance.until_min
    if stop.held_at_min is not None:
        from_min = by_min = stop.held_at_min
    return Task(
        place=place,
        service_min=stop.service_min,
        from_min=chance.first_day * DAY_MIN + from_min,
        by_min=chance.last_day * DAY_MIN + by_min,
        prize=max(0, stop.prize_min - chance.price_min),
        delivery=loads.delivery(stop),
        pickup=loads.pickup(stop),
        group=group,
    )


def _vehicle(shift: Shift, places: dict[str, int], loads: "_Loads", taste: int) -> Vehicle:
    start = shift.day * DAY_MIN
    return Vehicle(
        start_place=places[f"place {shift.crew.start_place}"],
        end_place=places[f"place {shift.crew.end_place}"],
        from_min=start + shift.crew.shift_from_min,
        until_min=start + shift.plan_until_min,
        capacity=loads.capacity(shift),
        paid_min=shift.target_min,
        overtime_cost=shift.balance_cost,
        taste=taste,
    )


def _places(
    problem: PeriodProblem, stops: Sequence[PeriodStop], shifts: Sequence[Shift]
) -> tuple[dict[str, int], list[list[int]]]:
    """A place of its own for every stop and every end, and the table of only those."""
    ends = sorted({p for s in shifts for p in (s.crew.start_place, s.crew.end_place)})
    known = [*ends, *(stop.place for stop in stops)]
    numbers = {f"place {end}": number for number, end in enumerate(ends)}
    numbers |= {stop.id: len(ends) + number for number, stop in enumerate(stops)}
    minutes = problem.travel.minutes
    table = [[row[b] for b in known] for row in (minutes[a] for a in known)]
    return numbers, table


def _tastes(
    stops: Sequence[PeriodStop], crews: Sequence[str], places: dict[str, int], n_places: int
) -> tuple[tuple[int, ...], ...]:
    """For each crew what driving into each place costs it more; empty where nobody is liked."""
    if not any(stop.liked_crew is not None and stop.liked_min for stop in stops):
        return ()
    rows = []
    for crew in crews:
        row = [0] * n_places
        for stop in stops:
            if stop.liked_crew not in {None, crew}:
                row[places[stop.id]] = stop.liked_min
        rows.append(tuple(row))
    return tuple(rows)


class _Loads:
    """The dimensions of load: skills some crew lacks, crews somebody is bound to, held order."""

    def __init__(self, stops: Sequence[PeriodStop], shifts: Sequence[Shift]) -> None:
        crews = {shift.crew.id: shift.crew for shift in shifts}
        asked = {skill for stop in stops for skill in stop.needs}
        self._skills = sorted(
            s for s in asked if any(s not in shift.crew.skills for shift in shifts)
        )
        bound = {c for stop in stops for c in (stop.only_crew, stop.held_crew) if c is not None}
        # With one crew there is nobody else to keep away.
        self._crews = sorted(bound) if len(crews) > 1 else []
        self._pairs = _held_pairs(stops)
        self._n_pairs = max((k + 1 for _, _, k in self._pairs), default=0)

    def delivery(self, stop: PeriodStop) -> tuple[int, ...]:
        """What a stop has brought to it."""
        who = {stop.only_crew, stop.held_crew}
        return (
            *(_UNIT * (skill in stop.needs) for skill in self._skills),
            *(_UNIT * (crew in who) for crew in self._crews),
            *(_UNIT * self._is(stop, 0, k) for k in range(self._n_pairs)),
        )

    def pickup(self, stop: PeriodStop) -> tuple[int, ...]:
        """What a stop gives to take home."""
        nothing = (0,) * (len(self._skills) + len(self._crews))
        return (*nothing, *(_UNIT * self._is(stop, 1, k) for k in range(self._n_pairs)))

    def capacity(self, shift: Shift) -> tuple[int, ...]:
        """The room a shift has in each dimension."""
        return (
            *(_PLENTY * (skill in shift.crew.skills) for skill in self._skills),
            *(_PLENTY * (crew == shift.crew.id) for crew in self._crews),
            *(_UNIT for _ in range(self._n_pairs)),
        )

    def _is(self, stop: PeriodStop, side: int, number: int) -> bool:
        return any(pair[side] == stop.id and pair[2] == number for pair in self._pairs)


def _held_pairs(stops: Sequence[PeriodStop]) -> list[tuple[str, str, int]]:
    """Neighbours in the held order of each shift: first, second, number of the pair there."""
    held: dict[tuple[str | None, int | None], list[PeriodStop]] = {}
    for stop in stops:
        if stop.held_crew is not None and stop.held_position is not None:
            held.setdefault((stop.held_crew, stop.held_day), []).append(stop)
    pairs = []
    for group in held.values():
        order = sorted(group, key=lambda s: (s.held_position or 0, s.id))
        pairs += [(a.id, b.id, k) for k, (a, b) in enumerate(pairwise(order))]
    return pairs
