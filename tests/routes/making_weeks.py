"""Small weeks with telling defaults: places on a line, shifts of Lena from 8 to 5."""

import math
import random

from servicedesk.routes.period_problem import Chance, PeriodProblem, PeriodStop, Shift
from servicedesk.routes.problem import Crew
from servicedesk.values.travel_times import TravelTimes
from tests.routes.making import on_a_line


def a_chance(first_day=0, last_day=None, **fields) -> Chance:
    return Chance(
        first_day=first_day, last_day=first_day if last_day is None else last_day, **fields
    )


def a_week_stop(id_="a", place=10, *, days=(0, 4), chances=None, **fields) -> PeriodStop:
    usual = {"service_min": 30, "prize_min": 3000}
    found = tuple(chances) if chances else (a_chance(*days),)
    return PeriodStop(id=id_, place=place, chances=found, **(usual | fields))


def a_shift(day=0, crew="lena", *, until=1020, pause=False, crew_fields=None, **fields) -> Shift:
    lunch = {"break_min": 30, "break_from_min": 690, "break_until_min": 780} if pause else {}
    return Shift(
        id=f"{crew}@{day}",
        day=day,
        crew=Crew(
            id=crew,
            start_place=0,
            end_place=0,
            shift_from_min=480,
            shift_until_min=until,
            **(lunch | (crew_fields or {})),
        ),
        **fields,
    )


def some_weeks(stops, shifts=None, travel=None) -> PeriodProblem:
    return PeriodProblem(
        stops=tuple(stops),
        shifts=tuple(shifts or [a_shift(day) for day in range(5)]),
        travel=travel or on_a_line(),
    )


def random_weeks(seed, n_stops=5, n_days=2, n_crews=2, *, until=700) -> PeriodProblem:
    """Short shifts, windows, visiting hours, prices, skills, likings and bindings mixed."""
    chance = random.Random(seed)
    spots = [(chance.uniform(0, 60), chance.uniform(0, 60)) for _ in range(n_stops + n_crews)]
    minutes = [[math.ceil(math.dist(a, b)) for b in spots] for a in spots]
    crews = [f"c{k}" for k in range(n_crews)]
    stops = []
    for k in range(n_stops):
        first = chance.randrange(n_days)
        last = chance.randrange(first, n_days)
        hours = {"from_min": 540, "until_min": 600} if chance.random() < 0.3 else {}
        chances = [Chance(first_day=first, last_day=last, **hours)]
        if chance.random() < 0.3 and last + 1 < n_days:
            chances.append(Chance(first_day=last + 1, last_day=n_days - 1, price_min=25))
        stops.append(
            PeriodStop(
                id=f"s{k}", place=n_crews + k, service_min=chance.choice((20, 30, 45)),
                chances=tuple(chances), prize_min=chance.choice((60, 300, 3000)),
                needs=frozenset({"electric"}) if chance.random() < 0.3 else frozenset(),
                only_crew=chance.choice(crews) if chance.random() < 0.15 else None,
                liked_crew=chance.choice(crews) if chance.random() < 0.3 else None, liked_min=12,
            )
        )  # fmt: skip
    shifts = [
        Shift(
            id=f"{crew}@{day}", day=day, kept_min=chance.choice((0, 30)), target_min=120,
            crew=Crew(
                id=crew, start_place=k, end_place=k, shift_from_min=480, shift_until_min=until,
                skills=frozenset({"electric"}) if k == 0 else frozenset(),
            ),
        )
        for day in range(n_days)
        for k, crew in enumerate(crews)
    ]  # fmt: skip
    return PeriodProblem(stops=tuple(stops), shifts=tuple(shifts), travel=TravelTimes.of(minutes))
