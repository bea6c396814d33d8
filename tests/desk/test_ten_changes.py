"""Ten changes of one day, of every kind, taken back and done again after a restart.

"As before": every column but `revision` of every table but the log and the ledger is equal, and
every stock balance (`tests.records.snapshot`).
"""

import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from servicedesk.desk import alerts, contracts, owed, parts, planning, site_entry, told, writeup
from servicedesk.desk.changes import all_changes, redo, undo
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.desk.office import Desk, desk_at
from servicedesk.desk.writeup_form import visit_form
from servicedesk.desk.writeup_notes import JobNotes, OwedNote, PartNote, UnitNote, VisitNotes
from servicedesk.records.alerts import Alert
from servicedesk.records.contracts import Contract
from servicedesk.records.parts import Part
from servicedesk.records.sites import Site, System
from servicedesk.records.store import open_store
from tests.records.snapshot import snapshot

SAMPLE = Path(__file__).resolve().parents[2] / "sample_db" / "small-60.store"
DAY = date(2026, 10, 14)
LATER = DAY + timedelta(days=7)


def at(place: Path) -> Desk:
    """Ines at the store, opened anew."""
    return replace(desk_at(open_store(place), today=DAY), who="Ines")


@pytest.fixture
def place(tmp_path):
    """The small sample with its rounds of the day and its alerts, as on any morning."""
    copy = Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))
    desk = replace(at(copy), who="the morning")
    alerts.look_for_alerts(desk)
    planning.plan_rounds(desk, DAY)
    desk.store.close()
    return copy


def first(desk, model, *which):
    with desk.store.read() as session:
        return session.query(model).filter(*which).order_by(model.id).first()


def a_stop(desk, n):
    """The n-th stop of the longest round of the day, with its case."""
    case = planning.day_case(desk, DAY)
    crew = max(case.stand.orders, key=lambda one: len(case.stand.orders[one]))
    return case, crew, case.stand.orders[crew][n]


def written_up(desk):
    """The first stop: a part in place of a unit, something patched, something owed."""
    case, _crew, stop_id = a_stop(desk, 0)
    form = visit_form(desk, case.wanted[stop_id].visit.id)
    part = first(desk, Part, Part.part_kind == "effluent-pump")
    jobs = [
        JobNotes(
            job_id=job.id,
            did="new pump",
            fix="patched",
            cause_id="heavy-use-day" if job.id in form.troubles else None,
            cause_known_by="presumed" if job.id in form.troubles else "",
        )
        for job in form.jobs
    ]
    unit = UnitNote(component="effluent-pump", why="failed: seized", serial="B2")
    return writeup.write_up(
        desk,
        VisitNotes(
            visit_id=form.written.visit.id,
            seen=form.written.visit.revision,
            arrived_min=545,
            left_min=600,
            jobs=tuple(jobs),
            parts=(PartNote(text="", part_id=part.id, unit=unit),),
            approval_owed=True,
            owed=(OwedNote(what="riser lid is cracked", workaround="boards", by_on=LATER),),
        ),
    )


def moved(desk):
    case, crew, stop_id = a_stop(desk, -1)
    return planning.move_stop(desk, case, stop_id, to_crew=crew, position=1)


def held(desk):
    case, _crew, stop_id = a_stop(desk, -1)
    return planning.hold(desk, case.wanted[stop_id].visit, address="the last", at_min=15 * 60)


def signed(desk):
    """A draft of the year after the last contract of a site, then its signing."""
    last = first(desk, Contract, Contract.until_on > DAY)
    system = first(desk, System)
    new = contracts.new_contract(
        desk,
        contracts.NewContract(
            site_id=system.site_id,
            from_on=max(last.until_on, DAY) + timedelta(days=800),
            price_minor=29_000,
            signed=False,
        ),
    )
    return new, contracts.sign_contract(desk, next(iter(new.rows["contract"])))


def a_day_of_work(desk):
    """What was written, in its order: eleven changes."""
    site = first(desk, Site)
    alert = first(desk, Alert)
    part = first(desk, Part)
    draft = CallDraft(site_id=site.id, symptoms=("high-water-alarm",), own_words="it beeps")
    call = write_call(desk, draft)
    about = told.About(call_id=next(iter(call.rows["call"])))
    promise = told.tell(desk, about, whom="Lyle", what="we come in a week", promised_on=LATER)
    done = [call, promise, moved(desk), held(desk), written_up(desk)]
    done.append(owed.add_owed(desk, owed.NewOwed(site_id=site.id, what="bury the cable")))
    new, sign = signed(desk)
    done += [new, sign]
    seen = first(desk, Site).revision
    done.append(site_entry.edit_site(desk, site.id, {"access_note": "by the creek"}, seen=seen))
    done.append(alerts.settle(desk, alert.id, "the splice was made anew", "right"))
    done.append(parts.price_part(desk, part.id, from_on=DAY, cost_minor=9_900, price_minor=15_000))
    return done


def test_a_day_of_mixed_changes_is_taken_back_and_done_again_after_a_restart(place):
    desk = at(place)
    before = snapshot(desk.store)
    done = a_day_of_work(desk)
    after = snapshot(desk.store)
    touched = {name for changed in done for name in changed.rows}
    assert len({changed.change_id for changed in done}) == len(done) == 11
    assert {"call", "visit", "round", "job", "part_line", "unit", "owed", "contract",
            "site", "alert", "part_price", "told", "stock_move"} <= touched  # fmt: skip
    assert before["balances"] != after["balances"]
    desk.store.close()

    desk = at(place)
    for _one in done:
        undo(desk)
    assert snapshot(desk.store) == before
    desk.store.close()

    desk = at(place)
    for _one in done:
        redo(desk)
    assert snapshot(desk.store) == after
    assert len(all_changes(desk, limit=99)) == 3 * len(done) + 3  # the load and the morning's two
    desk.store.close()
