"""How long the desk takes to rank all places for one more stop, store and roads included.

    python -m tests.bench.squeeze_desk [--crews 8] [--stops 14] [--times 20]

An invented company in a store on disk; before each run a call is written, as it is when somebody
asks for room, so that nothing kept for the state before can help. Prints median and worst in
elapsed time and in time of this process (others may load the machine). Targets: 50 ms for the
first day alone, 150 ms for 8 crews on 5 days.
"""

import argparse
import random
import statistics
import tempfile
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from servicedesk.desk.office import Desk, desk_at
from servicedesk.desk.squeeze import squeeze
from servicedesk.records.company import Technician
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site
from servicedesk.records.store import create_store
from servicedesk.records.visits import Job, Visit
from servicedesk.values.clock import Clock
from tests.builders import TIME_ZONE, TODAY, a_call, a_company

NOW = datetime(2026, 10, 14, 12, 0, tzinfo=UTC)  # 8 am at the office


def company_of(store_path: Path, n_crews: int, n_stops: int, n_days: int) -> tuple[Desk, list[int]]:
    """A store with full rounds on the next working days; the desk and the keys of its sites."""
    store = create_store(store_path)
    a_company(store)
    desk = replace(desk_at(store), clock=Clock(ZoneInfo(TIME_ZONE), now_utc=lambda: NOW))
    chance = random.Random("squeeze desk")
    days: list = []
    day = TODAY
    while len(days) < n_days:
        if desk.works_on(day):
            days.append(day)
        day += timedelta(days=1)
    sites = []
    with store.change("Ines", "Invented rounds") as work:
        people = [
            work.add(Technician(name=f"Invented {k}", short_name=f"I{k}", day_until_min=18 * 60))
            for k in range(n_crews)
        ]
        for day in days:
            for who in people:
                round_ = work.add(Round(day=day, lead_id=who.id))
                lat, lon = 30 + chance.uniform(-0.3, 0.3), -94 + chance.uniform(-0.4, 0.4)
                for n in range(n_stops):
                    number = len(sites) + 1
                    site = work.add(
                        Site(
                            number=number, address=f"{number} Bench Road", locality="Pinder",
                            lat_deg=lat + chance.uniform(-0.05, 0.05),
                            lon_deg=lon + chance.uniform(-0.05, 0.05),
                        )
                    )  # fmt: skip
                    sites.append(site.id)
                    visit = work.add(
                        Visit(site_id=site.id, planned_on=day, round_id=round_.id, place=n + 1,
                              service_min=20, told=chance.random() < 0.3)
                    )  # fmt: skip
                    work.add(
                        Job(visit_id=visit.id, kind_of="inspection",
                            window_until=day + timedelta(days=chance.randrange(30)))
                    )  # fmt: skip
    return desk, sites


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--crews", type=int, default=8)
    parser.add_argument("--stops", type=int, default=14)
    parser.add_argument("--times", type=int, default=20)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        desk, sites = company_of(Path(folder) / "bench.store", asked.crews, asked.stops, 5)
        chance = random.Random(2)
        squeeze(desk, sites[0])  # what is loaded the first time
        for name, n_days in (("first day", 1), ("5 days", 5)):
            elapsed, own = [], []
            for _ in range(asked.times):
                site_id = chance.choice(sites)
                with desk.store.read() as session:
                    site = session.get(Site, site_id)
                call = a_call(desk, site)
                began, used = time.perf_counter(), time.process_time()
                page = squeeze(desk, site_id, days=n_days, call_id=call.id)
                elapsed.append((time.perf_counter() - began) * 1000)
                own.append((time.process_time() - used) * 1000)
            print(
                f"{name}: {page.n_rounds} rounds, {len(page.ways)} ways;"
                f" median {statistics.median(elapsed):.0f} ms, worst {max(elapsed):.0f} ms"
                f" (of this process: {statistics.median(own):.0f}, {max(own):.0f})",
                flush=True,
            )


if __name__ == "__main__":
    main()
