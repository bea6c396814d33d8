"""The rows go into a store, and the committed small store is what the generator makes."""

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

import sample_db
from sample_db.__main__ import main
from sample_db.load import make_sample
from sample_db.make import make

FIXED = Path(sample_db.__file__).parent / "small-60.store"
FIXED_SEED = 126
FIXED_DAY = date(2026, 10, 14)


def test_the_rows_load_and_every_reference_holds(tmp_path):
    made = make_sample(tmp_path / "s.store", size="sixty", seed=4, today=FIXED_DAY)
    with closing(sqlite3.connect(tmp_path / "s.store")) as store:
        assert store.execute("PRAGMA foreign_key_check").fetchall() == []
        assert store.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        for table, count in made.counts.items():
            assert store.execute(f"SELECT count(*) FROM {table}").fetchone() == (count,)
        kind, what = store.execute("SELECT kind_of, what FROM change").fetchone()
    assert kind == "load"
    assert what.startswith("Invented sample")


def test_the_shell_line_makes_store_roads_and_truth_and_refuses_to_overwrite(tmp_path, capsys):
    line = [str(tmp_path / "a.store"), "--size", "sixty", "--today", "2026-10-14"]
    line += ["--compact", "--roads", str(tmp_path / "a.osm"), "--truth", str(tmp_path / "a.json")]
    assert main(line) == 0
    assert {p.suffix for p in tmp_path.iterdir()} == {".store", ".osm", ".json"}
    before = (tmp_path / "a.store").read_bytes()
    assert main(line) == 3
    assert (tmp_path / "a.store").read_bytes() == before
    assert "a.store" in capsys.readouterr().err


def test_the_committed_store_is_small_says_that_it_is_invented_and_names_its_day():
    assert FIXED.stat().st_size < 1_500_000
    with closing(sqlite3.connect(f"file:{FIXED}?mode=ro&immutable=1", uri=True)) as store:
        (note,) = store.execute("SELECT invented_note FROM company").fetchone()
        assert store.execute("SELECT count(*) FROM site").fetchone() == (60,)
    assert "nvented" in note
    assert "October 14, 2026" in note


@pytest.mark.parametrize("table", ["site", "visit", "job", "call", "finding", "owed", "contract"])
def test_the_committed_store_holds_what_the_generator_makes(table):
    """Where this fails after a change of the generator: make it again (sample_db/README.md)."""
    rows = make("sixty", FIXED_SEED, FIXED_DAY)[0][table]
    plain = [c for c, v in rows[0].items() if not isinstance(v, dict | list)]
    texts = [c for c in plain if all(isinstance(r[c], str | int | None) for r in rows)]
    with closing(sqlite3.connect(f"file:{FIXED}?mode=ro&immutable=1", uri=True)) as store:
        asked = ", ".join(f'"{c}"' for c in texts)
        stored = store.execute(f"SELECT {asked} FROM {table} ORDER BY id").fetchall()
    assert stored == [tuple(row[c] for c in texts) for row in rows]
