"""`servicedesk done` with parts of the catalogue and units replaced, and what it says in JSON."""

import json

import pytest

from servicedesk import cli
from servicedesk.desk import ledger
from servicedesk.records.contracts import Contract
from servicedesk.records.equipment import Unit
from servicedesk.records.owed import Owed
from servicedesk.records.visits import PartLine
from tests.desk.stocked import IN_A_YEAR, WithPump, copied, made_once
from tests.desk.written_visits import rows


@pytest.fixture(scope="module")
def template(tmp_path_factory, empty_file):
    path = tmp_path_factory.mktemp("shell") / "one.store"
    return made_once(WithPump, empty_file, path, warranty_until=IN_A_YEAR), path


@pytest.fixture
def office(template, tmp_path):
    """The store at hand, and a call of the shell against it."""
    path = tmp_path / "company.store"
    here = copied(*template, path)

    def done(*words):
        return cli.main(
            ["done", "dry hollow", "--store", str(path), "--today", "2026-10-14", "--in", "9:05",
             "--out", "9:50", *words]
        )  # fmt: skip

    yield here, done
    here.desk.store.close()


def test_a_unit_is_replaced_and_told_in_json(office, capsys):
    here, done = office
    code = done(
        "--part", "4 x sealed", "--part", "wire nuts",
        "--replaced", "effluent-pump=P-050, serial=B2, reason=failed, warranty=2 years,"
        "left=on the truck",
        "--json",
    )  # fmt: skip
    assert code == 0
    told = json.loads(capsys.readouterr().out)
    assert told["parts"] == [
        {"text": "Splice kit, sealed", "number": "W-012", "quantity": 4, "taken_from": "T1",
         "billing": "contract", "why": "contract 1 covers it", "value": "$76.80", "replaced": "",
         "claim_owed": False, "left": 6},
        {"text": "wire nuts", "number": "", "quantity": 1, "taken_from": "",
         "billing": "contract", "why": "contract 1 covers it", "value": "—", "replaced": "",
         "claim_owed": False, "left": None},
        {"text": "Pump, 1/2 hp", "number": "P-050", "quantity": 1, "taken_from": "T1",
         "billing": "warranty", "why": "the unit is under warranty until Oct 14, 2027",
         "value": "$520.00", "replaced": "Effluent pump", "claim_owed": True,
         "left": 9},
    ]  # fmt: skip
    old, new = rows(here.desk, Unit)
    assert (old.state, new.serial, new.warranty_until.isoformat()) == (
        "removed", "B2", "2028-10-14",
    )  # fmt: skip
    assert (here.lies(here.kit), here.lies(here.pump)) == (6, 9)
    assert len(ledger.open_claims(here.desk)) == 1


def test_in_lines_it_says_the_same(office, capsys):
    _, done = office
    assert done("--replaced", "effluent-pump=pump") == 0
    out = capsys.readouterr().out
    assert "1 x Pump, 1/2 hp (P-050) · from T1 · $520.00 · warranty: the unit is under" in out
    assert "replaced: Effluent pump · a claim is owed" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--replaced", "moat=P-050"], "names no component"),
        (["--replaced", "effluent-pump"], "names no component"),
        (["--replaced", "effluent-pump=P-050,color=red"], "says nothing of a unit"),
        (["--replaced", "effluent-pump=P-050,left=gone"], "where the old one is now"),
        (["--replaced", "effluent-pump=P-050,warranty=long"], "is no warranty"),
        (["--replaced", "effluent-pump=P-050,from=attic"], "No parts are kept"),
        (["--part", "3 x tablets"], "without asking"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_written(office, capsys, words, says):
    here, done = office
    if "3 x tablets" in words:
        with here.desk.store.change("Ines", "A limit") as work:
            work.session.query(Contract).one().approval_limit_minor = 10_000
    assert done(*words) == 2
    assert says in capsys.readouterr().err
    assert rows(here.desk, PartLine) == []


def test_approved_or_owed_is_said_in_the_shell(office):
    here, done = office
    with here.desk.store.change("Ines", "A limit") as work:
        work.session.query(Contract).one().approval_limit_minor = 10_000
    assert done("--part", "3 x tablets", "--approval-owed") == 0
    assert [(o.state, o.waits_for) for o in rows(here.desk, Owed)] == [("open", "approval")]
