"""The days: calls come in, crews go out, visits happen."""

import math
from dataclasses import dataclass, field
from datetime import date, timedelta
from heapq import heappop, heappush

from sample_db.callbacks import Trouble, answer, seed_events, storm_day, take_call
from sample_db.contracts import Chain, Window
from sample_db.equipment import settle_age
from sample_db.fixes import Book, Debt, Stop, settle
from sample_db.inspections import find_locked, inspect
from sample_db.rows import Row
from sample_db.state import Plant, Setting, Tech, truth_table, weighted
from sample_db.world import Point, distance_km

DAY = timedelta(days=1)
FULL = 7  # stops of a crew on a day of inspections
MIN_PER_KM = 60 * 1.3 / 52  # road detour over speed
WEATHER = ("dry", "dry", "dry", "wet", "rain", "windy")


@dataclass(slots=True, eq=False)
class Work:
    """Everything to do at one site on one day."""

    plant: Plant
    troubles: list[Trouble] = field(default_factory=list)
    debts: list[Debt] = field(default_factory=list)
    window: Window | None = None


class History:
    """Runs the days from the beginning of the history to yesterday."""

    def __init__(self, s: Setting, book: Book, chains: list[Chain]) -> None:
        self.s, self.book = s, book
        self.windows: list[tuple[date, int, Window]] = []
        self.ready: list[Window] = []
        self.calls: list[tuple[date, int, Trouble]] = []
        self.open: list[Trouble] = []
        self.n = 0
        self.storm = storm_day(s)
        self.locked: dict[date, list[Window]] = {}
        for chain in chains:
            self._wait(chain.next(s, None))

    def run(self) -> None:
        s = self.s
        seed_events(s, self.calls)
        for plant in s.plants:
            for component, unit in list(plant.units.items()):
                day = settle_age(s, unit, max(s.begin, plant.joined))
                guilty = plant.kind is not None and plant.kind["component"] == component
                if not guilty and day < s.today:
                    heappush(self.book.failures, (day, plant.system["id"] - 1, component))
        day = s.begin
        while day < s.today:
            self._happen(day)
            if day == self.storm:
                self._storm(day)
            if s.calendar.works(day):
                self._work(day)
            day += DAY

    def _wait(self, window: Window | None) -> None:
        """Put an inspection down for the day from which a crew takes it along."""
        if window is None:
            return
        self.n += 1
        heappush(self.windows, (window.first, self.n, window))
        if window.locked_on is not None:
            self.locked.setdefault(window.locked_on, []).append(window)

    def pending(self) -> list[Window]:
        """The inspections that were not done before today."""
        return self.ready + [w for _, _, w in sorted(self.windows, key=lambda x: x[:2])]

    # what happens to people

    def _happen(self, day: date) -> None:
        s, book = self.s, self.book
        while book.failures and book.failures[0][0] <= day:
            _, index, component = heappop(book.failures)
            plant = s.plants[index]
            if plant.left is not None and day >= plant.left:
                continue
            self._fail(plant, component, day)
        while self.calls and self.calls[0][0] <= day:
            _, _, trouble = heappop(self.calls)
            left = trouble.plant.left
            if left is None or day < left:
                self._ring(trouble, day)

    def _fail(self, plant: Plant, component: str, day: date) -> None:
        s = self.s
        causes = [
            c
            for c in truth_table()["lives"][component]["causes"]
            if not plant.never & set(c["proof"])
        ]
        if not causes:
            return
        cause = s.rng.choices(causes, [c["weight"] for c in causes])[0]
        s.truth.failures.append(
            {"unit_id": plant.units[component]["id"], "day": day, "cause": cause["id"]}
        )
        if s.rng.random() < truth_table()["calls"]["found_at_inspection"]:
            self.book.waiting.setdefault(plant.system["id"], {})[component] = cause
            return
        symptoms = {k: v for k, v in cause["symptoms"].items() if _possible(k, plant)}
        symptom = weighted(s.rng, symptoms or {"high-water-alarm": 1})
        self._later(Trouble(plant, symptom, cause, component), day + s.rng.randrange(3) * DAY)

    def _later(self, trouble: Trouble, day: date) -> None:
        self.n += 1
        heappush(self.calls, (day, self.n, trouble))

    def _ring(self, trouble: Trouble, day: date) -> None:
        s = self.s
        minute = round(min(1320, max(380, s.rng.gauss(620, 150))))
        call = take_call(s, trouble, day, minute)
        calm = not trouble.component and not trouble.recurring
        if calm and not trouble.storm and s.rng.random() < truth_table()["calls"]["by_phone"] * 3:
            call |= {"state": "answered", "answered_at": s.calendar.at(day, minute + 12)}
            return
        self.open.append(trouble)

    def _storm(self, day: date) -> None:
        """One night of many calls; most are answered by phone, some roads are driven."""
        s = self.s
        villages = [v.name for v in s.world.villages[1:5]]
        event = s.rows.add(
            "event", what="storm", name="Night storm", localities=villages,
            from_at=s.calendar.at(day, 1080), until_at=s.calendar.at(day + DAY, 720),
        )  # fmt: skip
        here = [
            p
            for p in s.plants
            if p.site["locality"] in villages and p.joined < day and p.left is None and not p.kind
        ]
        calls = s.rng.sample(here, min(len(here), max(6, s.size.sites // 12)))
        cause = {
            "id": "storm-inflow-passed",
            "proof": {"riser-joint-look": "dry"},
            "did": "storm water had passed",
        }
        for plant in calls:
            symptom = s.rng.choice(["high-water-alarm", "high-water-alarm", "dead-panel"])
            trouble = Trouble(plant, symptom, cause, storm=True)
            minute = s.rng.randrange(1085, 1420)
            call = take_call(s, trouble, day, minute)
            call["event_id"] = event["id"]
            if s.rng.random() < 0.7:
                call |= {"state": "answered", "answered_at": s.calendar.at(day + DAY, 600)}
            else:
                self.open.append(trouble)
        s.truth.storm = {"event_id": event["id"], "day": day, "calls": len(calls)}

    # what the crews do

    def _work(self, day: date) -> None:
        s = self.s
        while self.windows and self.windows[0][0] <= day:
            self.ready.append(heappop(self.windows)[2])
        works: dict[int, Work] = {}

        def at(plant: Plant) -> Work:
            return works.setdefault(plant.site["id"], Work(plant))

        for trouble in [t for t in self.open if t.due <= day]:
            at(trouble.plant).troubles.append(trouble)
        for debt in [d for d in self.book.debts if d.settle_on <= day]:
            at(debt.plant).debts.append(debt)
        crews = [t for t in s.techs if t.works(day)]
        if not crews:
            return
        rounds_week = ((s.today - day).days - 1) % 21 >= 21 - 7 * s.size.round_weeks
        room = len(crews) * FULL - len(works)
        for window in self._wanted(day, room, urgent_only=not rounds_week):
            at(window.plants[0]).window = window
        if works:
            self._send(day, crews, list(works.values()))

    def _wanted(self, day: date, room: int, *, urgent_only: bool) -> list[Window]:
        self.ready = [w for w in self.ready if _still(w, day)]
        if urgent_only:
            found = [w for w in self.ready if w.again or w.limit <= day + 4 * DAY]
        else:
            found = list(self.ready)
        found = [w for w in found if _may_visit(w.plants[0], day)]
        # a locked gate that the scenario asks for comes first, then what closes first
        found += [w for w in self.locked.get(day, ()) if w not in found]
        found.sort(key=lambda w: (w.locked_on != day, w.limit, w.plants[0].site["id"]))
        return found[: max(0, room)]

    def _send(self, day: date, crews: list[Tech], works: list[Work]) -> None:
        n = min(len(crews), max(1, math.ceil(len(works) / FULL)))
        turn = day.toordinal() % len(crews)
        chosen = [crews[(turn + i) % len(crews)] for i in range(n)]
        works.sort(key=lambda w: math.atan2(w.plant.at[1], w.plant.at[0]))
        for i, tech in enumerate(chosen):
            part = works[len(works) * i // n : len(works) * (i + 1) // n]
            if part:
                self._round(day, tech, part)

    def _round(self, day: date, tech: Tech, works: list[Work]) -> None:
        s = self.s
        here: Point = (0.05, 0.1)
        minute = float(tech.row["day_from_min"]) + s.rng.randrange(0, 12)
        round_row = s.rows.add(
            "round", day=day, lead_id=tech.row["id"], truck_id=tech.row["truck_id"], state="done",
            handed_out_at=s.calendar.at(s.calendar.working_before(day), 975),
            leave_min=int(minute), planner="",
        )  # fmt: skip
        left, place, road = list(works), 0, 0
        weather = s.rng.choice(WEATHER)
        while left:
            work = min(
                left, key=lambda w: distance_km(here, w.plant.at) * (0.5 if w.troubles else 1)
            )
            left.remove(work)
            drive = max(2, round(distance_km(here, work.plant.at) * MIN_PER_KM))
            service = self._minutes(work)
            if place and minute + drive + service > 1065:
                continue  # no time left: it waits for another day
            place += 1
            road += drive
            here = work.plant.at
            stop = self._visit(day, tech, round_row, work, place, minute + drive, drive, weather)
            minute = self._do(work, stop, service)
        home = max(2, round(distance_km(here, (0.05, 0.1)) * MIN_PER_KM))
        round_row |= {"road_min": road + home, "home_min": int(minute + home)}

    def _minutes(self, work: Work) -> int:
        base = 0.0
        if work.window:
            base += sum(p.minutes for p in work.window.plants)
        base += 50 * len(work.troubles) + 35 * len(work.debts)
        return round(base * math.exp(self.s.rng.gauss(0, 0.18)))

    def _visit(
        self, day: date, tech: Tech, round_row: Row, work: Work, place: int, minute: float,
        drive: int, weather: str,
    ) -> Stop:  # fmt: skip
        s = self.s
        planned = round(minute + s.rng.gauss(0, 6))
        visit = s.rows.add(
            "visit", site_id=work.plant.site["id"], planned_on=day, state="done",
            round_id=round_row["id"], place=place, arrive_min=planned, begin_min=planned,
            leave_min=planned + 45, drive_min=drive, told=bool(work.troubles),
            technician_id=tech.row["id"], arrived_at=s.calendar.at(day, round(minute)),
            travel_min=drive, weather=weather,
        )  # fmt: skip
        return Stop(visit, day, round(minute), tech)

    def _do(self, work: Work, stop: Stop, service: int) -> float:
        """The jobs of a visit; the answer is the minute at which they drive on."""
        s = self.s
        window = work.window
        seeded = window is not None and window.locked_on == stop.day
        alone = window is not None and not work.troubles and not work.debts
        if window and (
            seeded or (alone and s.rng.random() < truth_table()["inspections"]["no_access"])
        ):
            self._attempt(window, stop)
            service = 8
        else:
            self._jobs(work, stop)
        stop.visit["left_at"] = s.calendar.at(stop.day, stop.minute + service)
        jobs = _last_jobs(s, stop.visit["id"])
        for job in jobs:
            job["minutes"] = job["minutes"] or max(5, service // len(jobs))
        return stop.minute + service

    def _attempt(self, window: Window, stop: Stop) -> None:
        s = self.s
        job = None
        for plant in window.plants:
            job = find_locked(s, window, plant, stop)
        window.again = True
        if window.locked_on == stop.day and job is not None:
            s.truth.locked_gate_job_ids.append(job["id"])
            return  # stays open until today
        soon = stop.day + s.rng.randrange(4, 13) * DAY
        window.first = min(soon, max(stop.day + 2 * DAY, window.limit - DAY))
        if window in self.ready:
            self.ready.remove(window)
        self._wait(window)

    def _jobs(self, work: Work, stop: Stop) -> None:
        s, book = self.s, self.book
        for trouble in work.troubles:
            self.open.remove(trouble)
            again = answer(s, book, trouble, stop)
            stop.visit["as_left"] = "alarm armed and quiet, lids on, every screw in"
            if trouble.call is not None:
                trouble.call |= {
                    "state": "answered", "answered_at": s.calendar.at(stop.day, stop.minute + 40)
                }  # fmt: skip
            if again is not None and again.tries < 4:
                soon = s.rng.random() < 0.5
                gap = s.rng.randrange(3, 14) if soon else s.rng.randrange(15, 70)
                self._later(again, stop.day + gap * DAY)
        for debt in work.debts:
            book.debts.remove(debt)
            job = s.rows.add(
                "job", visit_id=stop.visit["id"], kind_of="owed",
                system_id=debt.plant.system["id"], outcome="done", billing="contract",
            )  # fmt: skip
            settle(s, book, debt, stop, job)
        if work.window:
            self._inspections(work.window, stop)

    def _inspections(self, window: Window, stop: Stop) -> None:
        for plant in window.plants:
            inspect(self.s, self.book, window, plant, stop)
        if window in self.ready:
            self.ready.remove(window)
        if window.chain is not None:
            self._wait(window.chain.next(self.s, stop.day))


def _possible(symptom: str, plant: Plant) -> bool:
    needs = {"weak-spray": "spray", "no-spray": "spray", "sprays-wrong-time": "spray",
             "drip-pressure-off": "drip", "uv-fault": "uv"}.get(symptom)  # fmt: skip
    return needs is None or needs in plant.flags


def _still(window: Window, day: date) -> bool:
    left = window.plants[0].left
    ended = window.contract["ended_on"]
    return (left is None or day < left) and (ended is None or day < ended)


def _may_visit(plant: Plant, day: date) -> bool:
    if plant.closed_in_winter and (day.month <= 2 or (day.month == 12 and day.day >= 15)):
        return False
    days = plant.site["visiting_days"]
    return days is None or day.weekday() in days


def _last_jobs(s: Setting, visit_id: int) -> list[Row]:
    found = []
    for job in reversed(s.rows.tables["job"]):
        if job["visit_id"] != visit_id:
            break
        found.append(job)
    return found
