"""`servicedesk history` on the small kept store: a paper, JSON alone, refusals."""

import json
import shutil
from pathlib import Path

import pytest

from servicedesk.cli import main

SAMPLE_DB = Path(__file__).resolve().parents[1] / "sample_db"


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    place = tmp_path_factory.mktemp("history") / "company.store"
    shutil.copyfile(SAMPLE_DB / "small-60.store", place)
    return place


def run(capsys, store, *words):
    code = main(["history", "--store", str(store), "--today", "2026-10-14", *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_paper_is_written_where_it_is_wanted(capsys, store, tmp_path):
    paper = tmp_path / "out" / "h.pdf"
    code, out, err = run(capsys, store, "1", "--out", str(paper))
    assert (code, err) == (0, "")
    assert paper.read_bytes().startswith(b"%PDF")
    assert out.splitlines()[1] == str(paper)


def test_json_stands_alone_and_writes_no_paper_unasked(capsys, store):
    code, out, _ = run(capsys, store, "1", "--json", "--for", "owner")
    told = json.loads(out, parse_constant=pytest.fail)
    assert (code, told["paper"]) == (0, None)
    days = [one["on"] for one in told["history"]["entries"]]
    assert days == sorted(days)
    assert days


def test_a_folder_that_cannot_be_written_is_said_in_a_sentence(capsys, store, tmp_path):
    (tmp_path / "file").write_text("x")
    code, out, err = run(capsys, store, "1", "--out", str(tmp_path / "file" / "h.pdf"))
    assert code in (2, 3)
    assert out == ""
    assert "cannot be written" in err
    assert "Traceback" not in err
