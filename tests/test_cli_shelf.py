"""`servicedesk shelf` and `servicedesk load` on the sample: lines, JSON alone, exit codes."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from sample_db.ledger import SHORT
from servicedesk.cli import main

SAMPLE_DB = Path(__file__).resolve().parents[1] / "sample_db"
DAY = "2026-10-14"


def run(capsys, tmp_path, *words):
    store = tmp_path / "company.store"
    if not store.exists():
        shutil.copyfile(SAMPLE_DB / "small-60.store", store)
    code = main([words[0], "--store", str(store), "--today", DAY, *words[1:]])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_shelf_is_told_in_lines_and_as_json(capsys, tmp_path):
    code, out, err = run(capsys, tmp_path, "shelf")
    _, told, _ = run(capsys, tmp_path, "shelf", "--json")
    page = json.loads(told, parse_constant=pytest.fail)

    assert err == ""
    assert "_" not in out  # no code shows through
    assert len(out.splitlines()) == 1 + len(page["lines"]) + page["n_short"]
    assert code == (1 if page["n_buy"] or page["n_short"] else 0)
    for line in page["lines"]:
        assert line["at_hand"] == sum(line["lying"].values())
        assert (line["buy"] > 0) == (line["on_shelf"] <= line["point"])
        assert date.fromisoformat(line["runs_out_on"] or DAY) >= date.fromisoformat(DAY)


def test_what_the_truth_left_short_is_to_be_bought(capsys, tmp_path):
    _, told, _ = run(capsys, tmp_path, "shelf", "--json")
    bought = {line["part"]["number"] for line in json.loads(told)["lines"] if line["buy"]}

    assert set(SHORT) <= bought


def test_a_load_needs_planned_visits_and_then_states_its_chance(capsys, tmp_path):
    code, _, err = run(capsys, tmp_path, "load", "--day", "2026-10-17")
    assert code == 1
    assert "No truck has a planned visit" in err

    run(capsys, tmp_path, "morning", "--out", str(tmp_path / "papers"))
    code, out, err = run(capsys, tmp_path, "load", "--day", DAY)
    json_code, told, _ = run(capsys, tmp_path, "load", "--day", DAY, "--json")
    loads = json.loads(told, parse_constant=pytest.fail)["loads"]

    assert err == ""
    assert loads
    assert out.count("All finished at the first visit") == len(loads)
    assert code == json_code == (1 if any(p["buy"] for one in loads for p in one["picks"]) else 0)
    for one in loads:
        assert 0 <= one["before"] <= one["after"] <= one["most"] <= 1
        assert one["unbought"] <= one["after"]
        assert one["after"] >= one["service"] * one["most"] - 1e-9
        assert all(pick["quantity"] >= 1 for pick in one["picks"])


def test_one_technician_and_another_chance(capsys, tmp_path):
    run(capsys, tmp_path, "morning", "--out", str(tmp_path / "papers"))
    _, told, _ = run(capsys, tmp_path, "load", "--json", "--chance", "50")
    (name, *_) = [one["technician"] for one in json.loads(told)["loads"]]
    _, own, _ = run(capsys, tmp_path, "load", "--json", "--technician", name)
    code, _, err = run(capsys, tmp_path, "load", "--chance", "120")

    assert {one["technician"] for one in json.loads(own)["loads"]} == {name}
    assert json.loads(told)["loads"][0]["service"] == 0.5
    assert code == 2
    assert "not a chance from 0 to 100" in err


def test_a_part_is_written_and_shown_from_the_shell(capsys, tmp_path):
    code, out, _ = run(
        capsys, tmp_path, "shelf", "part", "Z-9", "--add", "--name", "Test plug", "--cost", "3.50",
        "--supplier", "Harbor", "--pack", "10",
    )  # fmt: skip
    assert code == 0
    assert "Z-9 Test plug" in out
    assert "cost $3.50" in out
    code, told, _ = run(capsys, tmp_path, "shelf", "part", "test plug", "--price", "9", "--json")
    part = json.loads(told)["part"]
    assert (part["pack"], part["cost_minor"], part["price_minor"]) == (10, 350, 900)
    code, _, err = run(capsys, tmp_path, "shelf", "part", "no such part")
    assert code != 0
    assert "No part has" in err


def test_orders_are_written_arrive_and_are_counted_from_the_shell(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "shelf", "order", "--no-patterns")
    assert code == 1
    assert "gamma-Poisson" in out
    _, told, _ = run(capsys, tmp_path, "shelf", "order", "--no-patterns", "--write", "--json",
                     "--out", str(tmp_path / "papers"))  # fmt: skip
    made = json.loads(told)
    assert made["numbers"]
    assert all(Path(one).exists() for one in made["papers"])
    code, out, _ = run(capsys, tmp_path, "shelf", "order", "--no-patterns")
    assert code == 0
    assert "Nothing is at its order point." in out
    number = str(made["numbers"][0])
    code, out, _ = run(capsys, tmp_path, "shelf", "arrived", number)
    assert (code, out.strip()) == (0, "Written. 0 pieces are still to come.")
    code, _, err = run(capsys, tmp_path, "shelf", "arrived", number)
    assert code != 0
    assert "Nothing like that is open" in err


def test_a_price_list_is_checked_then_written_from_the_shell(capsys, tmp_path):
    file = tmp_path / "list.csv"
    file.write_text("Item number,Net price\nHA060,220.00\nHC025,free\n", encoding="utf-8")
    words = ("shelf", "price-list", str(file), "--supplier", "Harbor")
    code, out, _ = run(capsys, tmp_path, *words, "--check")
    assert code == 1
    assert "line 3, Net price: “free” is no sum of money." in out
    assert out.strip().endswith("Nothing was written.")
    _, told, _ = run(capsys, tmp_path, *words, "--json")
    assert json.loads(told)["written"] is True
    _, out, _ = run(capsys, tmp_path, "shelf", "part", "A-060")
    assert "cost $220.00" in out


def test_the_figures_are_told_in_lines_and_as_json(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "shelf", "--figures")
    _, told, _ = run(capsys, tmp_path, "shelf", "--figures", "--json")
    figures = json.loads(told)

    assert code == 0
    assert "Callbacks finished at the first visit" in out
    assert "_" not in out
    for one in figures["quarters"]:
        assert 0 <= one["finished"] <= one["visits"]
    assert sum(n for _, n in figures["why"]) > 0
