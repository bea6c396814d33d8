"""Samples made once for the tests here."""

from datetime import date
from functools import cache

from sample_db.make import make

DAY = date(2026, 10, 14)
# a plain day, a holiday, a weekend, the ends of a year, a leap day
CASES = [
    (1, DAY),
    (2, date(2026, 11, 26)),
    (3, date(2026, 12, 31)),
    (4, date(2027, 1, 1)),
    (5, date(2028, 2, 29)),
    (6, date(2026, 8, 2)),
]


@cache
def small(seed=1, today=DAY):
    return make("small", seed, today)


@cache
def sixty(seed=1, today=DAY):
    return make("sixty", seed, today)


def by_id(rows):
    return {row["id"]: row for row in rows}
