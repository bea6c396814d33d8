"""A list brought in: once, again, after edits here, with rows missing, and taken back."""

import csv
import io
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import func, select

from servicedesk.desk.bring_in import field_named, look_at, take
from servicedesk.desk.changes import undo
from servicedesk.desk.windows import current_windows
from servicedesk.exchange.sheetfile import read_sheet_file
from servicedesk.exchange.understood import Answers
from servicedesk.records.changes import Change
from servicedesk.records.company import BroughtRow, ColumnMemory, Technician
from servicedesk.records.contracts import Contract
from servicedesk.records.copying import check
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.sites import Site, SiteSecret, System
from servicedesk.records.visits import Job, Visit
from servicedesk.values.position import Position
from servicedesk.values.trouble import Stopped, Trouble
from tests.builders import a_done_visit, a_site, a_technician, system_of
from tests.records.snapshot import indexed, snapshot

SHEETS = Path(__file__).resolve().parents[2] / "sample_db" / "sheets"
FIVE = (
    "office_list.xlsx",
    "office_list_without_positions.xlsx",
    "office_rows.csv",
    "visits_cp1252.csv",
    "strangers_twelve.csv",
)
ANSWERS = Answers(day_first=True, swap_latlon=True, area_code="802")

HEADINGS = "Cust #,Customer,Site Address,Town,Phone,Permit No.,Dispersal,Contract Start,Contract End,Freq,Fee,Gate,Notes"
ROWS = (
    '1,"Quillan, Ruth",3 Heron Bank,Sallow Fork,802-555-0142,TC-1,spray,2026-01-01,2026-12-31,3x/yr,285,4821#,ring twice',
    '2,"Pell, Tom",52 Ashpit Lane,Sallow Fork,802-555-0103,TC-2,drip,2026-03-01,2027-02-28,4x/yr,300,,',
    "3,Low Meadow HOA,240 Low Meadow,Abbot Fen,802-555-0118,TC-3,spray,2026-01-01,2026-12-31,quarterly,940,,",
)


def a_list(*rows: str, headings: str = HEADINGS):
    """A list as a file that was read."""
    text = "\n".join([headings, *(rows or ROWS)]) + "\n"
    return read_sheet_file(text.encode(), name="list.csv")


def with_cell(row: str, column: str, value: str) -> str:
    """The row with one cell changed."""
    cells = next(csv.reader([row]))
    cells[HEADINGS.split(",").index(column)] = value
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def bring(desk, *rows: str, overwrite=(), headings: str = HEADINGS):
    """Look and take at once."""
    proposal = look_at(desk, a_list(*rows, headings=headings), answers=ANSWERS)
    return proposal, take(desk, proposal, overwrite=overwrite)


def n_of(desk, model) -> int:
    with desk.store.read() as session:
        return session.scalar(select(func.count(model.id)))


def all_of(desk, model):
    with desk.store.read() as session:
        return list(session.scalars(select(model).order_by(model.id)))


def states(proposal):
    return [plan.state for plan in proposal.rows]


# --- the five sample lists


@pytest.mark.parametrize("name", FIVE)
def test_a_sample_list_comes_in_stays_silent_and_goes_again(desk, name):
    before, words = snapshot(desk.store), indexed(desk.store)
    proposal = look_at(desk, SHEETS / name, answers=ANSWERS)
    assert proposal.counts.new_rows == len(proposal.rows) > 8
    assert snapshot(desk.store) == before, "looking writes nothing"

    changed = take(desk, proposal)
    assert n_of(desk, Site) == proposal.understood.n_sites
    assert n_of(desk, System) == len(proposal.rows)
    assert check(desk.store).faults == ()
    after = snapshot(desk.store)

    again = look_at(desk, SHEETS / name)
    assert states(again) == ["same"] * len(again.rows)
    assert not again.writes
    assert take(desk, again).change_id == 0
    assert snapshot(desk.store) == after, "the second time writes nothing"

    undo(desk, changed.change_id)
    assert snapshot(desk.store) == before
    assert indexed(desk.store) == words


def test_the_office_list_gives_what_an_office_would_expect(desk):
    desk = replace(desk, company=replace(desk.company, position=Position(37.0, -58.0)))
    take(desk, look_at(desk, SHEETS / "office_list.xlsx", answers=ANSWERS))

    sites = {site.own_number: site for site in all_of(desk, Site)}
    heron = sites["1042"]
    assert (heron.address, heron.locality, heron.postcode) == (
        "3 Heron Bank",
        "Sallow Fork",
        "90001",
    )
    assert (heron.lat_deg, heron.lon_deg) == (37.033, -58.0855)
    assert heron.position_source == "surveyed", "its column is called GPS"
    assert (sites["1061"].lat_deg, sites["1061"].lon_deg) == (36.9312, -58.0654), "exchanged"
    systems = [s for s in all_of(desk, System) if s.site_id == sites["1044"].id]
    assert len(systems) == 2, "two systems at one address"
    owners = [r.customer_id for r in all_of(desk, SiteRole) if r.site_id == sites["1044"].id]
    assert len(owners) == 1
    contracts = {c.holder_id: c for c in all_of(desk, Contract)}
    first = contracts[next(r.customer_id for r in all_of(desk, SiteRole) if r.site_id == heron.id)]
    assert (first.from_on, first.until_on) == (date(2026, 1, 1), date(2027, 1, 1))
    assert (first.visits_a_year, first.price_minor) == (3, 28500)
    assert (first.counting, first.tolerance_days) == ("fixed", 14)


def test_past_visits_keep_day_outcome_and_reason(desk):
    lena = a_technician(desk, "Tobin Hale", short_name="Tobin")
    take(desk, look_at(desk, SHEETS / "visits_cp1252.csv", answers=ANSWERS))

    with desk.store.read() as session:
        rows = session.execute(
            select(Visit.planned_on, Visit.state, Visit.technician_id, Visit.note, Job.kind_of,
                   Job.outcome, Job.could_not, Job.found)
            .join(Job, Job.visit_id == Visit.id)
            .join(Site, Site.id == Visit.site_id)
            .where(Site.own_number == "2002")
            .order_by(Visit.planned_on)
        ).all()  # fmt: skip
    assert [tuple(row) for row in rows][:2] == [
        (date(2025, 2, 4), "done", lena.id, "", "inspection", "done", "", "ok"),
        (date(2025, 6, 5), "done", lena.id, "", "inspection", "could not", "no access",
         "no access, nobody home"),
    ]  # fmt: skip
    assert rows[-1].note == "Technician: AQ", "nobody here has these initials"


def test_what_was_done_in_the_past_fills_windows(desk):
    take(desk, look_at(desk, SHEETS / "office_list.xlsx", answers=ANSWERS))
    filled = [w for w in current_windows(desk) if w.window.is_filled]
    assert len(filled) > 20


def test_a_call_in_the_list_becomes_a_callback(desk):
    take(desk, look_at(desk, SHEETS / "visits_cp1252.csv", answers=ANSWERS))
    kinds = {job.kind_of for job in all_of(desk, Job)}
    assert {"inspection", "callback"} <= kinds


# --- day and month


def test_the_order_of_day_and_month_is_never_guessed(desk):
    before = snapshot(desk.store)
    proposal = look_at(desk, SHEETS / "visits_cp1252.csv")
    assert [q.code for q in proposal.questions] == ["day_first"]
    with pytest.raises(Trouble, match="day or with the month"):
        take(desk, proposal)
    assert snapshot(desk.store) == before


def test_an_answer_is_remembered_for_lists_with_the_same_headings(desk):
    take(desk, look_at(desk, SHEETS / "visits_cp1252.csv", answers=Answers(day_first=True)))
    again = look_at(desk, SHEETS / "visits_cp1252.csv")
    assert again.answers.day_first is True
    assert not again.questions
    memory = all_of(desk, ColumnMemory)
    assert [m.answers for m in memory] == [{"day_first": True}]


def test_another_answer_goes_before_the_remembered_one(desk):
    take(desk, look_at(desk, SHEETS / "visits_cp1252.csv", answers=Answers(day_first=True)))
    other = look_at(desk, SHEETS / "visits_cp1252.csv", answers=Answers(day_first=False))
    assert other.answers.day_first is False
    assert other.writes


# --- again, after edits


def test_a_cell_edited_here_is_kept_without_a_tick_and_goes_with_one(desk):
    bring(desk)
    site = all_of(desk, Site)[0]
    with desk.store.change(desk.who, "Edited") as work:
        work.get(Site, site.id).note = "ring three times"

    again, changed = bring(desk)
    assert states(again) == ["kept", "same", "same"]
    (change,) = again.rows[0].changes
    assert (change.name, change.kept, change.old) == ("site.note", True, "ring three times")
    assert change.new == "ring twice"
    assert changed.change_id == 0, "nothing was ticked, so nothing is written"
    assert all_of(desk, Site)[0].note == "ring three times"

    bring(desk, overwrite=[(again.rows[0].row, "site.note")])
    assert all_of(desk, Site)[0].note == "ring twice"
    assert states(bring(desk)[0]) == ["same"] * 3


def test_what_the_list_changed_and_nobody_here_did_is_written(desk):
    bring(desk)
    new = with_cell(with_cell(ROWS[0], "Town", "Pinder"), "Fee", "310")
    proposal, changed = bring(desk, new, *ROWS[1:])
    assert states(proposal) == ["changed", "same", "same"]
    assert {(c.name, c.old, c.new) for c in proposal.rows[0].changes} == {
        ("site.locality", "Sallow Fork", "Pinder"),
        ("contract.price_minor", "$285.00", "$310.00"),
    }
    assert all_of(desk, Site)[0].locality == "Pinder"
    assert all_of(desk, Contract)[0].price_minor == 31000
    assert n_of(desk, Site) == 3
    undo(desk, changed.change_id)
    assert all_of(desk, Site)[0].locality == "Sallow Fork"


def test_a_cell_that_both_sides_changed_is_kept(desk):
    bring(desk)
    with desk.store.change(desk.who, "Edited") as work:
        work.get(Site, all_of(desk, Site)[0].id).locality = "Wrenlock"
    proposal, _changed = bring(desk, with_cell(ROWS[0], "Town", "Pinder"), *ROWS[1:])
    assert [(c.name, c.kept) for c in proposal.rows[0].changes] == [("site.locality", True)]
    assert all_of(desk, Site)[0].locality == "Wrenlock"


def test_a_cell_emptied_in_the_list_empties_nothing_here(desk):
    bring(desk)
    proposal, changed = bring(desk, with_cell(ROWS[0], "Notes", ""), *ROWS[1:])
    assert states(proposal) == ["same"] * 3
    assert changed.change_id == 0
    assert all_of(desk, Site)[0].note == "ring twice"


def test_a_phone_taken_away_here_does_not_come_back(desk):
    bring(desk)
    with desk.store.change(desk.who, "Edited") as work:
        work.get(Phone, all_of(desk, Phone)[0].id).ended_on = desk.today
    proposal, _changed = bring(desk)
    assert states(proposal) == ["same"] * 3
    added, _changed = bring(desk, with_cell(ROWS[0], "Phone", "802-555-0188"), *ROWS[1:])
    assert added.rows[0].made == ("phone 802-555-0188",)


def test_a_gate_code_is_kept_out_of_texts_and_changed_only_with_a_tick(desk):
    proposal, _changed = bring(desk)
    assert [s.value for s in all_of(desk, SiteSecret)] == ["4821#"]
    assert "4821" not in repr(proposal)
    assert all("4821" not in repr(row.cells) for row in all_of(desk, BroughtRow))
    other = with_cell(ROWS[0], "Gate", "9999#")
    again, _changed = bring(desk, other, *ROWS[1:])
    assert [(c.name, c.kept) for c in again.rows[0].changes] == [("secret.gate", True)]
    assert "9999" not in repr(again)
    assert [s.value for s in all_of(desk, SiteSecret)] == ["4821#"]
    bring(desk, other, *ROWS[1:], overwrite=[(again.rows[0].row, "secret.gate")])
    assert [s.value for s in all_of(desk, SiteSecret)] == ["9999#"]


def test_a_row_missing_from_the_list_is_told_and_not_ended(desk):
    bring(desk)
    proposal, changed = bring(desk, ROWS[0], ROWS[2])
    assert [one.title for one in proposal.missing] == ["2 · 52 Ashpit Lane · Sallow Fork"]
    assert changed.change_id == 0
    assert all(site.ended_on is None for site in all_of(desk, Site))


def test_a_visit_that_is_there_is_not_doubled_and_a_new_one_is_added(desk):
    headings = "Cust #,Site Address,Town,Inspection date"
    first = "1,3 Heron Bank,Sallow Fork,2026-02-10"
    bring(desk, first, headings=headings)
    assert n_of(desk, Visit) == 1
    proposal, _changed = bring(desk, first, "1,3 Heron Bank,Sallow Fork,2026-06-09",
                               headings=headings)  # fmt: skip
    assert [len(plan.visits) for plan in proposal.rows] == [1]
    assert [v.planned_on for v in all_of(desk, Visit)] == [date(2026, 2, 10), date(2026, 6, 9)]


def test_a_visit_moved_to_another_day_here_does_not_come_back(desk):
    headings = "Cust #,Site Address,Town,Inspection date"
    row = "1,3 Heron Bank,Sallow Fork,2026-02-10"
    bring(desk, row, headings=headings)
    with desk.store.change(desk.who, "Moved") as work:
        work.get(Visit, all_of(desk, Visit)[0].id).planned_on = date(2026, 2, 11)
    proposal, changed = bring(desk, row, headings=headings)
    assert states(proposal) == ["same"]
    assert changed.change_id == 0
    assert n_of(desk, Visit) == 1


def test_two_systems_without_permits_at_one_address_stay_two_and_the_same(desk):
    headings = "Cust #,Site Address,Town,System"
    rows = ("1,3 Heron Bank,Sallow Fork,ATU 500", "1,3 Heron Bank,Sallow Fork,ATU 1500")
    bring(desk, *rows, headings=headings)
    assert (n_of(desk, Site), n_of(desk, System)) == (1, 2)
    for order in (rows, rows[::-1]):
        proposal, _changed = bring(desk, *order, headings=headings)
        assert {plan.system_id for plan in proposal.rows} == {s.id for s in all_of(desk, System)}
        assert [plan.state for plan in proposal.rows if plan.made] == []
    assert n_of(desk, System) == 2


def test_a_visit_written_here_by_hand_is_not_doubled_by_a_list(desk):
    site = a_site(desk, "3 Heron Bank", locality="Sallow Fork", own_number="1")
    a_done_visit(desk, site, date(2026, 2, 10))
    bring(desk, "1,3 Heron Bank,Sallow Fork,2026-02-10",
          headings="Cust #,Site Address,Town,Inspection date")  # fmt: skip
    assert n_of(desk, Visit) == 1


def test_a_system_goes_to_one_row_only(desk):
    bring(desk, "1,3 Heron Bank,Sallow Fork", headings="Cust #,Site Address,Town")
    two = ("1,3 Heron Bank,Sallow Fork,TC-1", "1,3 Heron Bank,Sallow Fork,TC-2")
    proposal, _changed = bring(desk, *two, headings="Cust #,Site Address,Town,Permit No.")
    assert states(proposal) == ["changed", "new"]
    assert [s.permit for s in all_of(desk, System)] == ["TC-1", "TC-2"]


def test_the_contract_of_the_next_year_follows_the_one_that_stands(desk):
    bring(desk)
    renewed = with_cell(
        with_cell(ROWS[0], "Contract Start", "2027-01-01"), "Contract End", "2027-12-31"
    )
    proposal, _changed = bring(desk, renewed, *ROWS[1:])
    assert proposal.rows[0].new_contract
    contracts = all_of(desk, Contract)
    assert len(contracts) == 4
    assert contracts[-1].follows_id == contracts[0].id
    assert contracts[0].until_on == date(2027, 1, 1), "the old one stands as it was"
    assert states(bring(desk, renewed, *ROWS[1:])[0]) == ["same"] * 3


def test_another_owner_takes_over_and_the_former_one_stays_in_the_book(desk):
    bring(desk)
    sold = with_cell(ROWS[0], "Customer", "Marrin, Faye")
    proposal, _changed = bring(desk, sold, *ROWS[1:])
    assert [c.name for c in proposal.rows[0].changes] == ["owner.name"]
    names = [c.name for c in all_of(desk, Customer)]
    assert "Quillan, Ruth" in names
    assert "Marrin, Faye" in names
    roles = [r for r in all_of(desk, SiteRole) if r.site_id == all_of(desk, Site)[0].id]
    assert [(r.until_on, r.from_on) for r in roles] == [(desk.today, None), (None, desk.today)]
    assert states(bring(desk, sold, *ROWS[1:])[0]) == ["same"] * 3


def test_a_name_spelled_anew_stays_the_same_owner(desk):
    bring(desk)
    bring(desk, with_cell(ROWS[0], "Customer", "Quillan, Ruthe"), *ROWS[1:])
    assert next(c.name for c in all_of(desk, Customer)) == "Quillan, Ruthe"
    assert n_of(desk, Customer) == 3


# --- recognizing


def test_sites_written_here_by_hand_are_recognized_by_permit_and_address(desk):
    site = a_site(desk, "3 Heron Bank", locality="Sallow Fork", owner="Quillan, Ruth")
    other = a_site(desk, "240 LOW MEADOW", locality="Abbot Fen", owner=None)
    permit = system_of(desk, site).permit
    proposal, _changed = bring(desk, with_cell(ROWS[0], "Permit No.", permit), *ROWS[1:])
    assert [plan.site_id for plan in proposal.rows] == [site.id, None, other.id]
    assert proposal.rows[0].customer_id is not None
    assert n_of(desk, Site) == 3
    assert n_of(desk, System) == 3 + 0 if proposal.rows[2].system_id else 4


def test_a_field_that_stands_and_was_never_brought_is_kept(desk):
    a_site(desk, "3 Heron Bank", locality="Sallow Fork", owner="Quillan, Ruth", note="Mind the dog")
    proposal, _changed = bring(desk, with_cell(ROWS[0], "Permit No.", ""), *ROWS[1:])
    kept = {c.name for c in proposal.rows[0].changes if c.kept}
    assert "site.note" in kept
    assert all_of(desk, Site)[0].note == "Mind the dog"
    assert all_of(desk, Site)[0].own_number == "1", "what was empty is filled"


def test_rows_in_another_order_are_the_same_rows(desk):
    bring(desk)
    assert states(bring(desk, *reversed(ROWS))[0]) == ["same"] * 3


def test_one_organization_with_two_sites_is_one_customer_two_households_are_two(desk):
    hoa = with_cell(with_cell(ROWS[2], "Cust #", "9"), "Site Address", "244 Low Meadow")
    hoa = with_cell(with_cell(hoa, "Permit No.", "TC-9"), "Phone", "802-555-0119")
    namesake = with_cell(with_cell(ROWS[1], "Cust #", "8"), "Site Address", "9 Rook Street")
    namesake = with_cell(with_cell(namesake, "Permit No.", "TC-8"), "Phone", "802-555-0190")
    bring(desk, *ROWS, hoa, namesake)
    names = [c.name for c in all_of(desk, Customer)]
    assert names.count("Low Meadow HOA") == 1
    assert names.count("Pell, Tom") == 2


def test_a_row_with_a_permit_that_changed_its_number_is_still_the_same(desk):
    bring(desk)
    proposal, _changed = bring(desk, with_cell(ROWS[0], "Cust #", "77"), *ROWS[1:])
    assert [c.name for c in proposal.rows[0].changes] == ["site.own_number"]
    assert n_of(desk, Site) == 3


# --- what a first list needs


def test_a_store_without_anybody_gets_a_technician_and_an_office(file_store):
    from servicedesk.desk.office import desk_at

    bare = desk_at(file_store, today=date(2026, 10, 14))
    proposal = look_at(bare, SHEETS / "office_list.xlsx", answers=ANSWERS)
    assert proposal.start.technician == "Technician 1"
    assert any("Technician 1" in line for line in proposal.assumed)
    changed = take(bare, proposal)
    assert [t.name for t in all_of(bare, Technician)] == ["Technician 1"]
    seated = desk_at(file_store, today=date(2026, 10, 14))
    assert seated.company.position is not None
    assert 36.9 < seated.company.position.lat_deg < 37.1
    undo(bare, changed.change_id)
    assert n_of(bare, Technician) == 0


def test_whoever_the_list_names_most_often_becomes_the_technician(file_store):
    from servicedesk.desk.office import desk_at

    bare = desk_at(file_store, today=date(2026, 10, 14))
    proposal = look_at(bare, SHEETS / "visits_cp1252.csv", answers=ANSWERS)
    take(bare, proposal)
    assert proposal.start.technician == "AQ", "as often as TH, and later"
    with bare.store.read() as session:
        n = session.scalar(select(func.count(Visit.id)).where(Visit.technician_id.is_not(None)))
    assert n > 5, "the visits of AQ are theirs"


def test_without_an_end_the_year_that_runs_now_is_assumed_and_told(desk):
    headings = "Cust #,Customer,Site Address,Town,Since,How often"
    row = '1,"Quillan, Ruth",3 Heron Bank,Sallow Fork,2021-04-01,3x/yr'
    proposal, _changed = bring(desk, row, headings=headings)
    contract = all_of(desk, Contract)[0]
    assert (contract.from_on, contract.until_on) == (date(2026, 4, 1), date(2027, 4, 1))
    assert proposal.rows[0].assumed
    assert any("row 2" in line for line in proposal.assumed)


def test_counted_from_the_only_known_visit_nothing_before_it_is_late(desk):
    headings = "Cust #,Customer,Site Address,Town,Since,How often,Last visit"
    row = '1,"Quillan, Ruth",3 Heron Bank,Sallow Fork,2019-01-01,monthly,2026-10-05'
    bring(desk, row, headings=headings)
    windows = current_windows(desk)
    assert all(w.window.state.value != "late" for w in windows)
    assert len(windows) == 12


def test_a_contract_without_an_owner_is_held_by_the_owner_of_the_address(desk):
    headings = "Cust #,Site Address,Town,Start,End,Freq"
    row = "1,3 Heron Bank,Sallow Fork,2026-01-01,2026-12-31,3x/yr"
    proposal, _changed = bring(desk, row, headings=headings)
    assert [c.name for c in all_of(desk, Customer)] == ["Owner of 3 Heron Bank"]
    assert n_of(desk, SiteRole) == 0
    assert any("without an owner" in line for line in proposal.assumed)
    assert states(bring(desk, row, headings=headings)[0]) == ["same"]


# --- columns and choices


def test_a_corrected_column_is_remembered(desk):
    sheet = read_sheet_file(
        b"Ref,Where,Village,Ring\nH1,3 Heron Bank,Fork,ring twice\n", name="a.csv"
    )
    proposal = look_at(desk, sheet, corrections={"Ring": "notes"})
    take(desk, proposal)
    assert all_of(desk, Site)[0].note == "ring twice"
    again = look_at(desk, sheet)
    assert [c.field for c in again.mapping.choices][-1] == "notes"
    assert states(again) == ["same"]


def test_a_column_or_meaning_that_is_not_there_is_refused_with_those_that_are(desk):
    with pytest.raises(Trouble, match="Cust #, Customer"):
        look_at(desk, a_list(), corrections={"Telefon": "phone"})
    with pytest.raises(Trouble, match="Choose one of"):
        field_named("telephone exchange")
    with pytest.raises(Trouble, match="no sheet"):
        look_at(desk, a_list(), table="2019")
    assert field_named("Nothing") == "ignore"
    assert field_named("Gate code") == "gate"


# --- all or nothing


def test_a_book_changed_meanwhile_is_not_written_over(desk):
    proposal = look_at(desk, a_list(), answers=ANSWERS)
    a_site(desk, "3 Heron Bank", locality="Sallow Fork", owner=None)
    before = snapshot(desk.store)
    with pytest.raises(Trouble, match="Somebody changed the book"):
        take(desk, proposal)
    assert snapshot(desk.store) == before


@pytest.mark.parametrize("after", [0, 2, 5, 8])
def test_stopped_while_writing_nothing_is_there(desk, after):
    proposal = look_at(desk, a_list(), answers=ANSWERS)
    before, steps = snapshot(desk.store), []

    def stop(done: int, total: int, note: str = "") -> None:
        steps.append(done)
        if len(steps) > after:
            raise Stopped

    with pytest.raises(Stopped):
        take(desk, proposal, progress=stop)
    assert snapshot(desk.store) == before
    assert n_of(desk, Change) >= 1


def test_three_hundred_rows_come_in_and_go_again(file_desk):
    desk = file_desk
    rows = []
    for n in range(300):
        row = with_cell(with_cell(ROWS[n % 3], "Cust #", str(n)), "Permit No.", f"P-{n}")
        row = with_cell(row, "Site Address", f"{n + 1} Long Road")
        rows.append(with_cell(row, "Phone", f"802-555-{1000 + n}"))
    before = snapshot(desk.store)
    proposal, changed = bring(desk, *rows)
    assert proposal.counts.new_sites == 300
    assert n_of(desk, Site) == 300
    undo(desk, changed.change_id)
    assert snapshot(desk.store) == before


def test_proposals_compare_by_what_they_would_do(desk):
    one = look_at(desk, a_list(), answers=ANSWERS)
    assert replace(one).rows == look_at(desk, a_list(), answers=ANSWERS).rows
