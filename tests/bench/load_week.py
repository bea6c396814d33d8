"""A week's load lists, simulated from the seeded truth: ``python -m tests.bench.load_week``.

A store of the sample is made and its next week planned; `truck_loads` states for each truck the
chance that no visit of the week lacks a part, and how far off that may be. Then the same week happens 2,000 times as the rates
of ``sample_db/truth.yaml`` and the seeded troubles say (the program knows neither), and the share
of weeks in which no visit lacked a part is printed with its exact (Clopper-Pearson) 95 % interval.

What a visit takes in the truth: owed work its parts. A callback the part of its true cause, drawn
by how often each cause brings that symptom to that system: units fail by their Weibull lives since
they were last made to work (``sample_db/fixes.py``: a mended unit begins a new life as a new one
does, a patched one fails no more), nuisances by their rates; at a seeded trouble nobody looks at
the guilty part and a wrong one is taken now and then. An inspection the part of a unit that failed
since the last one and that nobody called about, where it is mended at once, and tablets now and
then.
"""

import argparse
import math
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from scipy.stats import beta
from sqlalchemy import func

from sample_db.load import make_sample
from sample_db.state import Truth, truth_table
from servicedesk.desk.load import TruckLoad, lying_now, truck_loads
from servicedesk.desk.office import Desk, open_desk
from servicedesk.desk.period import propose, take
from servicedesk.records import planning_rows, stock_rows
from servicedesk.records.equipment import Unit
from servicedesk.records.planning_rows import JobRow, VisitRow
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit

DAY = date(2026, 10, 14)
RUNS = 2_000
SEEDS = (1, 2, 3)
MENDED_AT_ONCE, TABLETS = 0.7, 0.12  # as sample_db/inspections.py draws them
CALM_ON_THE_PHONE = 3  # as sample_db/history.py: nuisances are answered by phone so much more
YEAR = 365.25
Takes = tuple[str, ...]
Drawn = tuple[tuple[float, Takes], ...]  # chances of what is taken; what is missing takes nothing


@dataclass(frozen=True, slots=True)
class Part:
    """Where a thing of the truth stands: a system with its units on the day of the visit."""

    units: tuple[Unit, ...]
    inspected_on: date
    seeded: Mapping[str, Any] | None


class TrueWeek:
    """What each job of some visits takes in the truth, read from the store once."""

    def __init__(self, desk: Desk, truth: Truth, visits: Sequence[VisitRow]) -> None:
        self.truth, self.table = truth, truth_table()
        jobs = [job for visit in visits for job in visit.jobs]
        with desk.store.read() as session:
            self.calls = planning_rows.calls_of(session, [j.call_id for j in jobs if j.call_id])
            self.owed = stock_rows.owed_parts(session, [j.owed_id for j in jobs if j.owed_id])
            units = session.query(Unit).filter(Unit.removed_on.is_(None)).all()
            mended = (
                session.query(Job.system_id, Job.cause_id, func.max(Visit.planned_on))
                .join(Visit, Visit.id == Job.visit_id)
                .filter(Job.fix == "fixed", Job.cause_id.is_not(None))
                .group_by(Job.system_id, Job.cause_id)
                .all()
            )
            done = (
                session.query(Job.system_id, Visit.planned_on)
                .join(Visit, Visit.id == Job.visit_id)
                .filter(Job.kind_of == "inspection", Job.outcome == "done")
                .all()
            )
            joined = (
                session.query(System.id, Site.since_on)
                .join(Site, Site.id == System.site_id)
                .filter(Site.since_on.is_not(None))
                .all()
            )
            session.expunge_all()
        self.units: dict[int, list[Unit]] = {}
        for unit in units:
            self.units.setdefault(unit.system_id, []).append(unit)
        # what had failed before a system joined was mended before our time (settle_age)
        self.inspected: dict[int, date] = {system_id: day for system_id, day in joined if day}
        for system_id, day in done:
            self.inspected[system_id] = max(day, self.inspected.get(system_id, day))
        component = {
            cause["id"]: name
            for name, life in self.table["lives"].items()
            for cause in life["causes"]
        }
        self.mended: dict[tuple[int, str], date] = {}
        for system_id, cause_id, day in mended:
            key = (system_id, component.get(cause_id, ""))
            self.mended[key] = max(day, self.mended.get(key, day))
        self.seeded = {one["system_id"]: one for one in truth.recurring}

    def jobs(self, visits: Iterable[VisitRow], kept: frozenset[str]) -> list[Drawn]:
        """What each open job of the visits may take, of parts that the catalogue has."""
        found: list[Drawn] = []
        for visit in visits:
            for job in visit.jobs:
                if job.outcome is None:
                    found += self._of_job(visit, job)
        return [_only(one, kept) for one in found]

    def _of_job(self, visit: VisitRow, job: JobRow) -> list[Drawn]:
        if job.owed_id is not None:
            return [((1.0, self.owed.get(job.owed_id, ())),)]
        if job.call_id is not None and job.call_id in self.calls:
            call = self.calls[job.call_id]
            system_id = job.system_id or call.system_id
            if system_id is None or not call.symptoms:
                return []
            return [self._of_call(self._part(system_id), call.symptoms[0], visit.planned_on)]
        if job.kind == "inspection" and job.system_id is not None:
            return self._of_inspection(self._part(job.system_id), visit.planned_on)
        return []

    def _part(self, system_id: int) -> Part:
        units = tuple(self.units.get(system_id, ()))
        first = min((u.installed_on for u in units if u.installed_on), default=DAY)
        return Part(units, self.inspected.get(system_id, first), self.seeded.get(system_id))

    def _of_call(self, part: Part, symptom: str, on: date | None) -> Drawn:
        """The part of the true cause, by how often each cause makes this system call so."""
        day, weights = on or DAY, Counter[Takes]()
        by_phone = 1 - self.table["calls"]["found_at_inspection"]
        for unit in part.units:
            rate = self._hazard(unit, day) * by_phone
            for chance, cause in self._causes(unit, part):
                weights[(cause["part"],)] += rate * chance * _share(cause["symptoms"], symptom)
        drives = 1 - CALM_ON_THE_PHONE * self.table["calls"]["by_phone"]
        for one in self.table["nuisances"]:
            if one.get("needs") and not self._has(part, one["needs"]):
                continue
            rate = one["rate"] * self.table["calls"]["nuisance_factor"] * drives
            takes = (one["part"],) if one.get("part") else ()
            weights[takes] += rate * _share(one["symptoms"], symptom)
        if part.seeded is not None:
            self._seeded(part.seeded, symptom, weights)
        whole = sum(weights.values())
        return tuple((weight / whole, takes) for takes, weight in weights.items()) if whole else ()

    def _seeded(self, seeded: Mapping[str, Any], symptom: str, weights: Counter[Takes]) -> None:
        """At a seeded trouble the guilty part stays, a wrong one is taken now and then."""
        table = self.table["recurring"]
        kind = next(one for one in table["kinds"] if one["id"] == seeded["kind"])
        other = table["other_symptom"]
        share = {kind["symptom"]: 1 - other, kind["sibling"]: other}.get(symptom, 0.0)
        rate = table["calls_a_year"] * share
        wrong = table["outcomes"]["wrong part"]
        for one in kind["wrong_parts"]:
            weights[(one,)] += rate * wrong / len(kind["wrong_parts"])
        weights[()] += rate * (1 - wrong)

    def _of_inspection(self, part: Part, on: date | None) -> list[Drawn]:
        """Of each unit by itself: did it fail since the last inspection, unseen until now?"""
        day, found = on or DAY, []
        unseen = self.table["calls"]["found_at_inspection"] * MENDED_AT_ONCE
        for unit in part.units:
            failed = self._fails_between(unit, part.inspected_on, day)
            ways = [
                (failed * unseen * chance, (str(cause["part"]),))
                for chance, cause in self._causes(unit, part)
            ]
            found.append(tuple(ways))
        if self._has(part, "tablet"):
            found.append(((TABLETS, ("tablets-wastewater",)),))
        return found

    def _causes(self, unit: Unit, part: Part) -> Iterator[tuple[float, Mapping[str, Any]]]:
        """Causes of a unit's failure with their shares; at a seeded system not the hidden ones."""
        if unit.component not in self.table["lives"]:
            return
        never = set(part.seeded["never"]) if part.seeded else set()
        if part.seeded and part.seeded["component"] == unit.component:
            return
        causes = self.table["lives"][unit.component]["causes"]
        causes = [one for one in causes if not never & set(one["proof"])]
        whole = sum(one["weight"] for one in causes)
        for one in causes:
            yield one["weight"] / whole, one

    def _scale(self, unit: Unit) -> tuple[float, float]:
        life = self.table["lives"][unit.component]
        scale = life["scale"] * self.table["calls"]["life_factor"]
        if unit.model_id == self.truth.model["model_id"]:
            scale *= self.truth.model["life_factor"]
        made = unit.attributes or {}
        practice = self.truth.practice
        if unit.component == practice["component"] and (
            made.get("splice") == practice["splice"] and made.get("sealing") in practice["sealings"]
        ):
            scale *= practice["times"] ** (-1 / life["shape"])
        return scale, life["shape"]

    def _works_since(self, unit: Unit) -> date | None:
        """When its life began: put in, or mended since."""
        mended = self.mended.get((unit.system_id, unit.component))
        days = [day for day in (unit.installed_on, mended) if day is not None]
        return max(days, default=None)

    def _fails_between(self, unit: Unit, first: date, until: date) -> float:
        """The chance that a unit that works on `first` has failed by `until`."""
        if unit.component not in self.table["lives"] or unit.state == "patched":
            return 0.0
        since = self._works_since(unit) or first
        scale, shape = self._scale(unit)
        old, new = ((max(0, (day - since).days) / YEAR / scale) ** shape for day in (first, until))
        return 1 - math.exp(old - new)

    def _hazard(self, unit: Unit, day: date) -> float:
        """Failures a year at its age."""
        if unit.component not in self.table["lives"] or unit.state == "patched":
            return 0.0
        scale, shape = self._scale(unit)
        age = max(30, (day - (self._works_since(unit) or day)).days) / YEAR
        return float(shape / scale * (age / scale) ** (shape - 1))

    def _has(self, part: Part, flag: str) -> bool:
        component = {"tablet": "tablet-chlorinator", "spray": "spray-heads", "drip": "drip-filter"}
        return any(unit.component == component[flag] for unit in part.units)


def _share(symptoms: Mapping[str, float], symptom: str) -> float:
    return symptoms.get(symptom, 0.0) / sum(symptoms.values())


def _only(drawn: Drawn, kept: frozenset[str]) -> Drawn:
    """Without parts that the catalogue has no article of: no list can hold them."""
    return tuple((chance, tuple(one for one in takes if one in kept)) for chance, takes in drawn)


def enough(drawn: Sequence[Drawn], stock: Mapping[str, int], rng: Random) -> bool:
    """Does the week, happening once, ask for no more than there is?"""
    taken: Counter[str] = Counter()
    for one in drawn:
        at = rng.random()
        for chance, takes in one:
            at -= chance
            if at < 0:
                taken.update(takes)
                break
    return all(n <= stock.get(part, 0) for part, n in taken.items())


def exact_interval(hits: int, runs: int, sure: float = 0.95) -> tuple[float, float]:
    """Clopper and Pearson (1934), by quantiles of the beta distribution."""
    rest = (1 - sure) / 2
    low = 0.0 if hits == 0 else float(beta.ppf(rest, hits, runs - hits + 1))
    high = 1.0 if hits == runs else float(beta.ppf(1 - rest, hits + 1, runs - hits))
    return low, high


@dataclass(frozen=True, slots=True)
class Simulated:
    """How many of `runs` weeks lacked nothing, with the truck as it is and with the list."""

    load: TruckLoad
    before: int
    after: int
    runs: int


def simulate(
    desk: Desk, truth: Truth, first: date, until: date, *, runs: int = RUNS, seed: int = 1
) -> list[Simulated]:
    """Every truck's week `runs` times from the truth."""
    lying = lying_now(desk)
    with desk.store.read() as session:
        visits = [
            visit
            for n in range((until - first).days)
            for visit in planning_rows.visits_of_day(session, first + timedelta(days=n))
            if visit.state == "planned"
        ]
    week = TrueWeek(desk, truth, visits)
    kept = frozenset(lying.articles)
    found = []
    for load in truck_loads(desk, first, until):
        drawn = week.jobs([v for v in visits if v.lead_id == load.technician_id], kept)
        place_ids = [p.id for p in lying.places if p.truck_id is not None and p.name == load.truck]
        before = {key: lying.at(key, place_ids) for key in kept}
        after = Counter(before)
        after.update({pick.key: pick.quantity for pick in load.picks})
        rng = Random(f"{seed} {load.technician}")
        hits = [
            (enough(drawn, before, Random(one)), enough(drawn, after, Random(one)))
            for one in (rng.getrandbits(64) for _ in range(runs))
        ]
        found.append(Simulated(load, sum(h[0] for h in hits), sum(h[1] for h in hits), runs))
    return found


def planned_week(desk: Desk) -> tuple[date, date]:
    """Plan the coming seven days and take them."""
    take(desk, propose(desk, weeks=1, seconds=5))
    first = DAY + timedelta(days=1)
    return first, first + timedelta(days=7)


def main() -> None:
    """Print stated chances beside simulated shares."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="+", default=SEEDS)
    parser.add_argument("--size", default="small")
    parser.add_argument("--runs", type=int, default=RUNS)
    asked = parser.parse_args()
    print("seed  truck              visits calls |  stated (range)  simulated (95 %) | as it is")
    inside = n = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in asked.seeds:
            store = Path(folder) / f"{seed}.store"
            truth = make_sample(store, size=asked.size, seed=seed, today=DAY).truth
            desk = open_desk(store, today=DAY)
            first, until = planned_week(desk)
            for one in simulate(desk, truth, first, until, runs=asked.runs):
                load = one.load
                print(
                    f"{seed:4}  {load.technician + ', ' + load.truck:18} {load.n_visits:5} "
                    f"{load.n_calls:5} | {load.after:6.1%} ({load.low:.0%} to {load.high:.0%})  "
                    f"{_said(one.after, one.runs)} | {load.before:6.1%}  "
                    f"{_said(one.before, one.runs)}"
                )
                low, high = exact_interval(one.after, one.runs)
                inside += load.low <= high and low <= load.high
                n += 1
            desk.store.close()
    print(f"the simulated share lies in the stated range, up to chance: {inside} of {n}")


def _said(hits: int, runs: int) -> str:
    low, high = exact_interval(hits, runs)
    return f"{hits / runs:6.1%} ({low:.1%} to {high:.1%})"


if __name__ == "__main__":
    main()
