"""`servicedesk store ...`: made, checked, copied, taken back; what stands is never written over."""

import os
import shutil
from pathlib import Path

import pytest

from servicedesk.cli import main
from servicedesk.desk.changes import undo_text
from servicedesk.desk.office import open_desk
from servicedesk.desk.stores import machine_zone
from servicedesk.records.store import open_store
from tests.records.snapshot import snapshot
from tests.test_cli_morning import SAMPLE, assert_one_message, run, snapshot_of


def test_a_new_store_knows_its_company_and_is_sound(tmp_path, capsys):
    path = tmp_path / "new.store"
    code, out, err = run(
        capsys, "store", "new", "--store", path, "--company", "Sallow Fork Onsite Care",
        "--time-zone", "America/New_York",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert str(path) in out
    code, out, err = run(capsys, "store", "check", "--store", path)
    assert (code, err) == (0, "")
    assert "sound" in out


def test_a_store_is_not_made_where_one_stands(tmp_path, capsys):
    path = Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))
    before = snapshot_of(path)
    code, out, err = run(capsys, "store", "new", "--store", path)
    assert_one_message(code, 3, out, err)
    assert snapshot_of(path) == before


def test_a_backup_restored_holds_the_same(tmp_path, capsys):
    path = Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))
    backup, again = tmp_path / "company.backup", tmp_path / "again.store"
    assert run(capsys, "store", "backup", "--store", path, backup)[0] == 0
    assert run(capsys, "store", "restore", "--store", again, backup)[0] == 0
    assert snapshot_of(again) == snapshot_of(path)
    code, out, err = run(capsys, "store", "restore", "--store", again, backup)
    assert_one_message(code, 3, out, err)


def test_an_export_writes_tables_and_no_codes(tmp_path, capsys):
    path = Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))
    folder = tmp_path / "csv"
    code, _out, err = run(capsys, "store", "export", "--store", path, folder)
    assert (code, err) == (0, "")
    names = {file.stem for file in folder.rglob("*.csv")}
    assert "site" in names
    assert "site_secret" not in names


def test_the_sample_store_upgraded_is_unchanged(tmp_path, capsys):
    path = Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))
    before = snapshot_of(path)
    assert run(capsys, "store", "upgrade", "--store", path)[0] == 0
    store = open_store(path)
    assert snapshot(store) == before
    store.close()


@pytest.mark.parametrize("verb", [("check",), ("backup", "b"), ("export", "e"), ("upgrade",)])
def test_every_verb_refuses_what_is_no_store_in_a_sentence(tmp_path, capsys, monkeypatch, verb):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty.store").write_bytes(b"")
    (tmp_path / "text.store").write_text("our sites\n" * 200, encoding="utf-8")
    (tmp_path / "folder").mkdir()
    for name in ("none.store", "empty.store", "text.store", "folder"):
        code, out, err = run(capsys, "store", verb[0], "--store", tmp_path / name, *verb[1:])
        assert_one_message(code, 3, out, err)
        assert name in err
    assert not (tmp_path / "b").exists()


def test_wrong_use_ends_with_a_sentence_and_where_the_help_is(capsys):
    code, out, err = run(capsys, "store", "burn")
    assert_one_message(code, 2, out, err)
    assert "--help" in err


def test_the_store_may_be_named_before_the_verb_and_behind_it(tmp_path, capsys):
    one, other = tmp_path / "one.store", tmp_path / "other.store"
    assert main(["--store", str(one), "store", "new", "--company", "One"]) == 0
    assert one.exists()
    assert main(["--store", str(tmp_path / "none"), "alerts", "--store", str(one)]) == 0
    assert main(["--store", str(one), "--today", "2026-10-14", "alerts"]) == 0
    assert main(["--store", str(other), "alerts"]) == 3
    assert str(other) in capsys.readouterr().err


def test_nobody_takes_a_new_company_away_by_undo(tmp_path, capsys):
    path = tmp_path / "new.store"
    run(capsys, "store", "new", "--store", path, "--company", "Sallow Fork Onsite Care")
    desk = open_desk(path)
    assert undo_text(desk) is None
    desk.store.close()


@pytest.mark.skipif(os.name == "nt", reason="a zone set by TZ is POSIX")
@pytest.mark.parametrize(
    ("machine", "zone"), [("America/Chicago", "America/Chicago"), ("XXX-3", "UTC")]
)
def test_the_machines_zone_is_the_first_guess(monkeypatch, machine, zone):
    monkeypatch.setenv("TZ", machine)
    assert machine_zone() == zone
