"""`servicedesk bring-in`: a file becomes a store, a store a route sheet; wrong files change nothing."""

import csv
import json
import os
from pathlib import Path

import pytest
from pypdf import PdfReader

from servicedesk.cli import main
from servicedesk.desk.office import open_desk

SHEETS = Path(__file__).resolve().parents[1] / "sample_db" / "sheets"
DAY = ("--today", "2026-10-14")


def run(capsys, *words) -> tuple[int, str, str]:
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_strangers_list_becomes_a_route_sheet_in_two_commands(tmp_path, capsys):
    store, out = tmp_path / "new.store", tmp_path / "papers"
    code, text, _err = run(
        capsys, "bring-in", SHEETS / "strangers_twelve.csv", "--store", store, *DAY
    )
    assert code == 0
    assert "Made a new store" in text
    assert "12 new sites" in text
    assert "Technician 1" in text

    code, text, _err = run(capsys, "morning", "--store", store, "--out", out, *DAY)
    assert code in (0, 1)
    (sheet,) = out.glob("route-*.pdf")
    pages = "\n".join(page.extract_text() for page in PdfReader(sheet).pages)
    with (SHEETS / "strangers_twelve.csv").open(encoding="utf-8", newline="") as file:
        addresses = [row["Where"] for row in csv.DictReader(file)]
    there = [address for address in addresses if address and address in pages]
    assert len(there) >= 5, pages


@pytest.mark.skipif(os.name == "nt", reason="a zone set by TZ is POSIX")
def test_a_new_store_keeps_the_machines_hours_and_says_so(tmp_path, capsys, monkeypatch):
    monkeypatch.setenv("TZ", "America/Chicago")
    store = tmp_path / "new.store"
    _code, text, _err = run(capsys, "bring-in", SHEETS / "strangers_twelve.csv", "--store", store)
    assert "Its time zone is America/Chicago" in text
    desk = open_desk(store)
    assert desk.clock.zone.key == "America/Chicago"
    desk.store.close()


def test_the_second_time_is_silent(tmp_path, capsys):
    words = ("bring-in", SHEETS / "strangers_twelve.csv", "--store", tmp_path / "s.store", *DAY)
    run(capsys, *words)
    code, text, _err = run(capsys, *words)
    assert code == 0
    assert "12 rows unchanged" in text
    assert "Nothing to write" in text
    assert "row 2" not in text


def test_the_order_of_day_and_month_is_asked_in_one_sentence(tmp_path, capsys):
    store = tmp_path / "s.store"
    words = ("bring-in", SHEETS / "visits_cp1252.csv", "--store", store, *DAY)
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert "03.02.2025" in err
    assert "--day-first or --no-day-first" in err
    assert not store.exists(), "no empty store is left behind"
    code, out, _err = run(capsys, *words, "--day-first")
    assert code == 0
    assert "8 new sites" in out


def test_check_writes_nothing(tmp_path, capsys):
    store = tmp_path / "s.store"
    code, text, _err = run(
        capsys, "bring-in", SHEETS / "office_list.xlsx", "--store", store, "--check", *DAY
    )
    assert code == 1, "some rows have to be looked at"
    assert "nothing was written" in text
    assert not store.exists()


def test_json_is_alone_and_holds_no_codes(tmp_path, capsys):
    code, text, _err = run(
        capsys, "bring-in", SHEETS / "office_list.xlsx", "--store", tmp_path / "s.store", "--json",
        "--swap-positions", "--area-code", "802", *DAY,
    )  # fmt: skip
    report = json.loads(text)
    assert code == 1
    assert report["counts"]["new_sites"] == 20
    assert report["change_id"]
    assert "4821" not in text
    assert {row["state"] for row in report["rows"]} == {"new"}


def test_a_corrected_column_is_taken(tmp_path, capsys):
    words = ("bring-in", SHEETS / "strangers_twelve.csv", "--store", tmp_path / "s.store", *DAY)
    code, text, _err = run(capsys, *words, "--column", "Ring=nothing", "--json")
    assert code == 0
    assert all("phone" not in made for row in json.loads(text)["rows"] for made in row["made"])
    code, _out, err = run(capsys, *words, "--column", "Ring")
    assert code == 2
    assert "--column Ring=phone" in err


def test_waypoints_come_in_by_the_same_verb(tmp_path, capsys):
    store = tmp_path / "s.store"
    run(capsys, "bring-in", SHEETS / "strangers_twelve.csv", "--store", store, *DAY)
    code, text, _err = run(capsys, "bring-in", SHEETS / "waypoints.gpx", "--store", store, *DAY)
    assert code == 1, "two waypoints are no site"
    assert "9 sites placed" in text


@pytest.mark.parametrize(
    ("name", "content"),
    [("a.csv", b""), ("a.xlsx", b"\x89PNG\r\n\x1a\n"), ("a.gpx", b"<html></html>")],
)
def test_a_file_that_is_no_list_ends_with_a_sentence(tmp_path, capsys, name, content):
    (tmp_path / name).write_bytes(content)
    store = tmp_path / "s.store"
    code, out, err = run(capsys, "bring-in", tmp_path / name, "--store", store, *DAY)
    assert (code, out) == (2, "")
    assert err.strip()
    assert "Traceback" not in err
    assert not store.exists()


def test_no_file_a_folder_and_no_place_for_a_store_end_with_a_sentence(tmp_path, capsys):
    for file, store, wanted in (
        (tmp_path / "none.csv", tmp_path / "s.store", 2),
        (tmp_path, tmp_path / "s.store", 2),
        (SHEETS / "strangers_twelve.csv", tmp_path / "no" / "s.store", 3),
    ):
        code, _out, err = run(capsys, "bring-in", file, "--store", store, *DAY)
        assert code == wanted, err
        assert err.strip()
        assert not store.exists()
