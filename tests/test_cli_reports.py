"""`servicedesk deadlines` and `servicedesk reports`, as a shell calls them, on the sample."""

import csv
import json
import shutil
from datetime import date
from email import message_from_bytes, policy
from io import StringIO

import pytest

from servicedesk.cli import main
from servicedesk.desk.sample import make_sample_at
from servicedesk.papers.picture import page_count

DAY = date(2026, 10, 14)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    path = tmp_path_factory.mktemp("made") / "sample.store"
    make_sample_at(path, size="small", seed=1, day=DAY)
    return path


@pytest.fixture
def store(made, tmp_path):
    path = tmp_path / "sample.store"
    shutil.copyfile(made, path)
    return path


@pytest.fixture
def run(store, capsys):
    def now(*words):
        code = main([*map(str, words), "--store", str(store), "--today", DAY.isoformat()])
        told = capsys.readouterr()
        return code, told.out, told.err

    return now


def test_deadlines_are_told_by_kind_and_as_json(run):
    code, told, _ = run("deadlines")
    assert code == 1  # some forgotten reports are late
    assert "Reports (" in told
    assert "Licenses (" in told

    code, told, _ = run("deadlines", "--kind", "report", "--json")
    answer = json.loads(told)
    assert {one["kind"] for one in answer["deadlines"]} == {"report"}
    assert answer["n"] == answer["n_by_kind"]["report"] == len(answer["deadlines"])
    first = answer["deadlines"][0]
    assert first["days_left"] == (date.fromisoformat(first["due_on"]) - DAY).days
    assert first["confirmed"] is True
    assert "invented" in first["source"]


def test_a_kind_that_does_not_exist_is_wrong_use(run):
    code, _, told = run("deadlines", "--kind", "birthday")

    assert code == 2
    assert "no kind of deadline" in told
    assert "corrected report" in told


def test_what_is_owed_goes_out_in_one_run_and_is_owed_no_more(run, tmp_path):
    code, told, _ = run("reports", "--json")
    owed = json.loads(told)["owed"]
    assert code == 1
    assert owed

    out = tmp_path / "out"
    code, told, _ = run(
        "reports", "--send", "email", "--signed", "Ada Quested", "--out", out, "--json"
    )
    answer = json.loads(told)

    assert code == 0
    assert answer["owed"] == []
    n = sum(len(one["receivers"]) for one in owed)
    assert len(answer["sent"]) == n == len(set(answer["sent"]))
    assert len(list(out.glob("*.pdf"))) == len(list(out.glob("*.eml"))) == n
    for path in out.glob("*.eml"):
        (part,) = message_from_bytes(path.read_bytes(), policy=policy.default).iter_attachments()
        assert part.get_content() == path.with_suffix(".pdf").read_bytes()
    assert not list(out.glob("*.part"))


def test_drafts_take_no_number(run, tmp_path):
    _, told, _ = run("reports", "--out", tmp_path / "drafts", "--to", "owner", "--json")

    answer = json.loads(told)
    assert answer["sent"] == []
    assert len(answer["written"]) == sum("owner" in one["receivers"] for one in answer["owed"])
    assert all(page_count((tmp_path / "drafts" / p.name).read_bytes()) for p in
               (tmp_path / "drafts").iterdir())  # fmt: skip


def test_the_list_of_a_month_in_pdf_and_csv(run, tmp_path):
    _, told, _ = run("reports", "--month", "2026-09", "--out", tmp_path, "--json")
    answer = json.loads(told)

    text = (tmp_path / "inspections-2026-09.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(StringIO(text)))
    assert len(rows) == len(answer["visits"]) > 10
    assert {row["Day"][:7] for row in rows} == {"2026-09"}
    assert page_count((tmp_path / "inspections-2026-09.pdf").read_bytes()) > 0
    assert {one["sent_at"][:7] for one in answer["register"]} <= {"2026-09", "2026-10"}


@pytest.mark.parametrize("month", ["September", "2026-13", "1066-10"])
def test_what_is_no_month_is_wrong_use(run, month):
    code, _, told = run("reports", "--month", month)

    assert code == 2
    assert month in told


def test_a_folder_that_cannot_be_written_is_said(run, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")

    code, _, told = run("reports", "--month", "2026-09", "--out", blocked)

    assert code == 2
    assert "cannot be written" in told
