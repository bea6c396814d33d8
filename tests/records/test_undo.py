"""Undo and redo: chains, restarts, what stands in the way and its way out."""

import pytest
from sqlalchemy import select, text

from servicedesk.records.changes import Change
from servicedesk.records.company import Technician
from servicedesk.records.equipment import Unit
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.parts import Part
from servicedesk.records.people import Customer, Phone
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, SiteSecret, System
from servicedesk.records.store import open_store
from servicedesk.records.undo import (
    changes_since,
    history_of,
    last_redoable,
    last_undoable,
    undo_change,
)
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from tests.records.rows import (
    DAY,
    a_report,
    a_round,
    a_site,
    a_stock,
    a_visit,
    edit,
    hand_out,
    many_sites,
    move,
    write_up,
)
from tests.records.snapshot import snapshot


def ctrl_z(store, who="Ines"):
    with store.read() as session:
        change = last_undoable(session, who)
    return None if change is None else undo_change(store, change.id, who=who)


def ctrl_shift_z(store, who="Ines"):
    with store.read() as session:
        change = last_redoable(session, who)
    return None if change is None else undo_change(store, change.id, who=who)


def note_of(store, visit_id):
    with store.read() as session:
        return session.get(Visit, visit_id).note


@pytest.fixture
def visit_id(store):
    return a_visit(store)


def test_ctrl_z_walks_back_and_forth_along_a_chain(store, visit_id):
    for note in ("one", "two", "three"):
        edit(store, Visit, visit_id, note=note)

    seen = []
    for step in (ctrl_z, ctrl_z, ctrl_shift_z, ctrl_z, ctrl_z, ctrl_shift_z, ctrl_shift_z):
        step(store)
        seen.append(note_of(store, visit_id))
    ctrl_shift_z(store)

    assert seen == ["two", "one", "two", "one", "", "one", "two"]
    assert note_of(store, visit_id) == "three"
    assert ctrl_shift_z(store) is None


def test_an_edit_after_an_undo_ends_what_could_be_done_again(store, visit_id):
    edit(store, Visit, visit_id, note="one")
    ctrl_z(store)
    edit(store, Visit, visit_id, note="other")

    assert ctrl_shift_z(store) is None
    ctrl_z(store)
    assert note_of(store, visit_id) == ""


def test_ctrl_z_takes_back_only_ones_own(store, visit_id):
    edit(store, Visit, visit_id, note="mine")
    hers = a_visit(store, who="Lena")
    edit(store, Visit, hers, who="Lena", note="hers")

    ctrl_z(store)

    assert (note_of(store, visit_id), note_of(store, hers)) == ("", "hers")
    assert ctrl_z(store, "Nobody") is None


def test_a_change_can_be_taken_back_out_of_order_where_nothing_overlaps(store, visit_id):
    first = edit(store, Visit, visit_id, note="one")
    edit(store, Visit, visit_id, weather="rain")

    undo_change(store, first, who="Ines")

    with store.read() as session:
        visit = session.get(Visit, visit_id)
        assert (visit.note, visit.weather) == ("", "rain")


def test_a_chain_of_many_undos_and_redos_is_followed_to_its_end(store, visit_id):
    edit(store, Visit, visit_id, note="one")

    for turn in range(12):
        (ctrl_z if turn % 2 == 0 else ctrl_shift_z)(store)
        assert note_of(store, visit_id) == ("" if turn % 2 == 0 else "one")

    with store.read() as session:
        rows = changes_since(session)
    assert {row.what for row in rows} == {
        "Planned a visit",
        "Edited",
        "Took back: Edited",
        "Did again: Edited",
    }
    assert [row.undone for row in rows if row.kind == "edit"] == [False, False]


def test_the_same_change_is_taken_back_once(store, visit_id):
    change = edit(store, Visit, visit_id, note="one")
    undo_change(store, change, who="Ines")

    with pytest.raises(Trouble, match="already taken back"):
        undo_change(store, change, who="Lena")
    with pytest.raises(Trouble, match="no such change"):
        undo_change(store, 4711, who="Ines")


def test_revisions_only_go_up(store, visit_id):
    def revision():
        with store.read() as session:
            return session.get(Visit, visit_id).revision

    seen = [revision()]
    for step in (lambda s: edit(s, Visit, visit_id, note="one"), ctrl_z, ctrl_shift_z):
        step(store)
        seen.append(revision())
    made = a_visit(store)
    ctrl_z(store)
    ctrl_shift_z(store)

    assert seen == sorted(set(seen))
    with store.read() as session:
        assert session.get(Visit, made).revision > 1


def test_touched_since_is_refused_and_names_the_later_change(store, visit_id):
    first = edit(store, Visit, visit_id, note="one")
    edit(store, Visit, visit_id, who="Lena", what="Wrote what the owner said", note="two")
    before = snapshot(store)

    with pytest.raises(Trouble) as refused:
        undo_change(store, first, who="Ines")

    assert str(refused.value) == (
        "“Edited” was not taken back. The same record was changed since: “Wrote what the owner "
        "said” by Lena. Take back the later change first."
    )
    assert snapshot(store) == before
    # the way out
    ctrl_z(store, "Lena")
    undo_change(store, first, who="Ines")
    assert note_of(store, visit_id) == ""


def test_a_made_row_that_is_pointed_at_stays_until_the_later_change_is_taken_back(store, visit_id):
    with store.read() as session:
        made = session.scalars(select(Change.id).order_by(Change.id.desc())).first()
    with store.change("Lena", "Took a job") as later:
        later.add(Job(visit_id=visit_id, kind_of="repair"))

    with pytest.raises(Trouble, match="used since: “Took a job” by Lena"):
        undo_change(store, made, who="Ines")

    undo_change(store, later.changed.change_id, who="Ines")
    undo_change(store, made, who="Ines")
    with store.read() as session:
        assert session.get(Visit, visit_id) is None


def test_what_a_row_pointed_to_before_must_still_be_there(store, visit_id):
    with store.change("Ines", "Hired Lena") as hired:
        lena = hired.add(Technician(name="Lena"))
    edit(store, Visit, visit_id, technician_id=lena.id)
    freed = edit(store, Visit, visit_id, what="Freed the visit", technician_id=None)
    fired = undo_change(store, hired.changed.change_id, who="Ines")

    with pytest.raises(Trouble, match="is gone since: “Took back: Hired Lena” by Ines"):
        undo_change(store, freed, who="Ines")

    undo_change(store, fired.change_id, who="Ines")  # the way out
    undo_change(store, freed, who="Ines")
    with store.read() as session:
        assert session.get(Visit, visit_id).technician_id == lena.id


def test_a_number_given_to_another_record_meanwhile_is_told(store):
    with store.change("Ines", "Wrote part FS-1") as first:
        first.add(Part(number="FS-1", name="float switch"))
    gone = undo_change(store, first.changed.change_id, who="Ines")
    with store.change("Lena", "Wrote it too") as work:
        work.add(Part(number="FS-1", name="float"))

    with pytest.raises(Trouble, match="holds the same number or name"):
        undo_change(store, gone.change_id, who="Ines")


def test_rows_that_point_to_their_own_table_come_and_go_in_order(store):
    with store.change("Ines", "Made a system") as work:
        system = work.add(System(site_id=a_site(work).id))
    before = snapshot(store)
    with store.change("Ines", "Replaced a pump twice") as work:
        last = None
        for _ in range(3):
            last = work.add(
                Unit(system_id=system.id, component="pump", predecessor_id=last and last.id)
            )
    made = snapshot(store)

    ctrl_z(store)
    assert snapshot(store) == before
    ctrl_shift_z(store)
    assert snapshot(store) == made


def test_a_load_is_not_undoable_and_says_what_helps(store):
    rows = {"site": [{"id": 7, "uid": "s7", "number": 7, "address": "7 Osprey Way"}]}
    store.load("Ines", "Loaded the sample", rows)

    with store.read() as session:
        (row,) = changes_since(session)
        assert last_undoable(session, "Ines") is None
    assert not row.can_undo
    with pytest.raises(Trouble, match=r"in one go\. Restore a backup"):
        undo_change(store, row.id, who="Ines")


def test_a_load_goes_only_into_an_empty_store_and_keys_follow_it(store):
    rows = {"site": [{"id": 7, "uid": "s7", "number": 7, "address": "7 Osprey Way"}]}
    store.load("Ines", "Loaded the sample", rows)

    with pytest.raises(Trouble, match="is not empty"):
        store.load("Ines", "Loaded it again", {"site": [{**rows["site"][0], "id": 8, "uid": "x"}]})
    with store.change("Ines", "Wrote a site") as work:
        assert a_site(work, 8).id == 8


def test_undo_survives_a_restart(store, visit_id):
    change = edit(store, Visit, visit_id, note="one")
    store.close()

    again = open_store(store.place, now=store.now)
    with again.read() as session:
        assert last_undoable(session, "Ines").id == change
    undone = undo_change(again, change, who="Ines")
    again.close()

    third = open_store(store.place, now=store.now)
    with third.read() as session:
        assert last_redoable(session, "Ines").id == undone.change_id
    undo_change(third, undone.change_id, who="Ines")
    assert note_of(third, visit_id) == "one"
    third.close()


def test_the_history_of_a_record_names_every_hand(store, visit_id):
    edit(store, Visit, visit_id, who="Lena", what="Wrote a note", note="one")
    ctrl_z(store, "Lena")

    with store.read() as session:
        rows = history_of(session, "visit", visit_id)
    assert [(r.who, r.what, r.undone, item.op) for r, item in rows] == [
        ("Lena", "Took back: Wrote a note", False, "changed"),
        ("Lena", "Wrote a note", True, "changed"),
        ("Ines", "Planned a visit", False, "made"),
    ]


def test_a_secret_comes_back_though_the_log_never_shows_it(store):
    with store.change("Ines", "Wrote a gate code") as work:
        secret = work.add(SiteSecret(site_id=a_site(work).id, what="gate", value="4417#"))
    edit(store, SiteSecret, secret.id, value="9090#")

    ctrl_z(store)

    with store.read() as session:
        assert session.get(SiteSecret, secret.id).value == "4417#"
        said = str(session.execute(text("SELECT * FROM change_item")).all())
    assert "4417" not in said
    assert "9090" not in said


# --- rules of meaning -------------------------------------------------------------------------


def test_a_later_count_stands_in_the_way_of_a_move_of_that_part(store):
    part, shelf, truck = a_stock(store)
    moved = move(store, part, 2, shelf, truck)
    move(store, part, 1, shelf, None, why="counted")

    with pytest.raises(Trouble, match=r"counted since.*Count it again"):
        undo_change(store, moved, who="Ines")

    move(store, part, 3, None, shelf, why="counted")  # the way out: write what is there


def test_a_count_elsewhere_or_of_another_part_does_not(store):
    part, shelf, truck = a_stock(store)
    with store.change("Ines", "Bought pumps") as work:
        other = work.add(Part(number="PU-1", name="pump"))
    moved = move(store, part, 2, shelf, None, why="scrapped")
    move(store, part, 1, None, truck, why="counted")
    move(store, other.id, 1, None, shelf, why="counted")

    undo_change(store, moved, who="Ines")

    assert snapshot(store)["balances"] == {
        (part, shelf): 10,
        (part, truck): 1,
        (other.id, shelf): 1,
    }


def test_what_parts_were_moved_for_is_not_taken_off_the_ledger(store):
    a_stock(store)

    with pytest.raises(Trouble, match=r"moves stay on the ledger.*end the record"):
        ctrl_z(store)


def test_a_paper_that_left_the_house_cannot_be_called_back(store, visit_id):
    sent = a_report(store, visit_id)

    with pytest.raises(Trouble, match=r"has left the house\. Correct the record"):
        undo_change(store, sent, who="Ines")
    with store.read() as session:
        paper = session.scalars(select(PaperSent)).one()
    edit(store, PaperSent, paper.id, confirmation="A-77")
    ctrl_z(store)  # its confirmation number is another matter


@pytest.mark.parametrize("what", ["the whole write-up", "only a finding of the job"])
def test_a_visit_whose_report_left_stays_and_is_corrected(store, visit_id, what):
    written = write_up(store, visit_id)
    if what == "only a finding of the job":
        with store.read() as session:
            job = session.scalars(select(Job.id)).one()
        written = edit(store, Job, job, found="float stuck")
    a_report(store, visit_id)

    with pytest.raises(Trouble, match=r"report has left the house since\. Correct the visit"):
        undo_change(store, written, who="Ines")

    edit(store, Visit, visit_id, as_left="alarm silenced")  # the way out
    ctrl_z(store)


def test_another_visits_report_does_not_stand_in_the_way(store, visit_id):
    written = write_up(store, visit_id)
    a_report(store, a_visit(store))

    undo_change(store, written, who="Ines")


def test_a_round_handed_out_since_stands_in_the_way_until_it_is_taken_back(store, visit_id):
    round_id = a_round(store, visit_id)
    placed = edit(store, Visit, visit_id, held=True)
    out = hand_out(store, round_id)

    with pytest.raises(Trouble, match=r"handed out since\. Take the round back first"):
        undo_change(store, placed, who="Ines")

    undo_change(store, out, who="Ines")
    undo_change(store, placed, who="Ines")


def test_what_was_written_up_after_the_round_went_out_can_be_taken_back(store, visit_id):
    hand_out(store, a_round(store, visit_id))
    before = snapshot(store)
    written = write_up(store, visit_id)

    undo_change(store, written, who="Ines")

    assert snapshot(store) == before


def test_a_handed_out_round_taken_back_and_done_again_is_handed_out_since(store, visit_id):
    round_id = a_round(store, visit_id)
    placed = edit(store, Visit, visit_id, held=True)
    back = undo_change(store, hand_out(store, round_id), who="Ines")
    undo_change(store, back.change_id, who="Ines")

    with pytest.raises(Trouble, match="handed out since"):
        undo_change(store, placed, who="Ines")
    with store.read() as session:
        assert session.get(Round, round_id).state == "handed out"


def test_a_change_of_an_erased_persons_phone_stays(store):
    from servicedesk.records.erase import erase_person

    with store.change("Ines", "Wrote a customer") as work:
        customer = work.add(Customer(name="Quillan, Ruth"))
        phone = work.add(Phone(customer_id=customer.id, typed="555-0102"))
    labelled = edit(store, Phone, phone.id, label="barn")
    erase_person(store, customer.id, who="Ines")

    with pytest.raises(Trouble, match=r"data was erased\. Write the person anew"):
        undo_change(store, labelled, who="Ines")


# --- ten mixed changes ------------------------------------------------------------------------


def test_ten_mixed_changes_are_undone_after_a_restart(store, visit_id):
    part, shelf, truck = a_stock(store)
    with store.change("Ines", "Two systems and a code") as work:
        site = a_site(work, 50)
        first = work.add(System(site_id=site.id, permit="TC-1"))
        secret = work.add(SiteSecret(site_id=site.id, what="gate", value="4417#"))
    before = snapshot(store)
    ten = [
        edit(store, Visit, visit_id, planned_on=None, wishes={"only": ["Tue"]}),
        write_up(store, visit_id),
        move(store, part, 4, shelf, truck),
        move(store, part, 1, truck, None, why="used"),
        edit(store, SiteSecret, secret.id, value="9090#"),
        edit(store, Site, site.id, ended_on=DAY, ended_why="sold"),
    ]
    with store.change("Ines", "Brought in a list") as work:
        many_sites(work, 20, first=100)
    ten.append(work.changed.change_id)
    with store.change("Ines", "Replaced the pump") as work:
        old = work.add(Unit(system_id=first.id, component="pump", state="removed"))
        work.add(Unit(system_id=first.id, component="pump", predecessor_id=old.id))
    ten.append(work.changed.change_id)
    round_id = a_round(store, visit_id)
    with store.read() as session:
        ten.append(session.scalars(select(Change.id).order_by(Change.id.desc())).first())
    ten.append(hand_out(store, round_id))
    after = snapshot(store)
    assert len(ten) == 10
    assert after != before
    store.close()

    again = open_store(store.place, now=store.now)
    undone = [undo_change(again, change_id, who="Ines") for change_id in reversed(ten)]
    assert snapshot(again) == before
    again.close()

    third = open_store(store.place, now=store.now)
    for change in reversed(undone):
        undo_change(third, change.change_id, who="Ines")
    assert snapshot(third) == after
    third.close()
