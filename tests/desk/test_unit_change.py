"""A unit replaced at a visit: old one out, new one in, a claim owed; corrected, taken back."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from shutil import copyfile

import pytest

from servicedesk.desk import ledger
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.office import desk_at
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_entry import first_entry, notes_of
from servicedesk.desk.writeup_notes import JobNotes, PartNote, UnitNote
from servicedesk.desk.writeup_part_entry import UnitEntry, warranty_of
from servicedesk.desk.writeup_parts import unit_to_replace
from servicedesk.records.company import Technician
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.parts import Part, StockMove
from servicedesk.records.sites import Site, System
from servicedesk.records.store import open_store
from servicedesk.records.visits import PartLine
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_unit, a_visit
from tests.conftest import NOW
from tests.desk.stocked import IN_A_YEAR, Stocked, WithPump, copied, made_once
from tests.desk.written_visits import job_of, notes_for, rows
from tests.records.snapshot import snapshot


@pytest.fixture(scope="module")
def template(tmp_path_factory, empty_file):
    path = tmp_path_factory.mktemp("fitted") / "one.store"
    return made_once(WithPump, empty_file, path, warranty_until=IN_A_YEAR), path


@pytest.fixture
def fitted(template, tmp_path):
    here = copied(*template, tmp_path / "company.store")
    yield here
    here.desk.store.close()


def test_the_old_one_is_out_the_new_one_in_and_the_part_off_the_truck_in_one_change(desk):
    here = WithPump(desk, kind_of="callback")
    job = JobNotes(
        job_id=job_of(desk, here.visit), cause_id="pump-windings-open", cause_known_by="presumed"
    )
    before = snapshot(desk.store)
    write_up(desk, notes_for(desk, here.visit, job, parts=(here.note(),)))

    old, new = here.units
    assert (old.state, old.removed_on, old.removed_why) == (
        "removed", TODAY, "failed: pump-windings-open",
    )  # fmt: skip
    assert old.attributes == {"voltage": "115", "whereabouts": "on the truck"}
    assert (new.state, new.installed_on, new.installed_by) == ("in service", TODAY, "Lena Hobb")
    assert (new.serial, new.model_id, new.warranty_until) == (
        "B2", old.model_id, date(2028, 10, 14),
    )  # fmt: skip
    assert (new.predecessor_id, new.attributes) == (old.id, {"voltage": "115"})
    (line,) = rows(desk, PartLine)
    assert (line.new_unit_id, line.job_id) == (new.id, job.job_id)
    assert here.lies(here.pump) == 9
    assert ledger.open_claims(desk) == ()

    undo(desk)
    assert snapshot(desk.store) == before
    assert [m.why for m in rows(desk, StockMove)][-2:] == ["used", "undone"]  # the ledger keeps it


def test_a_unit_removed_under_warranty_owes_a_claim_until_the_supplier_answers(fitted):
    desk = fitted.desk
    fitted.write(fitted.note())
    assert fitted.lines[0].billing == "warranty"
    (claim,) = ledger.open_claims(desk)
    assert (claim.part_id, claim.visit_id, claim.details["unit_id"]) == (
        fitted.pump, fitted.visit.id, fitted.old.id,
    )  # fmt: skip
    assert fitted.lies(fitted.pump) == 9  # what is claimed is the old one: no stock of ours

    ledger.answer_claim(desk, claim.id, "credit", credit_minor=20_000)
    assert ledger.open_claims(desk) == ()
    before = snapshot(desk.store)
    with pytest.raises(Trouble, match="answered the claim"):
        write_up(desk, notes_for(desk, fitted.visit))
    assert snapshot(desk.store) == before


@pytest.mark.parametrize(("until", "n"), [(TODAY, 0), (TODAY + timedelta(days=1), 1), (None, 0)])
def test_the_claim_is_owed_while_the_warranty_runs(file_desk, until, n):
    here = WithPump(file_desk, warranty_until=until)
    here.write(here.note())
    assert len(ledger.open_claims(file_desk)) == n


def test_a_part_of_no_catalogue_owes_the_claim_as_work_of_the_supplier(fitted):
    desk = fitted.desk
    fitted.write(replace(fitted.note(), part_id=None, text="pump bought on the way"))
    (owed,) = rows(desk, Owed)
    assert (owed.debtor, owed.unit_id, owed.state) == ("supplier", fitted.old.id, "open")
    assert owed.what == "Warranty claim: Effluent pump, serial A1"
    assert fitted.form.begun == ()
    write_up(desk, notes_for(desk, fitted.visit))
    assert rows(desk, Owed) == []
    assert [unit.state for unit in fitted.units] == ["patched"]


def test_a_correction_that_says_nothing_of_it_puts_the_old_one_back(fitted):
    desk = fitted.desk
    before = snapshot(desk.store)
    fitted.write(fitted.note())
    write_up(desk, notes_for(desk, fitted.visit, parts=(PartNote(text="", part_id=fitted.kit),)))
    (old,) = fitted.units
    assert (old.state, old.removed_on, old.removed_why) == ("patched", None, "")
    assert old.attributes == {"voltage": "115"}
    assert ledger.open_claims(desk) == ()
    assert (fitted.lies(fitted.pump), fitted.lies(fitted.kit)) == (10, 9)
    undo(desk)
    assert [unit.state for unit in fitted.units] == ["removed", "in service"]
    assert len(ledger.open_claims(desk)) == 1
    undo(desk)
    assert snapshot(desk.store) == before


def test_serial_model_and_reason_are_corrected_without_a_second_unit(fitted):
    desk = fitted.desk
    fitted.write(fitted.note())
    moves = len(rows(desk, StockMove))
    entry = first_entry(desk, fitted.form)
    (line,) = entry.parts
    assert line.unit == UnitEntry(
        component="effluent-pump", old_unit_id=fitted.old.id, why="failed",
        whereabouts="on the truck", serial="B2", warranty="2028-10-14",
    )  # fmt: skip
    unit = replace(line.unit, serial="B3", model="quiet one", why="worn", whereabouts="sent back")
    entry = replace(entry, parts=(replace(line, unit=unit),))
    write_up(desk, notes_of(desk, fitted.form, entry))
    old, new = fitted.units
    models = {model.id: model.name for model in rows(desk, UnitModel)}
    assert (new.serial, models[new.model_id], new.installed_by) == ("B3", "quiet one", "Lena Hobb")
    assert (old.removed_why, old.attributes["whereabouts"]) == ("worn", "sent back")
    assert len(rows(desk, StockMove)) == moves
    assert len(ledger.open_claims(desk)) == 1


def test_another_part_in_a_correction_claims_that_part(fitted):
    desk = fitted.desk
    fitted.write(fitted.note())
    entry = first_entry(desk, fitted.form)
    other = replace(entry.parts[0], part_id=fitted.kit, text="")
    write_up(desk, notes_of(desk, fitted.form, replace(entry, parts=(other,))))
    (claim,) = ledger.open_claims(desk)
    assert claim.part_id == fitted.kit
    words = replace(entry.parts[0], part_id=None, text="pump of another firm")
    entry = first_entry(desk, fitted.form)
    write_up(desk, notes_of(desk, fitted.form, replace(entry, parts=(words,))))
    assert ledger.open_claims(desk) == ()
    assert [owed.debtor for owed in rows(desk, Owed)] == ["supplier"]


def test_what_was_written_about_the_new_unit_since_keeps_it(fitted):
    desk = fitted.desk
    fitted.write(fitted.note())
    new = fitted.units[-1]
    with desk.store.change("Ines", "Owed") as work:
        work.add(Owed(site_id=fitted.site.id, unit_id=new.id, since_on=TODAY, what="noisy"))
    before = snapshot(desk.store)
    with pytest.raises(Trouble, match="written about the new unit since"):
        write_up(desk, notes_for(desk, fitted.visit))
    assert snapshot(desk.store) == before


def test_a_component_that_was_on_no_record_gets_its_first_unit(file_desk):
    here = Stocked(file_desk)
    unit = UnitNote(component="splices-box", serial="")
    here.write(PartNote(text="", part_id=here.kit, unit=unit))
    (new,) = rows(file_desk, Unit)
    assert (new.component, new.predecessor_id, new.state) == ("splices-box", None, "in service")


def test_the_part_says_which_unit_it_may_replace(fitted):
    here = fitted.form.parts
    job = job_of(fitted.desk, fitted.visit)
    component, old = unit_to_replace(here, fitted.pump, job)
    assert (component, old.id) == ("effluent-pump", fitted.old.id)
    assert unit_to_replace(here, fitted.kit, job) == ("splices-box", None)
    assert unit_to_replace(here, fitted.tablets, job) is None


def test_a_part_that_goes_into_a_unit_under_warranty_is_under_warranty(file_desk):
    here = Stocked(file_desk)
    a_unit(file_desk, here.site, "tablet-chlorinator", warranty_until=IN_A_YEAR)
    here.write(PartNote(text="", part_id=here.tablets))
    assert here.lines[0].billing == "warranty"


@pytest.mark.parametrize(
    ("unit", "field"),
    [
        ({"component": "moat"}, "part:0:unit"),
        ({"old_unit_id": 999}, "part:0:unit"),
        ({"why": " "}, "part:0:why"),
        ({"whereabouts": "gone fishing"}, "part:0:whereabouts"),
        ({"warranty_until": TODAY}, "part:0:warranty"),
    ],
)
def test_what_is_wrong_with_a_unit_is_said_at_its_line(fitted, unit, field):
    with pytest.raises(WrongEntry) as told:
        fitted.write(fitted.note(**unit))
    assert [one.field for one in told.value.wrong] == [field]


def test_one_unit_is_replaced_once(fitted):
    with pytest.raises(WrongEntry, match="replaced by another line"):
        fitted.write(fitted.note(), fitted.note())


@pytest.mark.parametrize(
    ("typed", "until"),
    [
        # calendar years and months from the day of the visit
        ("2 years", date(2028, 10, 14)),
        ("1 y", date(2027, 10, 14)),
        ("18 months", date(2028, 4, 14)),
        ("2028-12-01", date(2028, 12, 1)),
        ("Nov 30 2027", date(2027, 11, 30)),
        ("long", None),
        ("2", None),
    ],
)
def test_a_warranty_is_a_length_or_a_day(typed, until):
    assert warranty_of(typed, TODAY) == until


SAMPLE = Path(__file__).resolve().parents[2] / "sample_db" / "small-60.store"


def test_on_the_sample_a_part_used_a_unit_replaced_and_all_undone_is_as_before(tmp_path):
    """Every record and every balance; the ledger keeps each move and its opposite."""
    copyfile(SAMPLE, tmp_path / "company.store")
    store = open_store(tmp_path / "company.store", now=lambda: NOW)
    desk = desk_at(store, today=TODAY)
    with store.read() as session:
        part = session.query(Part).filter_by(part_kind="effluent-pump").one()
        unit = session.query(Unit).filter(
            Unit.component == "effluent-pump", Unit.state != "removed", Unit.warranty_until > TODAY
        ).first()  # fmt: skip
        system = session.get(System, unit.system_id)
        site = session.get(Site, system.site_id)
        screw = session.query(Part).filter_by(part_kind="lid-screws").one()
        lena = session.query(Technician).order_by(Technician.id).first()
    visit = a_visit(desk, site, kind_of="repair", technician_id=lena.id)
    before, moves = snapshot(store), len(rows(desk, StockMove))
    new = UnitNote(component="effluent-pump", old_unit_id=unit.id, why="failed", serial="T-1")
    lines = (
        PartNote(text="", part_id=part.id, unit=new),
        PartNote(text="", part_id=screw.id, quantity=2),
    )
    change = write_up(desk, notes_for(desk, visit, parts=lines))
    assert change.touches("unit")
    assert change.touches("stock_move")
    assert len(ledger.open_claims(desk)) == 1

    undo(desk)
    assert snapshot(store) == before
    assert [m.why for m in rows(desk, StockMove)[moves:]].count("undone") == 3
    assert len(rows(desk, StockMove)) == moves + 6
    store.close()
