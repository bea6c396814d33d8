"""`servicedesk sample`: the store of an invented company."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from servicedesk.desk import sample
from servicedesk.values import clock
from tests.test_cli_morning import assert_one_message, run, snapshot_of


def test_equal_seed_and_day_give_equal_rows(tmp_path, capsys):
    made = []
    for name in ("one.store", "two.store"):
        code, out, err = run(
            capsys, "sample", "--seed", "7", "--today", "2026-10-14", "--out", tmp_path / name
        )
        assert (code, err) == (0, "")
        assert "420 sites" in out
        assert name in out
        made.append(snapshot_of(tmp_path / name))
    assert made[0] == made[1]


def test_what_stands_there_is_never_written_over(tmp_path, capsys):
    path = tmp_path / "notes.txt"
    path.write_text("ours", encoding="utf-8")
    code, out, err = run(capsys, "sample", "--out", path)
    assert_one_message(code, 3, out, err)
    assert path.read_text(encoding="utf-8") == "ours"


@pytest.mark.parametrize("place", ["none/x.store", "file/x.store", "folder"])
def test_a_place_that_cannot_be_is_told(tmp_path, capsys, place):
    (tmp_path / "file").write_bytes(b"")
    (tmp_path / "folder").mkdir()
    code, out, err = run(capsys, "sample", "--out", tmp_path / place)
    assert_one_message(code, 3, out, err)


def test_today_is_the_day_at_the_invented_company_not_at_this_machine(monkeypatch):
    # 1 am in London on the 15th is still the 14th in New York
    monkeypatch.setattr(
        clock.Clock.__init__,
        "__defaults__",
        (None, lambda: datetime(2026, 10, 15, 0, tzinfo=UTC)),
    )
    assert sample.sample_today() == date(2026, 10, 14)


def test_a_foreign_folder_among_passing_files_is_not_used(tmp_path, monkeypatch):
    monkeypatch.setattr(sample.tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(sample, "_login", lambda: "somebody")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    named = tmp_path / "servicedesk-sample-somebody"
    named.symlink_to(elsewhere)
    found = sample._passing_folder()
    assert found != named
    assert found.parent == tmp_path
    named.unlink()
    assert sample._passing_folder() == Path(named)
