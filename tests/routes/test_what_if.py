"""A year's work simulated: a case worked out by hand, and queues whose waits are known."""

from math import sqrt
from random import Random
from statistics import fmean

import pytest

from servicedesk.routes.what_if import (
    CALL,
    DAY_OFF,
    INSPECTION,
    Range,
    Sites,
    Task,
    Year,
    many_years,
    one_year,
    road_a_stop,
    served,
    spacing_with,
)

DAYS = tuple(min(11, n * 12 // 250) for n in range(250))


def a_year(**values):
    usual = {
        "month_of_day": DAYS, "day_min": 450.0, "n_technicians": 2,
        "sites": (Sites(n=300, road_min=15.0, road_km=12.0),), "visits_a_year": 3.0,
        "window_days": 30, "inspection_min": (40.0, 10.0), "calls_a_year": 0.5, "answer_days": 2.0,
        "call_min": (50.0, 20.0), "days_off": 10.0,
    }  # fmt: skip
    return Year(**(usual | values))


def test_one_technician_worked_out_by_hand():
    # 0: the inspection sets out, 10 road, 40 work, done at 50. At 20 a call comes, at 30 another
    # inspection that closes sooner, at 40 a day off of 100 minutes: off 50..150, the call sets out
    # at 150 and is done at 150 + 5 + 30 = 185, the inspection at 185 + 10 + 20 = 215.
    tasks = [
        Task(INSPECTION, 0, 100, 40, 10),
        Task(CALL, 20, 150, 30, 5),
        Task(INSPECTION, 30, 300, 20, 10),
        Task(DAY_OFF, 40, 40, 100),
    ]

    done = served(tasks, 1)

    assert [(s.set_out_min, s.done_min) for s in done] == [
        (0, 50),
        (50, 150),
        (150, 185),
        (185, 215),
    ]
    assert [s.task.kind for s in done] == [INSPECTION, DAY_OFF, CALL, INSPECTION]
    assert [s.is_late for s in done if s.task.kind != DAY_OFF] == [False, True, False]


def test_two_technicians_share_the_work():
    tasks = [Task(CALL, 0, 100, 30), Task(CALL, 0, 200, 50), Task(CALL, 0, 300, 10)]

    done = served(tasks, 2)

    assert [(s.set_out_min, s.done_min) for s in done] == [(0, 30), (0, 50), (30, 40)]


def mean_wait(servers, arrivals, service, seed, n=60_000):
    chance, at, tasks = Random(seed), 0.0, []
    for _ in range(n):
        at += chance.expovariate(arrivals)
        tasks.append(Task(CALL, at, at, service(chance)))
    done = served(tasks, servers)
    return fmean(s.set_out_min - s.task.comes_min for s in done[2_000:])


# outside: mean waits in queues. M/M/1 and M/M/c (A. K. Erlang 1917; textbook formulas), M/D/1
# (F. Pollaczek 1930, A. Khinchine 1932); worked out from the formulas, from memory:
# M/M/1 rho/(mu-lambda) = 0.7/0.3; M/M/2 C/(2mu-lambda), C = 2 rho^2/(1+rho) with rho = 0.7;
# M/D/1 rho/(2(1-rho)).
@pytest.mark.parametrize(
    ("servers", "arrivals", "service", "known"),
    [
        (1, 0.7, lambda chance: chance.expovariate(1.0), 0.7 / 0.3),
        (2, 1.4, lambda chance: chance.expovariate(1.0), 2 * 0.49 / 1.7 / 0.6),
        (1, 0.7, lambda chance: 1.0, 0.7 / 0.6),
    ],
    ids=["M/M/1", "M/M/2", "M/D/1"],
)
def test_queues_with_a_known_answer(servers, arrivals, service, known):
    waits = [mean_wait(servers, arrivals, service, seed) for seed in (1, 2)]

    assert fmean(waits) == pytest.approx(known, rel=0.05)


def test_the_same_seed_gives_the_same_year_and_another_one_another():
    assert one_year(a_year(), Random(1)) == one_year(a_year(), Random(1))
    assert one_year(a_year(), Random(1)) != one_year(a_year(), Random(2))


def test_hours_and_km_are_those_of_all_stops():
    year = a_year(inspection_min=(40.0, 0.0), calls_a_year=0.0, days_off=0.0)

    months = one_year(year, Random(3))

    # by hand: 300 sites x 3 visits x (40 + 15) minutes, evenly through the year
    assert sum(m.hours for m in months) == pytest.approx(900 * 55 / 60, rel=0.02)
    assert sum(m.km for m in months) == pytest.approx(900 * 12, rel=0.02)
    assert sum(m.windows for m in months) == pytest.approx(900, rel=0.01)
    assert min(m.hours for m in months) > 0.8 * max(m.hours for m in months)
    assert sum(m.windows_late for m in months) == 0


def test_with_nobody_to_spare_windows_close_unseen():
    calm = one_year(a_year(), Random(4))
    swamped = one_year(a_year(n_technicians=1, sites=(Sites(n=900, road_min=15, road_km=12),)),
                       Random(4))  # fmt: skip

    assert sum(m.windows_late for m in calm) == 0
    assert sum(m.windows_late for m in swamped) > 1_000
    assert sum(m.promises_late for m in swamped) < sum(m.promises for m in swamped)


def test_the_spread_holds_the_middle():
    months = many_years(a_year(), n_years=11, chance=Random(5))

    assert len(months) == 12
    for month in months:
        assert month.hours.low <= month.hours.middle <= month.hours.high
    assert Range.of(range(11)) == Range(1, 5, 9)


def test_road_of_a_stop_and_of_denser_sites():
    # by hand: 30 minutes out and back shared by 6 stops, 8 to the next
    assert road_a_stop(30, stops_a_day=6, spacing_min=8) == 18
    assert spacing_with(8, n_there=20, n_more=80) == pytest.approx(8 / sqrt(5))
    assert spacing_with(8, n_there=0, n_more=80) == 8
