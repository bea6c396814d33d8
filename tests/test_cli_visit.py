"""`servicedesk visit` on the small kept store: lines, JSON alone, refusals."""

import json
import shutil
from pathlib import Path

import pytest

from servicedesk.cli import main
from servicedesk.desk.office import open_desk
from servicedesk.records.undo import undo_change

SAMPLE_DB = Path(__file__).resolve().parents[1] / "sample_db"
ADDRESS = "118 Dry Hollow Lane"


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    place = tmp_path_factory.mktemp("visit") / "company.store"
    shutil.copyfile(SAMPLE_DB / "small-60.store", place)
    return place


@pytest.fixture(scope="module")
def site(store):
    """Number and address of a site that is not on hold, and a technician."""
    desk = open_desk(str(store), today=None)
    with desk.store.read() as session:
        from servicedesk.records.company import Technician
        from servicedesk.records.sites import Site

        one = session.query(Site).filter(~Site.on_hold).order_by(Site.id).first()
        return str(one.number), one.address, session.query(Technician).first().name


def run(capsys, store, *words):
    code = main(["visit", "--store", str(store), "--today", "2026-10-14", *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_visit_is_planned_told_and_taken_back(capsys, store, site):
    number, address, name = site
    options = ("--on", "2026-10-16", "--kind", "repair", "--technician", name, "--held-at", "9:30")
    code, out, err = run(capsys, store, number, *options, "--apart")
    assert (code, err) == (0, "")
    short = name.split()[0]
    head = f"Planned: repair at {address}, Fri, Oct 16, with {short}, held at 9:30 am"
    assert out.splitlines()[0] == head

    code, out, _ = run(capsys, store, number, *options, "--apart", "--json")
    told = json.loads(out, parse_constant=pytest.fail)
    assert (code, told["on"], told["held_at_min"]) == (0, "2026-10-16", 570)
    desk = open_desk(str(store))
    undo_change(desk.store, told["change_id"], who=desk.who)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--on", "2026-10-17"), "Nobody works on"),
        (("--on", "2026-10-01"), "has passed"),
        (("--kind", "repair", "--technician", "Nobody Known"), "no technician called"),
        (("--kind", "repair", "--held-at", "9:30"), "held with a technician on a day"),
        (("--kind", "repair", "--held-at", "soon"), "is not a time"),
        (("--kind", "repair", "--system", "TC-NONE"), "No system called"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(capsys, store, site, options, says):
    code, out, err = run(capsys, store, site[0], *options)
    assert (code, out) == (2, "")
    assert says in err
    assert "Traceback" not in err


def test_a_kind_that_stands_on_something_else_is_wrong_use(capsys, store, site):
    code, out, err = run(capsys, store, site[0], "--kind", "callback")
    assert (code, out) == (2, "")
    assert "callback" in err
