"""Bytes of change log a year: a year of write-ups through the store, measured in a real file.

    python -m tests.bench.log_size            # 450 and 3,000 sites
    python -m tests.bench.log_size 450 --share 1

Every site has three inspections a year, and callbacks at 0.6 a site and year (an assumption for
the measurement, not a figure of the trade). A write-up is one change: visit, job, 20 items, five
readings, who was told, the report sent. Planning, handing out and a moved stop are changes too.
For speed only a share of the sites is played; what they wrote is scaled up.
"""

import argparse
import random
import sqlite3
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from servicedesk.records.calls import Call
from servicedesk.records.owed import Owed
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site
from servicedesk.records.store import Store, create_store
from servicedesk.records.told import Told
from servicedesk.records.visits import ItemResult, Job, ReadingRow, Visit
from tests.records.rows import a_round, many_sites

CALLBACKS = 0.6
STOPS_A_DAY = 9
LOG = ("change", "change_item", "change_secret")
AT = datetime(2026, 3, 3, 15, 20, tzinfo=UTC)
NOTES = (
    "Running as designed. Spray heads clear, alarm tested.",
    "Float in the pump tank hung on the riser; freed and tied back. Ran through two cycles.",
    "Chlorine feeder empty; owner will buy tablets this week. Told them at the door.",
)


def write_up(store: Store, visit_id: int, site_id: int, chance: random.Random, kind: str) -> None:
    """One write-up as the form writes it: a single change."""
    with store.change("Ines", f"Wrote up the visit to site {site_id}") as work:
        visit = work.get(Visit, visit_id)
        visit.state, visit.arrived_at, visit.left_at = "done", AT, AT + timedelta(minutes=34)
        visit.travel_min, visit.as_left, visit.note = 17, "running", chance.choice(NOTES)
        visit.leaving = {"lids": True, "gate": True, "alarm": True}
        job = work.session.query(Job).filter_by(visit_id=visit_id).one()
        job.outcome, job.minutes, job.billing = "done", 34, "contract"
        job.found, job.did = chance.choice(NOTES), chance.choice(NOTES)
        if kind == "inspection":
            work.add_all(
                [
                    ItemResult(job_id=job.id, item_id=f"item-name-{n:02}", grade="good")
                    for n in range(20)
                ]
            )
            work.add_all(
                [
                    ReadingRow(
                        job_id=job.id,
                        item_id=f"reading-{n}",
                        value="0.45",
                        unit="mg/L",
                        limit_low="0.1",
                        rule_id="state-rule",
                        rule_version="2024",
                    )
                    for n in range(5)
                ]
            )
        work.add(
            Told(
                told_at=AT,
                whom="Given17 Family17",
                by_whom="Lena",
                how="at the door",
                what=chance.choice(NOTES),
                site_id=site_id,
                visit_id=visit_id,
            )
        )
    with store.change("Ines", f"Sent the report of the visit to site {site_id}") as work:
        work.add(
            PaperSent(
                number=work.next_number("report"),
                kind_of="inspection report",
                sha256=f"{visit_id:064x}",
                visit_id=visit_id,
                job_id=job.id,
                to_whom="Given17 Family17",
                how="email",
                sent_at=AT,
                signed_by="Lena",
                licenses=[{"class": "maintenance", "number": "MP-1183", "until": "2027-05-01"}],
            )
        )


def a_visit(store: Store, site_id: int, kind: str, chance: random.Random) -> int:
    """A call if it is a callback, and the planned stop with its job."""
    with store.change("Ines", f"Planned a visit to site {site_id}") as work:
        call = None
        if kind == "callback":
            call = work.add(
                Call(
                    called_at=AT,
                    site_id=site_id,
                    caller="Given17 Family17",
                    caller_phone="409-555-0117",
                    symptoms=["alarm-on"],
                    own_words=chance.choice(NOTES),
                    answers={"breaker": "on", "light": "red"},
                    promised_by_at=AT,
                    taken_by="Ines",
                )
            )
        visit = work.add(Visit(site_id=site_id, planned_on=date(2026, 3, 3)))
        work.add(Job(visit_id=visit.id, kind_of=kind, call_id=call and call.id, ordinal=1))
        if kind == "callback" and chance.random() < 0.3:
            work.add(Owed(site_id=site_id, since_on=date(2026, 3, 3), what="replace the float"))
    return visit.id


def a_day(store: Store, stops: list[tuple[int, str]], chance: random.Random) -> None:
    """One crew's day: planned, moved about, handed out, written up."""
    visits = [(a_visit(store, site, kind, chance), site, kind) for site, kind in stops]
    round_id = a_round(store, *(visit for visit, _, _ in visits))
    with store.change("Ines", "Planned the day") as work:
        for n, (visit_id, _, _) in enumerate(visits):
            visit = work.get(Visit, visit_id)
            visit.arrive_min, visit.begin_min, visit.leave_min = (
                480 + 45 * n,
                482 + 45 * n,
                510 + 45 * n,
            )
            visit.drive_min = 14
    with store.change("Ines", "Moved a stop by hand") as work:
        visit = work.get(Visit, visits[0][0])
        visit.place, visit.held = 4, True
    with store.change("Ines", "Handed out the round") as work:
        round_ = work.get(Round, round_id)
        round_.state, round_.handed_out_at = "handed out", AT
    for visit_id, site, kind in visits:
        write_up(store, visit_id, site, chance, kind)


def bytes_of(place: Path, names: tuple[str, ...] | None = None) -> int:
    """Bytes in the file's pages of some tables and their indexes (all, if none is named)."""
    connection = sqlite3.connect(place)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    try:
        pages = connection.execute(
            "SELECT m.tbl_name, SUM(s.pgsize) FROM dbstat s JOIN sqlite_schema m ON m.name = s.name"
            " GROUP BY m.tbl_name"
        ).fetchall()
    except sqlite3.OperationalError:  # built without dbstat: the difference after emptying the log
        pages = [("change", _freed_without_log(place)), ("rest", place.stat().st_size)]
    finally:
        connection.close()
    return sum(size for name, size in pages if names is None or name in names)


def _freed_without_log(place: Path) -> int:
    copy = place.with_suffix(".copy")
    connection = sqlite3.connect(place)
    connection.execute("VACUUM INTO ?", (str(copy),))
    connection.close()
    whole = copy.stat().st_size
    connection = sqlite3.connect(copy)
    for table in LOG:
        connection.execute(f'DELETE FROM "{table}"')
    connection.commit()
    connection.execute("VACUUM")
    connection.close()
    freed = whole - copy.stat().st_size
    copy.unlink()
    return freed


def a_year(sites: int, share: float) -> tuple[float, float, float, int]:
    """(log bytes a year, record bytes a year, seconds, changes a year) for so many sites."""
    played = max(STOPS_A_DAY, round(sites * share))
    chance = random.Random(1)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "year.store")
        store = create_store(place)
        with store.change("Ines", "Brought in the sites") as work:
            many_sites(work, played)
            ids = [site_id for (site_id,) in work.session.query(Site.id)]
        first_log, first_all = bytes_of(place, LOG), bytes_of(place)
        stops = [(site, "inspection") for site in ids for _ in range(3)]
        stops += [(chance.choice(ids), "callback") for _ in range(round(CALLBACKS * played))]
        chance.shuffle(stops)
        began = time.perf_counter()
        for start in range(0, len(stops), STOPS_A_DAY):
            a_day(store, stops[start : start + STOPS_A_DAY], chance)
        seconds = time.perf_counter() - began
        log = bytes_of(place, LOG) - first_log
        records = bytes_of(place) - first_all - log
        with store.read() as session:
            from servicedesk.records.undo import n_changes

            changes = n_changes(session)
        store.close()
    scale = sites / played
    return log * scale, records * scale, seconds, round(changes * scale)


def main() -> None:
    """Print bytes a year for each number of sites asked for."""
    parser = argparse.ArgumentParser(description="Bytes of change log a year.")
    parser.add_argument("sites", nargs="*", type=int, default=[450, 3000])
    parser.add_argument("--share", type=float, default=0.05, help="share of the sites played")
    asked = parser.parse_args()
    for sites in asked.sites:
        log, records, seconds, changes = a_year(sites, asked.share)
        print(
            f"{sites:>6} sites: log {log:,.0f} bytes a year ({log / 1e6:.1f} MB, "
            f"{log / sites:,.0f} a site) in {changes:,} changes; records {records / 1e6:.1f} MB; "
            f"played {asked.share:.0%} in {seconds:.1f} s"
        )


if __name__ == "__main__":
    main()
