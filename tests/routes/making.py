"""Small days with telling defaults: places lie on a line, one minute apart."""

import math
import random

from servicedesk.routes.day import Crew, DayProblem, Stop
from servicedesk.values.travel_times import TravelTimes


def on_a_line(n_places: int = 200) -> TravelTimes:
    """Place p is p minutes from place 0."""
    return TravelTimes.of([[abs(a - b) for b in range(n_places)] for a in range(n_places)])


def a_stop(id_="a", place=10, **fields) -> Stop:
    return Stop(id=id_, place=place, **({"service_min": 30} | fields))


def a_crew(id_="lena", **fields) -> Crew:
    usual = {"start_place": 0, "end_place": 0, "shift_from_min": 480, "shift_until_min": 1020}
    return Crew(id=id_, **(usual | fields))


LUNCH = {"break_min": 30, "break_from_min": 690, "break_until_min": 780}


def a_day(stops, crews=(), travel=None) -> DayProblem:
    return DayProblem(
        stops=tuple(stops), crews=tuple(crews) or (a_crew(),), travel=travel or on_a_line()
    )


def a_random_day(seed, n_stops=5, n_crews=2, *, tight=True) -> DayProblem:
    """Places in a plane of 60 by 60 minutes, hours, breaks, skills, prizes and bindings mixed."""
    chance = random.Random(seed)
    spots = [(chance.uniform(0, 60), chance.uniform(0, 60)) for _ in range(n_stops + n_crews)]
    minutes = [[math.ceil(math.dist(a, b) * chance.uniform(1, 1.2)) for b in spots] for a in spots]
    closed = [
        [0 if a == b else minutes[a][b] for b in range(len(spots))] for a in range(len(spots))
    ]
    crews = tuple(_random_crew(chance, k, n_stops + k, tight=tight) for k in range(n_crews))
    stops = tuple(_random_stop(chance, k, crews) for k in range(n_stops))
    return DayProblem(stops=stops, crews=crews, travel=TravelTimes.of(_shortest(closed)))


def _shortest(minutes):
    """The table with every detour that is quicker taken (Floyd and Warshall)."""
    n = len(minutes)
    table = [list(row) for row in minutes]
    for via in range(n):
        for a in range(n):
            for b in range(n):
                table[a][b] = min(table[a][b], table[a][via] + table[via][b])
    return table


def _random_crew(chance, number, home, *, tight) -> Crew:
    length = chance.randrange(180, 330) if tight else chance.randrange(420, 540)
    begins = chance.choice((480, 540, 600))
    lunch = LUNCH if chance.random() < 0.7 else {}
    return Crew(
        id=f"crew {number}",
        start_place=home,
        end_place=home,
        shift_from_min=begins,
        shift_until_min=begins + length,
        overtime_min=chance.choice((0, 0, 45)),
        skills=frozenset({"electric"}) if chance.random() < 0.6 else frozenset(),
        **lunch,
    )


def _random_stop(chance, number, crews) -> Stop:
    opens, closes = 0, 1440
    if chance.random() < 0.5:
        opens = chance.randrange(480, 780, 15)
        closes = opens + chance.choice((0, 30, 60, 120, 240))
    promise = chance.randrange(540, 900, 30) if chance.random() < 0.3 else None
    return Stop(
        id=f"s{number}",
        place=number,
        service_min=chance.choice((10, 20, 30, 45)),
        open_from_min=opens,
        open_until_min=closes,
        promise_until_min=promise,
        needs=frozenset({"electric"}) if chance.random() < 0.3 else frozenset(),
        only_crew=chance.choice(crews).id if chance.random() < 0.15 else None,
        prize_min=None if chance.random() < 0.5 else chance.choice((10, 30, 90)),
    )
