"""A year's work of a company, simulated: technicians serve calls and inspections as they come.

The clock counts working minutes only. Work is served one stop after another, never broken off: a
day off first, then calls by their last hour, then inspections by the day they close. Chance comes
in as a seeded generator, so that the same question has the same answer.
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from random import Random

DAY_OFF, CALL, INSPECTION = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Task:
    """Something to do: comes at a minute, should begin by one, takes so many, on the road before.

    `kind` is DAY_OFF, CALL or INSPECTION; the lower one is served first.
    """

    kind: int
    comes_min: float
    due_min: float
    work_min: float
    road_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Served:
    """A task with the minute at which somebody set out for it, and that at which it was done."""

    task: Task
    set_out_min: float
    done_min: float

    @property
    def is_late(self) -> bool:
        """Did the work begin after its last minute?"""
        return self.set_out_min + self.task.road_min > self.task.due_min


def served(tasks: Sequence[Task], n_technicians: int) -> list[Served]:
    """Each task in the order in which it is begun: a queue with several servers and priorities.

    Whoever is free first takes the most pressing task that has come; nobody breaks off.
    """
    if n_technicians < 1:
        raise ValueError(f"{n_technicians} technicians serve nobody")
    coming = sorted(tasks, key=lambda t: (t.comes_min, t.kind, t.due_min))
    free = [0.0] * n_technicians
    heapq.heapify(free)
    waiting: list[tuple[int, float, int]] = []
    done: list[Served] = []
    at = 0
    while at < len(coming) or waiting:
        now = heapq.heappop(free)
        if not waiting and at < len(coming):
            now = max(now, coming[at].comes_min)
        while at < len(coming) and coming[at].comes_min <= now:
            heapq.heappush(waiting, (coming[at].kind, coming[at].due_min, at))
            at += 1
        _, _, number = heapq.heappop(waiting)
        task = coming[number]
        end = now + task.road_min + task.work_min
        done.append(Served(task, now, end))
        heapq.heappush(free, end)
    return done


@dataclass(frozen=True, slots=True, kw_only=True)
class Sites:
    """Sites alike: how many, what road a stop there takes, and how far that is in km."""

    n: int
    road_min: float
    road_km: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Year:
    """A company's year. `month_of_day` says for each working day in which month (0..11) it lies.

    `visits_a_year` a site, each within a window of `window_days` working days; `calls_a_year` a
    site, to be answered within `answer_days` working days. Work minutes have a mean and a standard
    deviation. `days_off` are those of one technician.
    """

    month_of_day: tuple[int, ...]
    day_min: float
    n_technicians: int
    sites: tuple[Sites, ...]
    visits_a_year: float
    window_days: int
    inspection_min: tuple[float, float]
    calls_a_year: float
    answer_days: float
    call_min: tuple[float, float]
    days_off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """One month of one simulated year: hours worked and driven, km, what was due and late."""

    hours: float = 0.0
    km: float = 0.0
    windows: int = 0
    windows_late: int = 0
    promises: int = 0
    promises_late: int = 0


def one_year(year: Year, chance: Random) -> tuple[Month, ...]:
    """One year with chance's calls, times and windows: twelve months.

    A window or promise counts in the month in which it ends, hours in that in which they are
    worked. What ends after the year is left out.
    """
    tasks, km_of = _tasks(year, chance)
    found = [dict.fromkeys(_FIGURES, 0.0) for _ in range(12)]
    last, lead = len(year.month_of_day) - 1, _lead_days(year)

    def month_at(minute: float) -> dict[str, float] | None:
        day = int(minute // year.day_min) - lead
        return found[year.month_of_day[day]] if 0 <= day <= last else None

    for one in served(tasks, year.n_technicians):
        if one.task.kind == DAY_OFF:
            continue
        worked = month_at(one.set_out_min)
        if worked is not None:
            worked["hours"] += (one.done_min - one.set_out_min) / 60
            worked["km"] += km_of[one.task]
        due = month_at(one.task.due_min - 1e-6)
        if due is not None:
            name = "promises" if one.task.kind == CALL else "windows"
            due[name] += 1
            due[f"{name}_late"] += one.is_late
    return tuple(
        Month(
            hours=m["hours"], km=m["km"], windows=int(m["windows"]),
            windows_late=int(m["windows_late"]), promises=int(m["promises"]),
            promises_late=int(m["promises_late"]),
        )
        for m in found
    )  # fmt: skip


_FIGURES = ("hours", "km", "windows", "windows_late", "promises", "promises_late")


def _tasks(year: Year, chance: Random) -> tuple[list[Task], dict[Task, float]]:
    """Work of the year and of the weeks before it, so that it begins as a year in the middle.

    Minutes count from the first of those weeks.
    """
    lead = _lead_days(year)
    n_days = len(year.month_of_day) + lead
    share = n_days / len(year.month_of_day)
    tasks: list[Task] = []
    km_of: dict[Task, float] = {}

    def add(task: Task, km: float) -> None:
        tasks.append(task)
        km_of[task] = km

    for sites in year.sites:
        n = _times(sites.n * year.visits_a_year * share, chance)
        for k in range(n):  # contracts begin all through the year: windows open evenly
            opens = (k + chance.random()) * n_days / n * year.day_min
            work = _minutes(year.inspection_min, chance)
            closes = opens + year.window_days * year.day_min
            add(Task(INSPECTION, opens, closes, work, sites.road_min), sites.road_km)
        for _ in range(_poisson(sites.n * year.calls_a_year * share, chance)):
            comes = chance.uniform(0, n_days * year.day_min)
            work = _minutes(year.call_min, chance)
            due = comes + year.answer_days * year.day_min
            add(Task(CALL, comes, due, work, sites.road_min), sites.road_km)
    for _ in range(_times(year.days_off * year.n_technicians * share, chance)):
        begins = chance.randrange(n_days) * year.day_min
        add(Task(DAY_OFF, begins, begins, year.day_min), 0.0)
    return tasks, km_of


def _lead_days(year: Year) -> int:
    """Working days simulated before the year: until windows close as many as open."""
    return year.window_days + 20


def _times(mean: float, chance: Random) -> int:
    """A whole number with this mean, the next below or above."""
    whole = int(mean)
    return whole + (chance.random() < mean - whole)


def _poisson(mean: float, chance: Random) -> int:
    """How many come where each comes by itself: by counting exponential gaps (textbook)."""
    n, sum_ = 0, 0.0
    while mean > 0:
        sum_ += chance.expovariate(1.0)
        if sum_ > mean:
            break
        n += 1
    return n


def _minutes(mean_sd: tuple[float, float], chance: Random) -> float:
    """Work minutes: log-normal with this mean and standard deviation, never below zero."""
    mean, sd = mean_sd
    if sd <= 0:
        return mean
    spread = log(1 + (sd / mean) ** 2)
    return exp(chance.gauss(log(mean) - spread / 2, sqrt(spread)))


@dataclass(frozen=True, slots=True)
class Range:
    """A figure over many years: the middle one, and the tenth from below and above of ten."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, values: Sequence[float]) -> "Range":
        """From the values themselves; one at least."""
        ordered = sorted(values)
        top = len(ordered) - 1
        return cls(ordered[round(0.1 * top)], ordered[round(0.5 * top)], ordered[round(0.9 * top)])


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthRange:
    """One month over many simulated years."""

    hours: Range
    km: Range
    windows: Range
    windows_late: Range
    promises: Range
    promises_late: Range


def many_years(year: Year, *, n_years: int, chance: Random) -> tuple[MonthRange, ...]:
    """Twelve months, each figure with its spread over `n_years` simulated years."""
    years = [one_year(year, chance) for _ in range(n_years)]
    return tuple(
        MonthRange(**{
            name: Range.of([float(getattr(one[month], name)) for one in years])
            for name in _FIGURES
        })
        for month in range(12)
    )  # fmt: skip


def road_a_stop(far_min: float, *, stops_a_day: float, spacing_min: float) -> float:
    """Minutes of road for one stop: its share of the way out and back, and the way to the next.

    Continuous approximation of tours: ``2 * far / stops a day + spacing`` (C. F. Daganzo, "The
    distance traveled to visit N points with a maximum of C stops per vehicle", Transportation
    Science 18, 1984; formula from memory).
    """
    return 2 * far_min / stops_a_day + spacing_min


def spacing_with(spacing_min: float, *, n_there: int, n_more: int) -> float:
    """The way to the next stop where `n_more` sites join `n_there` in the same area.

    The length of a tour through n places in an area grows with the root of n, so the way a place
    falls with it (J. Beardwood, J. H. Halton, J. M. Hammersley, "The shortest path through many
    points", 1959; from memory).
    """
    if n_there <= 0:
        return spacing_min
    return spacing_min * sqrt(n_there / (n_there + n_more))
