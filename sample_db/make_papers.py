"""Writes `papers/`: callbacks and sites of a small invented company, as plain lists.

    python -m sample_db.make_papers

Equal each time. Sixty sites of the invented Tarrow County, three years; two of them turn bad.
"""

import csv
from datetime import date, timedelta
from pathlib import Path
from random import Random

FOLDER = Path(__file__).parent / "papers"
BEGIN, LAST = date(2023, 10, 2), date(2026, 10, 9)
N_SITES = 60
STREETS = ("Dry Hollow Lane", "Heron Bend", "Old Ferry Road", "Quarry Hill", "Saltgrass Way")
WORDS = (
    "High-water alarm", "no spray", "smell outside", "air alarm", "breaker trips",
    "slow drains", "wet spot in the yard", "no chlorine",
)  # fmt: skip
COMMON = (22, 20, 16, 13, 10, 8, 6, 5)
CALLS_PER_YEAR = 0.25
# site, symptom and days of the trouble that comes back (the fourth is a return)
BAD = (
    (17, "High-water alarm", (430, 590, 700, 706, 915, 1040)),
    (42, "breaker trips", (640, 810, 1000)),
)


def main() -> None:
    """Write both lists."""
    chance = Random(7)
    names = [f"{100 + 6 * n} {STREETS[n % len(STREETS)]}" for n in range(N_SITES)]
    starts = [BEGIN + timedelta(days=chance.choice((0, 0, 0, 90, 300))) for _name in names]
    calls = []
    for name, start in zip(names, starts, strict=True):
        at = start + timedelta(days=chance.expovariate(CALLS_PER_YEAR / 365))
        while at <= LAST:
            calls.append((at, name, chance.choices(WORDS, COMMON)[0]))
            at += timedelta(days=1 + chance.expovariate(CALLS_PER_YEAR / 365))
    for number, word, days in BAD:
        calls += [(BEGIN + timedelta(days=day), names[number], word) for day in days]
    _write("calls.csv", ("site", "date", "symptom"), [(s, d, w) for d, s, w in sorted(calls)])
    _write("sites.csv", ("site", "start_date"), list(zip(names, starts, strict=True)))


def _write(name: str, heading: tuple[str, ...], rows: list[tuple[object, ...]]) -> None:
    FOLDER.mkdir(exist_ok=True)
    with (FOLDER / name).open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(heading)
        writer.writerows(rows)


if __name__ == "__main__":
    main()
