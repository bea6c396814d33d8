"""`servicedesk morning`: the day's papers, the same again, and a sentence for whatever is wrong."""

import json
import re
import shutil
import sqlite3
from pathlib import Path

import pytest
from icalendar import Calendar
from pypdf import PdfReader

from servicedesk.cli import main
from servicedesk.records.store import open_store
from tests.records.snapshot import snapshot

SAMPLE = Path(__file__).resolve().parents[1] / "sample_db" / "small-60.store"
DAY = "2026-10-14"


def run(capsys, *words) -> tuple[int, str, str]:
    try:
        code = main([str(word) for word in words])
    except SystemExit as ended:  # how argparse ends on wrong use
        code = ended.code
    out, err = capsys.readouterr()
    return code, out, err


def morning(capsys, store, out, *words, today=DAY):
    return run(capsys, "morning", "--store", store, "--today", today, "--out", out, *words)


def text_of(folder: Path) -> str:
    """All PDFs' text but for the time of printing."""
    pages = [page for path in sorted(folder.glob("*.pdf")) for page in PdfReader(path).pages]
    return re.sub(r"printed [^\n]*", "", "\n".join(page.extract_text() for page in pages))


def uids_of(folder: Path) -> list[str]:
    files = [Calendar.from_ical(path.read_bytes()) for path in sorted(folder.glob("*.ics"))]
    return sorted(str(event["UID"]) for file in files for event in file.walk("VEVENT"))


def snapshot_of(path: Path) -> dict[str, object]:
    store = open_store(path)
    try:
        return snapshot(store)
    finally:
        store.close()


def changed_by(store: Path, *statements: str) -> None:
    connection = sqlite3.connect(store)
    with connection:
        for statement in statements:
            connection.execute(statement)
    connection.close()


@pytest.fixture
def county(tmp_path):
    return Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))


@pytest.fixture
def tiny(tmp_path, capsys):
    """An empty store with a company's name and nothing else."""
    path = tmp_path / "tiny.store"
    run(capsys, "store", "new", "--store", path, "--company", "Sallow Fork Onsite Care")
    return path


def test_the_same_morning_twice_changes_nothing(county, tmp_path, capsys):
    first, second = tmp_path / "first", tmp_path / "second"
    assert morning(capsys, county, first)[0] in (0, 1)
    before = snapshot_of(county)
    assert morning(capsys, county, second)[0] in (0, 1)
    assert snapshot_of(county) == before
    assert text_of(first).strip()
    assert text_of(second) == text_of(first)
    assert uids_of(first)
    assert uids_of(second) == uids_of(first)


def test_json_stands_alone_and_agrees_with_the_exit_code(county, tmp_path, capsys):
    code, out, err = morning(capsys, county, tmp_path / "papers", "--json")
    report = json.loads(out)
    assert err == ""
    assert code == int(bool(report["n_at_risk"] or report["n_left_out"]))
    assert report["n_stops"] == sum(r["n_stops"] for r in report["rounds"]) > 0
    assert all(Path(path).is_file() for path in report["papers"])


def test_codes_stand_on_paper_only_when_asked_for(county, tmp_path, capsys):
    connection = sqlite3.connect(county)
    connection.execute("DELETE FROM site_secret")
    (columns,) = [[c[1] for c in connection.execute("PRAGMA table_info(site_secret)")]]
    values = {"what": "'gate'", "value": "'Q7741Z'", "site_id": "id", "revision": "1"}
    used = [c for c in columns if c in values]
    fields = ", ".join(values[c] for c in used)
    with connection:
        connection.execute(f"INSERT INTO site_secret ({', '.join(used)}) SELECT {fields} FROM site")
    connection.close()
    plain, told = tmp_path / "plain", tmp_path / "told"
    morning(capsys, county, plain)
    morning(capsys, county, told, "--secrets")
    assert "Q7741Z" in text_of(told)
    assert "Q7741Z" not in text_of(plain)
    for path in [*plain.glob("*.ics"), *told.glob("*.ics")]:
        assert b"Q7741Z" not in path.read_bytes()


@pytest.mark.parametrize(
    ("today", "why"),
    [
        ("2026-10-17", "it is not a working day"),
        ("2026-11-26", "Thanksgiving Day"),
        ("2020-01-06", "no technician yet"),
    ],
)
def test_a_day_on_which_nobody_works_says_why(county, tmp_path, capsys, today, why):
    before = snapshot_of(county)
    code, out, err = morning(capsys, county, tmp_path / "papers", today=today)
    assert err == ""
    assert "Nobody works on" in out
    assert why in out
    assert code == int("was promised for this day and has no place" in out)
    assert snapshot_of(county) == before


def assert_one_message(code, wanted, out, err):
    assert (code, out) == (wanted, "")
    assert 0 < len(err.strip().splitlines()) <= 2
    assert "Traceback" not in err
    assert "Error" not in err


def test_what_is_no_store_ends_with_a_sentence(tmp_path, capsys):
    (tmp_path / "empty.store").write_bytes(b"")
    (tmp_path / "text.store").write_text("our sites\n" * 200, encoding="utf-8")
    (tmp_path / "folder").mkdir()
    for name in ("none.store", "empty.store", "text.store", "folder"):
        code, out, err = morning(capsys, tmp_path / name, tmp_path / "papers")
        assert_one_message(code, 3, out, err)
        assert name in err
    assert not (tmp_path / "papers").exists()


def test_a_folder_that_cannot_be_made_is_told_and_the_plan_is_safe(county, tmp_path, capsys):
    (tmp_path / "file").write_text("here", encoding="utf-8")
    code, out, err = morning(capsys, county, tmp_path / "file" / "papers")
    assert_one_message(code, 2, out, err)
    assert "--out FOLDER" in err


def test_a_day_that_is_none_ends_with_a_sentence(county, tmp_path, capsys):
    code, out, err = morning(capsys, county, tmp_path / "papers", today="tomorrow-ish")
    assert_one_message(code, 2, out, err)
    assert "2026-10-14" in err


def test_a_company_without_a_name_or_any_position_still_gets_its_papers(county, tmp_path, capsys):
    changed_by(
        county,
        "UPDATE site SET lat_deg = NULL, lon_deg = NULL",
        "UPDATE company SET name = '', lat_deg = NULL, lon_deg = NULL",
    )
    code, out, err = morning(capsys, county, tmp_path / "papers", "--json")
    report = json.loads(out)
    assert (code, err) in ((0, ""), (1, ""))
    assert report["n_guessed"] == report["n_stops"] > 0


def test_a_store_with_no_technician_says_so(tiny, tmp_path, capsys):
    code, out, err = morning(capsys, tiny, tmp_path / "papers")
    assert (code, err) == (0, "")
    assert "there is no technician yet" in out


def test_one_site_is_a_day_too(tmp_path, capsys):
    (tmp_path / "one.csv").write_text(
        "Address,Town,Owner,Lat,Lon\n4 Quarry Spur,Old Tessing,Ann Lost,30.01,-94.02\n",
        encoding="utf-8",
    )
    store = tmp_path / "one.store"
    words = ("--store", store, "--today", DAY)
    code, _out, err = run(capsys, "bring-in", tmp_path / "one.csv", *words)
    assert code in (0, 1), err
    code, out, err = morning(capsys, store, tmp_path / "papers")
    assert (code, err) == (0, "")
    assert "Wednesday, October 14, 2026" in out


def test_a_store_in_a_synced_folder_is_warned_of(tmp_path, capsys):
    folder = tmp_path / "OurCloud"
    folder.mkdir()
    store = Path(shutil.copyfile(SAMPLE, folder / "company.store"))
    _code, out, err = morning(capsys, store, tmp_path / "papers", "--json")
    assert json.loads(out)
    assert "sync program" in err
    assert "OurCloud" in err
