"""`servicedesk plan` and `servicedesk squeeze` from the shell."""

import json
from datetime import date, timedelta

import pytest

from servicedesk.cli import main
from servicedesk.desk.office import open_desk
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site
from servicedesk.records.store import create_store
from servicedesk.records.visits import Visit
from tests.builders import TODAY, a_company, a_contract, a_site, a_technician


@pytest.fixture
def place(tmp_path):
    path = tmp_path / "company.store"
    a_company(create_store(path))
    desk = open_desk(str(path), today=TODAY)
    a_technician(desk)
    for k in range(3):
        site = a_site(desk, f"{k + 1} Alder Court", lat_deg=30.0 + 0.02 * k, lon_deg=-94.0)
        a_contract(desk, site, from_on=date(2026, 8, 1), until_on=date(2027, 8, 1))
    desk.store.close()
    return str(path)


def run(capsys, *words):
    code = main([*words, "--today", TODAY.isoformat()])
    told = capsys.readouterr()
    return code, told.out, told.err


def n_rounds(place):
    desk = open_desk(place, today=TODAY)
    with desk.store.read() as session:
        n = session.query(Round).count()
    desk.store.close()
    return n


def test_a_draft_is_told_and_not_written(place, capsys):
    code, out, _ = run(capsys, "plan", "--store", place, "--weeks", "3", "--seconds", "0.3")

    assert code == 0
    for k in range(3):
        assert f"{k + 1} Alder Court" in out
    assert "A draft: nothing was written." in out
    assert n_rounds(place) == 0


def test_take_writes_it_and_json_is_json_alone(place, capsys):
    first = TODAY + timedelta(days=5)

    code, out, _ = run(
        capsys, "plan", "--store", place, "--from", first.isoformat(), "--weeks", "2",
        "--technician", "Lena", "--seconds", "0.3", "--take", "--json",
    )  # fmt: skip

    told = json.loads(out)
    assert code == 0
    assert told["taken"] is True
    assert told["draft"]["first"] == first.isoformat()
    assert sum(len(day["stops"]) for day in told["draft"]["days"]) == 3
    assert n_rounds(place) == len(told["draft"]["days"])


@pytest.mark.parametrize(
    "wrong",
    [
        ["--weeks", "0"],
        ["--weeks", "x"],
        ["--seconds", "-1"],
        ["--technician", "Zed"],
        ["--from", "2026-10-14"],
    ],
)
def test_wrong_use_is_said_with_exit_code_2(place, capsys, wrong):
    code, _, err = run(capsys, "plan", "--store", place, *wrong)

    assert code == 2
    assert err


def test_squeeze_tells_every_way(place, capsys):
    run(capsys, "plan", "--store", place, "--weeks", "1", "--seconds", "0.3", "--take")

    code, out, _ = run(
        capsys, "squeeze", "--store", place, "2 Alder Court", "--json", "--days", "6"
    )

    page = json.loads(out)
    assert page["address"] == "2 Alder Court"
    assert code == (0 if page["ways"] else 1)
    code, out, _ = run(capsys, "squeeze", "--store", place, "2 Alder Court", "--days", "6")
    assert "2 Alder Court" in out


def test_squeeze_without_rounds_says_so_with_exit_code_1(place, capsys):
    code, out, _ = run(capsys, "squeeze", "--store", place, "1 Alder Court")

    assert code == 1
    assert "No rounds are planned" in out


def test_squeeze_takes_the_way_that_is_named(place, capsys):
    run(capsys, "plan", "--store", place, "--weeks", "1", "--seconds", "0.3", "--take")
    _, out, _ = run(capsys, "squeeze", "--store", place, "2 Alder Court", "--json", "--days", "6")
    way = json.loads(out)["ways"][0]

    code, _, _ = run(
        capsys, "squeeze", "--store", place, "2 Alder Court", "--days", "6", "--take", "1"
    )

    assert code == 0
    desk = open_desk(place, today=TODAY)
    with desk.store.read() as session:
        site = session.query(Site).filter_by(address="2 Alder Court").one()
        visit = session.query(Visit).filter_by(site_id=site.id).one()
    desk.store.close()
    assert (visit.planned_on.isoformat(), visit.begin_min) == (way["day"], way["begin_min"])
    code, _, err = run(
        capsys, "squeeze", "--store", place, "2 Alder Court", "--days", "6", "--take", "99"
    )
    assert code == 2
    assert "no way 99" in err
