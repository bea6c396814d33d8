"""`contract` and `bills` from the shell: answers, JSON alone, exit codes, sentences."""

import json
import shutil

import pytest

from servicedesk.cli import main
from servicedesk.desk.office import desk_at
from servicedesk.records.store import open_store
from tests.builders import TODAY, a_company, a_contract, a_done_visit, a_site
from tests.conftest import NOW


@pytest.fixture(scope="module")
def made(tmp_path_factory, empty_file):
    """A store with one site, its contract and a billable callback; the tests copy it."""
    path = tmp_path_factory.mktemp("cli") / "company.store"
    shutil.copyfile(empty_file, path)
    store = open_store(path, now=lambda: NOW)
    a_company(store)
    desk = desk_at(store, today=TODAY)
    site = a_site(desk)
    a_contract(desk, site, price_minor=38500)
    a_done_visit(desk, site, TODAY, kind_of="callback",
                 job={"billing": "billable", "price_minor": 13700})  # fmt: skip
    store.close()
    return path


@pytest.fixture
def run(made, tmp_path, capsys):
    path = tmp_path / "company.store"
    shutil.copyfile(made, path)

    def do(*words):
        code = main([*words, "--store", str(path), "--today", TODAY.isoformat()])
        said = capsys.readouterr()
        return code, said.out, said.err

    return do


def test_the_contracts_of_a_site_are_listed(run):
    code, out, _ = run("contract", "list", "118 Dry Hollow Lane")
    assert code == 0
    assert "Contract 1  Apr 1, 2026 to Mar 31, 2027  running" in out
    assert "3 owed, 0 done" in out


def test_a_contract_is_ended_followed_and_told_as_json(run):
    code, _, _ = run("contract", "end", "118 Dry Hollow Lane", "--last", "2026-10-31", "--why",
                     "moved")  # fmt: skip
    assert code == 0
    code, out, _ = run("contract", "take-over", "118 Dry Hollow Lane", "--company", "Fennel Water",
                       "--from", "2026-11-01", "--price", "$385.50", "--json")  # fmt: skip
    assert code == 0
    newest, first = json.loads(out)["contracts"]["lives"]
    assert (newest["state"], newest["row"]["price_minor"]) == ("to begin", 38550)
    assert newest["row"]["taken_from"] == "Fennel Water"
    assert first["state"] == "ending"


def test_a_house_is_sold_from_the_shell(run):
    code, out, _ = run("contract", "sell-house", "118 Dry Hollow Lane", "--on", "2026-10-10",
                       "--buyer", "Marsh, Ida")  # fmt: skip
    assert code == 0
    assert "held by Marsh, Ida" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("new", "118 Dry Hollow Lane", "--from", "2026-10-20", "--price", "400"),
         "covers Oct 20, 2026 to Mar 31, 2027 already"),
        (("new", "118 Dry Hollow Lane", "--from", "2027-10-20", "--price", "0"),
         "is no contract"),
        (("new", "118 Dry Hollow Lane", "--from", "2027-10-20", "--price", "many"),
         "“many” is no amount"),
        (("sign", "118 Dry Hollow Lane"), "No contract there can be meant"),
        (("end", "118 Dry Hollow Lane", "--last", "2026-10-31"), "Write why"),
        (("list", "Nowhere"), "Nowhere"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence_and_exit_code_2(run, words, says):
    code, out, err = run("contract", *words)
    assert (code, out) == (2, "")
    assert says in err


def test_bills_go_out_and_come_back(run, tmp_path):
    code, out, _ = run("bills", "--since", "2026-10-01")
    assert code == 0
    assert "job-1 · 118 Dry Hollow Lane" in out
    code, _, _ = run("bills", "--out", str(tmp_path / "list.csv"))
    assert code == 0
    text = (tmp_path / "list.csv").read_text(encoding="utf-8-sig")
    (tmp_path / "back.csv").write_text(
        text.replace("job-1,to bill,,,", "job-1,paid,77,2026-10-14,2026-10-14")
    )
    code, out, _ = run("bills", "--back", str(tmp_path / "back.csv"))
    assert code == 0
    assert "to bill → paid (number 77" in out
    assert json.loads(run("bills", "--json")[1])["sums"]["paid"] == 0  # only told
    run("bills", "--back", str(tmp_path / "back.csv"), "--write")
    assert json.loads(run("bills", "--json")[1])["sums"]["paid"] == 13700


def test_a_bill_without_a_number_is_refused(run):
    run("bills", "--since", "2026-10-01")
    code, _, err = run("bills", "--billed", "job-1")
    assert code == 2
    assert "number of the bill" in err
