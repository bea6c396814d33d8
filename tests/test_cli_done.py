"""`servicedesk done` writes up the visit of a day at one site."""

import json
from dataclasses import replace
from io import BytesIO
from zoneinfo import ZoneInfo

import pypdfium2
import pytest

from servicedesk.cli import main
from servicedesk.desk.office import desk_at
from servicedesk.desk.reports import Wanted, draft_pdf
from servicedesk.records.owed import Owed
from servicedesk.records.store import open_store
from servicedesk.records.visits import Finding, ItemResult, Job, PartLine, ReadingRow, Visit
from servicedesk.values.clock import Clock
from tests.builders import (
    TIME_ZONE,
    TODAY,
    a_call,
    a_company,
    a_done_visit,
    a_site,
    a_visit,
)
from tests.conftest import NOW
from tests.records.snapshot import snapshot


@pytest.fixture
def office(file_store):
    """A desk on a store file, and a way to say a command there."""
    a_company(file_store)
    desk = replace(desk_at(file_store), clock=Clock(ZoneInfo(TIME_ZONE), now_utc=lambda: NOW))

    def say(*words):
        return main(["done", "--store", file_store.place, "--today", TODAY.isoformat(), *words])

    return desk, say


def rows(desk, model):
    store = open_store(desk.store.place)
    with store.read() as session:
        return session.query(model).order_by(model.id).all()


def planned(desk, site, **more):
    return a_visit(desk, site, begin_min=545, leave_min=590, **more)


@pytest.mark.parametrize("by", ["118 Dry Hollow Lane", "dry hollow", "TC-00001", "555-0142", "1"])
def test_the_site_is_found_by_address_permit_phone_or_number(office, by):
    desk, say = office
    visit = planned(desk, a_site(desk, phone="409-555-0142"))
    other = planned(desk, a_site(desk, "31 Quarry Spur", owner="Arden, Lee"))
    assert say(by) == 0
    states = {v.id: v.state for v in rows(desk, Visit)}
    assert states == {visit.id: "done", other.id: "planned"}


def test_times_readings_parts_and_owed_are_written(office, capsys):
    desk, say = office
    planned(desk, a_site(desk))
    code = say(
        *("dry hollow", "--in", "910", "--out", "9:55", "--as-usual", "--all-ticked"),
        *("--reading", "total-chlorine=<0.1", "--reading", "air-pressure=22 kPa"),
        *("--part", "4 x sealed connector", "--part", "nozzle"),
        *("--did", "tied up", "--fix", "patched", "--as-left", "runs"),
        *("--owed", "west head: low nozzle by Nov 30"),
    )
    assert code == 0
    visit = rows(desk, Visit)[0]
    assert visit.arrived_at == desk.clock.instant(TODAY, 550)
    assert visit.left_at == desk.clock.instant(TODAY, 595)
    assert all(visit.leaving.values())
    assert visit.as_left == "runs"
    assert [(r.item_id, r.qualifier, r.value, r.unit) for r in rows(desk, ReadingRow)] == [
        ("total-chlorine", "<", "0.1", "mg/L"),
        ("air-pressure", "=", "22", "kPa"),
    ]
    items = {r.item_id: r.grade for r in rows(desk, ItemResult)}
    assert items["mixing"] == "good"
    assert items["residual"] == "failed"  # the number decides over "as usual"
    assert [(p.text, p.quantity) for p in rows(desk, PartLine)] == [
        ("sealed connector", 4),
        ("nozzle", 1),
    ]
    owed = rows(desk, Owed)[0]
    assert (owed.what, owed.needs, owed.by_on.isoformat()) == (
        "west head",
        "low nozzle",
        "2026-11-30",
    )
    assert "118 Dry Hollow Lane, Wednesday, October 14, 2026, in 910, out 9:55" in (
        capsys.readouterr().out
    )


def test_chlorine_is_the_one_that_was_taken_here_before(office, capsys):
    desk, say = office
    site = a_site(desk)
    past = a_done_visit(desk, site, TODAY.replace(month=5))
    with desk.store.change(desk.who, "A reading") as work:
        job = work.session.query(Job).filter_by(visit_id=past.id).one()
        work.add(ReadingRow(job_id=job.id, item_id="total-chlorine", value="0.6", unit="mg/L"))
    planned(desk, site)
    assert say("dry hollow", "--reading", "chlorine=0.5") == 0
    assert [r.item_id for r in rows(desk, ReadingRow)] == ["total-chlorine"] * 2


def test_json_alone_on_standard_output(office, capsys):
    desk, say = office
    visit = planned(desk, a_site(desk))
    assert say("dry hollow", "--outcome", "could-not", "--why", "no-access", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["visit_id"] == visit.id
    assert told["jobs"] == ["inspection: could not: no access"]
    assert rows(desk, Job)[0].could_not == "no access"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("Nowhere Road",), "No site is known by “Nowhere Road”"),
        (("larkrise",), "No visit is planned there on Wed, Oct 14. 6 Larkrise Court."),
        (("lane",), "fits several visits of the day. 118 Dry Hollow Lane, 121 Dry Hollow Lane."),
        (("118 Dry Hollow Lane", "--in", "soon"), "“soon” is no time for In"),
        (("118 Dry Hollow Lane", "--out", "8:00"), "Out at 8:00 am is not after in at 9:05 am."),
        (("118 Dry Hollow Lane", "--reading", "ph=sour"), "“sour” is not a number for pH"),
        (("118 Dry Hollow Lane", "--reading", "ph"), "“ph” is no reading"),
        (("118 Dry Hollow Lane", "--reading", "moat=1"), "“moat” is no reading we know"),
        (("118 Dry Hollow Lane", "--reading", "chlorine=1"), "may be several readings"),
        (("118 Dry Hollow Lane", "--outcome", "could-not"), "Say why not: no access"),
        (("118 Dry Hollow Lane", "--fix", "patched"), "Patched: write what is still owed"),
        (("118 Dry Hollow Lane", "--owed", "x by 3/4"), "“3/4” is no day"),
    ],
)
def test_what_is_wrong_is_one_sentence_and_nothing_is_written(office, capsys, words, says):
    desk, say = office
    planned(desk, a_site(desk))
    planned(desk, a_site(desk, "121 Dry Hollow Lane", owner="Arden, Lee"))
    a_site(desk, "6 Larkrise Court", owner="Moss, Ada")
    before = snapshot(desk.store)
    assert say(*words) == 2
    assert says in capsys.readouterr().err
    assert snapshot(desk.store) == before


@pytest.fixture
def callback(office):
    """A callback of today for a high-water alarm."""
    desk, say = office
    site = a_site(desk)
    call = a_call(desk, site)
    planned(desk, site, kind_of="callback", job={"call_id": call.id})
    return desk, say


def test_a_trouble_is_written_with_its_checks_and_its_cause(callback, capsys):
    desk, say = callback
    words = [
        *("--check", "splice-look=wet-or-green", "--check", "alarm-float-lift=-"),
        *("--check", "pump-insulation=0.08 Mohm, low", "--fix", "fixed", "--did", "new splice"),
        *("--cause", "splice-shorted-alarm", "--known-by", "a-direct-check", "--json"),
    ]
    assert say("118 Dry Hollow Lane", *words) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["behind"] == [
        "Cause established: Alarm splice wet: leakage or short between conductors"
    ]
    assert "Open the splices and look: wet, green or black" in told["findings"]
    assert told["readings"] == ["Pump leads to ground: 0.08 MΩ"]
    assert {f.check_id: f.result_id for f in rows(desk, Finding)} == {
        "splice-look": "wet-or-green",
        "alarm-float-lift": None,
        "pump-insulation": "low",
    }
    job = rows(desk, Job)[0]
    assert (job.cause_id, job.cause_known_by) == ("splice-shorted-alarm", "a direct check")


def test_a_number_with_a_range_says_its_own_result(callback):
    desk, say = callback
    assert say("dry hollow", "--check", "dissolved-oxygen=0.4", "--could-not-look") == 0
    assert [(f.check_id, f.result_id) for f in rows(desk, Finding)] == [
        ("dissolved-oxygen", "very-short")
    ]


def test_no_fault_found_writes_and_says_what_is_still_owed(callback, capsys):
    desk, say = callback
    assert say("dry hollow", "--no-fault-found", "--check", "pump-tank-level=pumped-down") == 0
    out = capsys.readouterr().out
    assert "No fault found" in out
    assert "owed: No fault found; still to be checked: " in out
    owed = rows(desk, Owed)[0]
    assert "Open the splices and look" in owed.what
    assert "Water level in the pump tank" not in owed.what


def test_what_was_behind_the_call_is_not_said_of_work_owed_there_as_well(callback):
    desk, say = callback
    with desk.store.change(desk.who, "One more job") as work:
        visit = work.session.query(Visit).one()
        work.add(Job(visit_id=visit.id, kind_of="owed", system_id=None))
    assert say("dry hollow", "--no-fault-found", "--check", "pump-tank-level=pumped-down") == 0
    by_kind = {job.kind_of: job.no_fault_found for job in rows(desk, Job)}
    assert by_kind == {"callback": True, "owed": False}


def test_a_sentence_that_is_wrong_for_two_jobs_is_said_once(callback, capsys):
    desk, say = callback
    with desk.store.change(desk.who, "One more job") as work:
        visit = work.session.query(Visit).one()
        work.add(Job(visit_id=visit.id, kind_of="owed", system_id=None))
    assert say("dry hollow", "--fix", "patched") == 2
    assert capsys.readouterr().err.count("Patched: write what is still owed") == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--check", "splice-lok=wet"], "The nearest one is splice-look."),
        (["--check", "splice-look=soggy"], "Give one of: dry-sealed, tape-only-dry, wet-or-green"),
        (["--check", "splice-look"], "Write it like splice-look=wet-or-green"),
        (["--check", "pump-amps=6.9 A"], "Add one of: normal, low, high, zero"),
        (["--cause", "splice-shorted", "--known-by", "seen"], "The nearest one is splice-shorted"),
        (["--cause", "leaking-fixture"], "Say how we know the cause"),
        (["--cause", "leaking-fixture", "--no-fault-found"], "Only one of --cause"),
        ([], "Say what was behind it"),
    ],
)
def test_a_trouble_that_cannot_be_meant_is_refused_and_nothing_is_written(
    callback, capsys, words, says
):
    desk, say = callback
    before = snapshot(desk.store)
    assert say("dry hollow", *words) == 2
    assert says in capsys.readouterr().err
    assert snapshot(desk.store) == before


def test_a_visit_without_a_trouble_takes_no_findings(office, capsys):
    desk, say = office
    planned(desk, a_site(desk))
    assert say("dry hollow", "--check", "lid-look=loose") == 2
    assert "No job of this visit is about a trouble" in capsys.readouterr().err


def test_as_usual_says_nothing_against_a_check_of_the_same_visit(callback):
    desk, say = callback
    with desk.store.change(desk.who, "And an inspection") as work:
        job = work.session.query(Job).one()
        work.add(Job(visit_id=job.visit_id, kind_of="inspection", system_id=job.system_id))
    words = ("--as-usual", "--could-not-look", "--check", "alarm-float-lift=stays-on")
    assert say("dry hollow", *words, "--check", "pump-floats-lift=right") == 0
    said = {r.item_id: (r.grade, r.answer) for r in rows(desk, ItemResult)}
    assert said["alarm-float-test"] == ("failed", "stays on hanging")
    assert said["floats-test"] == ("good", "starts and stops as drawn")


def test_a_visit_for_a_sale_is_written_item_by_item_and_its_paper_says_them(office, capsys):
    desk, say = office
    planned(desk, a_site(desk), kind_of="sale")
    assert say("dry hollow", "--as-usual", "--all-ticked", "--reading", "total-chlorine=0.5") == 0

    (job,) = rows(desk, Job)
    graded = {row.item_id: row.grade for row in rows(desk, ItemResult)}
    assert graded["lids-found"] == "good"
    with pypdfium2.PdfDocument(BytesIO(draft_pdf(desk, Wanted(job.id, "owner")))) as document:
        text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    assert "Also looked at" in text
    assert "Every lid: whole, seated, screws" in text
