"""Parts used at a visit: lines, the ledger, who bears them, the limit, corrections, undo."""

from collections import Counter
from dataclasses import replace

import pytest

from servicedesk.desk import ledger, parts
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_drafts import entry_as_draft, entry_of_draft
from servicedesk.desk.writeup_entry import first_entry, notes_of
from servicedesk.desk.writeup_notes import JobNotes, PartNote
from servicedesk.desk.writeup_part_entry import PartEntry
from servicedesk.desk.writeup_parts_find import exact, matches, offered, only_match
from servicedesk.records.errors import StaleEdit
from servicedesk.records.owed import Owed
from servicedesk.records.parts import StockMove
from servicedesk.records.stock_rows import moves
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, PartLine
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_call
from tests.desk import stocked as shared
from tests.desk.stocked import YESTERDAY, Stocked
from tests.desk.written_visits import job_of, notes_for, rows
from tests.records.snapshot import snapshot

template, stocked = shared.template, shared.stocked


def test_a_part_of_the_catalogue_leaves_the_truck_of_the_round(desk):
    here = Stocked(desk)
    here.write(PartNote(text="", part_id=here.kit, quantity=4), PartNote(text="wire nuts"))

    first, second = here.lines
    assert (first.text, first.quantity, first.part_id) == ("Splice kit, sealed", 4, here.kit)
    assert first.job_id == second.job_id == job_of(desk, here.visit)
    assert (second.text, second.part_id) == ("wire nuts", None)
    assert first.price_minor is None  # the catalogue's of that day
    (move,) = rows(desk, StockMove, why="used")
    assert (move.from_place_id, move.quantity, move.visit_id) == (here.truck, 4, here.visit.id)
    assert move.unit_cost_minor == 1_200
    assert here.lies(here.kit) == 6
    assert here.lies(here.kit, here.shelf) == 20


def test_it_may_come_from_the_shelf_and_be_more_than_the_book_has(file_desk):
    stocked = Stocked(file_desk, limit=None)
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=30, place_id=stocked.shelf))
    assert stocked.lies(stocked.kit, stocked.shelf) == -10
    assert stocked.lies(stocked.kit) == 10


@pytest.mark.parametrize(
    ("values", "part", "billing"),
    [
        ({}, "kit", "contract"),
        ({"contract": False}, "kit", "billable"),
        ({"kind_of": "repair"}, "kit", "billable"),
        ({"kind_of": "callback"}, "kit", "contract"),
        ({"billing": "billable"}, "kit", "billable"),  # as the job is billed
    ],
)
def test_who_bears_it_is_worked_out(file_desk, values, part, billing):
    here = Stocked(file_desk, **values)
    here.write(PartNote(text="", part_id=getattr(here, part)))
    assert here.lines[0].billing == billing


def test_what_a_person_set_stays(stocked):
    stocked.write(PartNote(text="", part_id=stocked.kit, billing="billable", price_minor=2_500))
    assert [(o.billing, o.price_minor) for o in stocked.lines] == [("billable", 2_500)]
    form = stocked.form
    entry = first_entry(stocked.desk, form)
    assert [(o.billing, o.price, o.place_id) for o in entry.parts] == [
        ("billable", "25.00", stocked.truck)
    ]
    before = snapshot(stocked.desk.store)
    write_up(stocked.desk, notes_of(stocked.desk, form, entry))  # opened and finished again
    assert snapshot(stocked.desk.store) == before


def test_the_price_is_that_of_the_day_of_the_visit(stocked):
    parts.price_part(
        stocked.desk, stocked.kit, from_on=YESTERDAY, cost_minor=1_300, price_minor=15_001
    )
    with pytest.raises(WrongEntry, match=r"Parts come to \$150.01; contract 1 allows"):
        stocked.write(PartNote(text="", part_id=stocked.kit))
    parts.price_part(stocked.desk, stocked.kit, from_on=TODAY, cost_minor=1_300, price_minor=100)
    stocked.write(PartNote(text="", part_id=stocked.kit))
    assert stocked.lines[0].billing == "contract"


@pytest.mark.parametrize("lines", [["pump"], ["tablets"] * 4])
def test_over_the_limit_somebody_must_have_agreed_or_owes_it(stocked, lines):
    desk = stocked.desk
    notes = [PartNote(text="", part_id=getattr(stocked, one)) for one in lines]
    before = snapshot(desk.store)
    with pytest.raises(WrongEntry) as told:
        stocked.write(*notes)
    assert [one.field for one in told.value.wrong] == ["approval"]
    assert snapshot(desk.store) == before

    stocked.write(*notes, approval_owed=True)
    (owed,) = rows(desk, Owed)
    total = 52_000 if lines == ["pump"] else 16_000
    assert (owed.state, owed.debtor, owed.waits_for, owed.estimate_minor, owed.visit_id) == (
        "open", "owner", "approval", total, stocked.visit.id,
    )  # fmt: skip
    assert stocked.form.begun == ()  # it follows from the parts, nobody writes it by hand

    entry = first_entry(desk, stocked.form)
    assert (entry.approved_by, entry.approval_owed) == ("", True)
    entry = replace(entry, approved_by="Ruth Quillan", approval_owed=False)
    write_up(desk, notes_of(desk, stocked.form, entry))
    (owed,) = rows(desk, Owed)
    assert (owed.state, owed.answer, owed.answered_by) == ("settled", "approved", "Ruth Quillan")

    entry = first_entry(desk, stocked.form)  # agreed is agreed, up to that sum
    assert (entry.approved_by, stocked.form.parts.approval.by) == ("", "Ruth Quillan")
    write_up(desk, notes_of(desk, stocked.form, replace(entry, note="later")))
    assert rows(desk, Owed)[0].answered_by == "Ruth Quillan"
    more = (*entry.parts, PartEntry("Tablets, tub 25 lb"))
    with pytest.raises(WrongEntry, match="without asking"):
        notes_of(desk, stocked.form, replace(entry, parts=more))

    entry = first_entry(desk, stocked.form)
    write_up(desk, notes_of(desk, stocked.form, replace(entry, parts=())))
    assert rows(desk, Owed) == []


def test_up_to_the_limit_and_under_warranty_nobody_is_asked(file_desk):
    here = Stocked(file_desk, limit=12_000)
    tubs = PartNote(text="", part_id=here.tablets, quantity=3)
    here.write(tubs, PartNote(text="", part_id=here.pump, billing="warranty"))
    assert rows(file_desk, Owed) == []


def test_a_correction_moves_back_and_anew_and_edits_nothing(stocked):
    desk = stocked.desk
    stocked.write(
        PartNote(text="", part_id=stocked.kit, quantity=4),
        PartNote(text="", part_id=stocked.tablets),
    )
    form = stocked.form
    kit, _ = first_entry(desk, form).parts
    stood = rows(desk, StockMove)
    entry = replace(first_entry(desk, form), parts=(replace(kit, quantity="2"),))
    write_up(desk, notes_of(desk, form, entry))

    after = rows(desk, StockMove)
    assert [vars_of(m) for m in after[: len(stood)]] == [vars_of(m) for m in stood]
    assert [(m.why, m.part_id, m.quantity, m.reverses_id) for m in after[len(stood) :]] == [
        ("undone", stocked.tablets, 1, stood[-1].id),
        ("undone", stocked.kit, 4, stood[-2].id),
        ("used", stocked.kit, 2, None),
    ]
    assert (stocked.lies(stocked.kit), stocked.lies(stocked.tablets)) == (8, 10)
    undo(desk)
    assert (stocked.lies(stocked.kit), stocked.lies(stocked.tablets)) == (6, 9)
    assert [(o.part_id, o.quantity) for o in stocked.lines] == [
        (stocked.kit, 4),
        (stocked.tablets, 1),
    ]


def vars_of(record):
    return {c.key: getattr(record, c.key) for c in record.__table__.columns}


def test_what_stays_as_it_was_moves_nothing(stocked):
    desk = stocked.desk
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=4))
    n = len(rows(desk, StockMove))
    entry = replace(first_entry(desk, stocked.form), note="the gate sticks")
    write_up(desk, notes_of(desk, stocked.form, entry))
    assert len(rows(desk, StockMove)) == n


def test_another_part_or_place_is_another_move(stocked):
    desk = stocked.desk
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=4))
    (line,) = first_entry(desk, stocked.form).parts
    other = replace(line, text="", part_id=stocked.tablets, place_id=stocked.shelf)
    entry = replace(first_entry(desk, stocked.form), parts=(other,), approval_owed=True)
    write_up(desk, notes_of(desk, stocked.form, entry))
    assert stocked.lines[0].id == line.line_id
    assert (stocked.lies(stocked.kit), stocked.lies(stocked.tablets, stocked.shelf)) == (10, 16)


def test_a_count_since_stands_and_the_correction_changes_it_not(stocked):
    """The count said what lies there; what was used before it was already gone."""
    desk = stocked.desk
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=4))
    ledger.count(desk, stocked.kit, stocked.truck, 7)
    (line,) = first_entry(desk, stocked.form).parts
    for quantity in ("1", "9"):
        entry = first_entry(desk, stocked.form)
        entry = replace(entry, parts=(replace(line, quantity=quantity),), approval_owed=True)
        write_up(desk, notes_of(desk, stocked.form, entry))
        assert stocked.lies(stocked.kit) == 7
    undo(desk)
    assert stocked.lies(stocked.kit) == 7
    assert [o.quantity for o in stocked.lines] == [1]
    write_up(desk, notes_for(desk, stocked.visit))
    assert stocked.lies(stocked.kit) == 7
    used = Counter()
    with desk.store.read() as session:
        for move in moves(session, whys=["used"]):
            used[move.part_id] += move.quantity
    assert not used


def test_undo_of_the_first_write_up_across_a_count_is_refused(stocked):
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=4))
    change = stocked.write(PartNote(text="", part_id=stocked.kit, quantity=3))
    ledger.count(stocked.desk, stocked.kit, stocked.truck, 7)
    with pytest.raises(Trouble, match="counted since"):
        undo_change(stocked.desk.store, change.change_id, who="Ines")


def test_a_line_used_before_the_ledger_was_kept_moves_nothing_when_it_stays(stocked):
    desk = stocked.desk
    with desk.store.change(desk.who, "An old line") as work:
        work.add(PartLine(visit_id=stocked.visit.id, part_id=stocked.kit, text="Splice kit",
                          quantity=2, billing="contract"))  # fmt: skip
    n = len(rows(desk, StockMove))
    form = stocked.form
    notes = notes_of(desk, form, replace(first_entry(desk, form), arrived="9:05", left="9:50",
                     jobs=(replace(first_entry(desk, form).jobs[0], outcome="done"),)))  # fmt: skip
    write_up(desk, notes)
    assert len(rows(desk, StockMove)) == n


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("4006381333931", ["W-012"]),  # scanned; EAN-13 example of GS1's check digit calculator
        ("w-0", ["W-012"]),
        ("w012", ["W-012"]),
        ("spl", ["W-012"]),
        ("kit sea", ["W-012"]),
        ("sealed", ["W-012"]),
        ("p", ["P-050"]),
        ("tub 25", ["C-025"]),
        ("", []),
        ("nozzle", []),
    ],
)
def test_a_few_letters_or_a_scan_find_the_part(stocked, typed, found):
    assert [part.number for part in matches(stocked.form.parts, typed)] == found


def test_a_part_that_has_ended_is_not_offered_and_an_exact_name_is_meant(stocked):
    parts.write_part(stocked.desk, {"ended_on": TODAY}, part_id=stocked.pump)
    here = stocked.form.parts
    assert matches(here, "pump") == ()
    assert exact(here, "splice KIT, sealed").id == stocked.kit
    assert exact(here, "splice") is None
    assert only_match(here, "splice").id == stocked.kit
    assert only_match(here, "pump") is None


def test_the_parts_of_the_cause_come_first_then_what_inspections_here_took(file_desk):
    here = Stocked(file_desk)
    here.write(PartNote(text="", part_id=here.tablets))
    with file_desk.store.change("Ines", "One more") as work:
        work.session.get(type(here.visit), here.visit.id).planned_on = YESTERDAY
    facts = here.form.parts
    assert [p.id for p in offered(facts, [None], [])] == [here.tablets]
    of_cause = offered(facts, ["no-such-cause", None], [])
    known = facts.known.causes
    takers = [c for c in known.values() if "effluent-pump" in c.parts]
    first = offered(facts, [takers[0].id], [])
    assert [p.id for p in first if p.id == here.pump] == [here.pump]
    assert first[-1].id == here.tablets
    assert offered(facts, [takers[0].id], [here.pump, here.tablets, here.kit]) == ()
    assert of_cause[-1].id == here.tablets


def test_a_draft_keeps_every_word_of_a_part(stocked):
    form = stocked.form
    typed = PartEntry("Pump", "2", part_id=stocked.pump, billing="warranty", price="3")
    entry = replace(first_entry(stocked.desk, form), parts=(typed,), approved_by="Ruth")
    assert entry_of_draft(entry_as_draft(stocked.desk, form, entry), form) == entry


def test_a_part_belongs_to_the_job_whose_cause_takes_it(stocked):
    desk = stocked.desk
    call = a_call(desk, stocked.site)
    with desk.store.change(desk.who, "One more job") as work:
        first = work.session.query(Job).filter_by(visit_id=stocked.visit.id).one()
        work.add(Job(visit_id=stocked.visit.id, kind_of="callback", call_id=call.id,
                     system_id=first.system_id))  # fmt: skip
    inspection, callback = job_of(desk, stocked.visit), job_of(desk, stocked.visit, 1)
    cause = next(
        c for c in stocked.form.parts.known.causes.values() if "sealed-splice-kit" in c.parts
    )
    found = JobNotes(job_id=callback, cause_id=cause.id, cause_known_by="presumed")
    lines = (
        PartNote(text="", part_id=stocked.kit),
        PartNote(text="", part_id=stocked.tablets),
        PartNote(text="tape"),
    )
    write_up(
        desk,
        notes_for(desk, stocked.visit, JobNotes(job_id=inspection), found, parts=lines),
    )
    assert [line.job_id for line in stocked.lines] == [callback, inspection, inspection]


@pytest.mark.parametrize(
    ("note", "field"),
    [
        ({"part_id": 999}, "part:0:text"),
        ({"quantity": 0}, "part:0:quantity"),
        ({"place_id": 999}, "part:0:place"),
        ({"billing": "free"}, "part:0:billing"),
        ({"price_minor": -1}, "part:0:price"),
        ({"job_id": 999}, "part:0:job"),
        ({"text": " "}, "part:0:text"),
    ],
)
def test_what_is_wrong_with_a_part_is_said_at_its_line(stocked, note, field):
    before = snapshot(stocked.desk.store)
    with pytest.raises(WrongEntry) as told:
        stocked.write(PartNote(**{"text": "tape", **note}))
    assert [one.field for one in told.value.wrong] == [field]
    assert snapshot(stocked.desk.store) == before


def test_parts_written_by_another_seat_are_not_written_over(stocked):
    desk = stocked.desk
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=4))
    mine, theirs = stocked.form, stocked.form
    entry = first_entry(desk, theirs)
    write_up(desk, notes_of(desk, theirs, replace(entry, parts=())))
    before = snapshot(desk.store)
    with pytest.raises(StaleEdit):
        write_up(desk, notes_of(desk, mine, first_entry(desk, mine)))
    assert snapshot(desk.store) == before
