"""`servicedesk patterns`: lines for people, JSON alone, exit codes."""

import json
import shutil
from pathlib import Path

import pytest

from servicedesk.cli import main

SAMPLE = Path(__file__).resolve().parents[1] / "sample_db" / "small-60.store"


def run(capsys, tmp_path, *words):
    store = tmp_path / "company.store"
    if not store.exists():
        shutil.copyfile(SAMPLE, store)
    code = main(["patterns", "--store", str(store), "--today", "2026-10-14", *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_patterns_are_told_in_lines(capsys, tmp_path):
    code, out, err = run(capsys, tmp_path)

    assert err == ""
    assert code in (0, 1)
    assert "system-years" in out.splitlines()[0]
    assert "What savings rest on:" in out
    assert "assumed: an hour of work or driving costs $65" in out
    assert "_" not in out  # no code shows through


def test_json_alone_says_the_same(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "--json")
    page = json.loads(out, parse_constant=pytest.fail)  # no Infinity, no NaN

    clear = [p for p in page["patterns"] if p["row"]["flag"] == "clearly above"]
    assert code == (1 if clear else 0)
    assert page["n_compared"] == sum(
        row["best"] is not None for factor in page["factors"] for row in factor["rows"]
    )
    flags = {row["flag"] for factor in page["factors"] for row in factor["rows"]}
    assert flags <= {"clearly above", "maybe", "plain", "too few"}
    assert page["assumed"]["reasons"][0]["code"] == "assumed_hour"


def test_an_empty_store_says_that_too_little_failed(capsys, tmp_path):
    store = tmp_path / "company.store"
    main(["store", "new", "--store", str(store), "--company", "Sallow Fork Onsite Care"])
    capsys.readouterr()

    code, out, _ = run(capsys, tmp_path)

    assert code == 0
    assert "Too little has failed yet" in out
