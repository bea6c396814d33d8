"""`servicedesk another-day` and its neighbors from the shell."""

import json
from datetime import date

import pytest

from servicedesk.cli import main
from servicedesk.desk.office import open_desk
from servicedesk.records.store import create_store
from servicedesk.records.visits import Visit
from tests.builders import TODAY, a_company, a_technician
from tests.desk.test_squeeze import FRIDAY, THURSDAY, planned_sites

ADDRESS = f"1 Reed Road, {THURSDAY}"


@pytest.fixture
def place(tmp_path):
    path = tmp_path / "company.store"
    a_company(create_store(path))
    desk = open_desk(str(path), today=TODAY)
    lena = a_technician(desk)
    planned_sites(desk, lena, THURSDAY, n=2)
    planned_sites(desk, lena, FRIDAY, n=2)
    desk.store.close()
    return str(path)


def run(capsys, verb, place, *words):
    code = main([verb, "--store", place, "--today", TODAY.isoformat(), *words])
    told = capsys.readouterr()
    return code, told.out, told.err


def visit_of(place, address):
    desk = open_desk(place, today=TODAY)
    with desk.store.read() as session:
        number = int(address.split()[0])
        visit = session.query(Visit).order_by(Visit.id).all()[number - 1]
    desk.store.close()
    return visit


def test_another_day_tells_the_places_and_takes_one(place, capsys):
    asked = ("--not", "thu", "--after", "13:00", "--with", "my son")

    code, out, _ = run(capsys, "another-day", place, ADDRESS, *asked, "--json")

    offer = json.loads(out)
    assert code == 0
    assert {p["day"] for p in offer["places"]} <= {"2026-10-16", "2026-10-19", "2026-10-20"}
    code, out, _ = run(capsys, "another-day", place, ADDRESS, *asked)
    assert "asked: not Thu, after 1:00 pm, only with my son there" in out
    code, out, _ = run(capsys, "another-day", place, ADDRESS, *asked, "--take", "1")
    assert code == 0
    visit = visit_of(place, ADDRESS)
    assert visit.planned_on == date.fromisoformat(offer["places"][0]["day"])
    assert visit.told
    assert visit.wishes == {"not_days": [3], "from_min": 780, "with_whom": "my son"}


def test_taking_none_leaves_the_visit_without_a_day(place, capsys):
    code, out, _ = run(capsys, "another-day", place, ADDRESS, "--take", "0")

    assert code == 0
    assert "waits for a day" in out
    assert visit_of(place, ADDRESS).planned_on is None


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--not", "someday"), "no day of the week"),
        (("--after", "25:00"), "not a time"),
        (("--take", "9"), "no place 9"),
    ],
)
def test_wrong_use_is_said_with_exit_code_2(place, capsys, words, says):
    try:
        code, _, err = run(capsys, "another-day", place, ADDRESS, *words)
    except SystemExit as end:
        code, err = end.code, capsys.readouterr().err

    assert code == 2
    assert says in err


def test_absent_tells_where_every_stop_would_go_and_takes_it(place, capsys):
    code, out, _ = run(capsys, "absent", place, "Lena", "--from", THURSDAY.isoformat(), "--json")

    asked = json.loads(out)
    assert code == (1 if any(s["to_day"] is None for s in asked["stops"]) else 0)
    assert len(asked["stops"]) == 2
    assert {s["to_day"] for s in asked["stops"]} == {FRIDAY.isoformat()}
    assert visit_of(place, ADDRESS).planned_on == THURSDAY
    code, out, _ = run(capsys, "absent", place, "Lena", "--from", THURSDAY.isoformat(), "--take")
    assert code == 0
    assert "2 stops placed" in out
    assert visit_of(place, ADDRESS).planned_on == FRIDAY


def test_absent_names_who_is_there(place, capsys):
    code, _, err = run(capsys, "absent", place, "Nobody")

    assert code == 2
    assert "Lena Hobb" in err


def test_what_if_tells_the_months_and_what_was_assumed(place, capsys):
    code, out, _ = run(capsys, "what-if", place, "--more-sites", "20", "--years", "3", "--json")

    answer = json.loads(out)
    assert code == 0
    assert len(answer["now"]) == len(answer["then"]) == 12
    code, out, _ = run(capsys, "what-if", place, "--more-sites", "20", "--years", "3")
    assert "Assumed:" in out
    assert "20 more sites" in out
