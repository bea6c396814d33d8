"""Own causes, checks and parts of a company: written, changed, ended, taken back."""

from dataclasses import replace

import pytest

from servicedesk.cli import main
from servicedesk.desk.checking import StaleEdit, WrongEntry
from servicedesk.desk.knowledge import (
    OwnEntry,
    add_own,
    change_own,
    end_own,
    knowledge_of,
    own,
)
from servicedesk.records.own_entries import OwnEntry as OwnRecord
from servicedesk.records.undo import undo_change
from servicedesk.trade.faults import knowledge
from servicedesk.values.trouble import Trouble
from tests.trade.test_own import ENTRIES, OWN


def test_own_entries_are_added_in_one_change_and_taken_back(desk):
    assert knowledge_of(desk) is knowledge()

    changed = add_own(desk, ENTRIES, note="Lena, 2026")

    assert "gate-motor-noise" in knowledge_of(desk).causes
    assert knowledge_of(desk) is knowledge_of(desk)
    assert {row.note for row in own(desk)} == {"Lena, 2026"}
    undo_change(desk.store, changed.change_id, who="Ines")
    assert knowledge_of(desk) is knowledge()
    assert own(desk) == ()


def test_a_wrong_entry_writes_nothing(desk):
    with pytest.raises(WrongEntry, match="no symptom leads to this cause"):
        add_own(desk, [one for one in ENTRIES if one.kind != "weight"])

    assert own(desk) == ()


def test_an_entry_is_changed_from_the_version_that_was_seen(desk):
    add_own(desk, ENTRIES)
    row = next(row for row in own(desk) if row.kind_of == "weight")

    change_own(desk, row.id, {**row.body, "weight": 9}, seen=row.revision)

    assert knowledge_of(desk).causes_of["alarm-comes-and-goes"].weights["gate-motor-noise"] == 9
    with pytest.raises(StaleEdit):
        change_own(desk, row.id, {**row.body, "weight": 8}, seen=row.revision)
    with pytest.raises(WrongEntry, match="above zero"):
        change_own(desk, row.id, {**row.body, "weight": 0}, seen=row.revision + 1)


def test_what_is_still_named_cannot_end_alone(desk):
    add_own(desk, ENTRIES)
    check = next(row for row in own(desk) if row.kind_of == "check")

    with pytest.raises(WrongEntry, match="gate-motor-listen"):
        end_own(desk, [check.id])

    end_own(desk, [row.id for row in own(desk)])
    assert knowledge_of(desk) is knowledge()
    assert own(desk, ended=True)[0].ended_on == desk.today


def test_an_entry_that_the_program_has_overtaken_is_named_with_the_way_out(desk):
    with desk.store.change("Ines", "As an older version left it") as work:
        body = {"id": "pump-jammed", "component": "effluent-pump"}
        work.add(
            OwnRecord(
                kind_of="component", entry_id="alarm-float", body={"id": "alarm-float", "name": "x"}
            )
        )
    assert body

    with pytest.raises(Trouble, match=r"alarm-float.*there already.*knowledge list"):
        knowledge_of(desk)


def test_the_shell_checks_adds_and_lists(file_desk, tmp_path, capsys):
    place = str(file_desk.store.place)
    path = tmp_path / "own.yaml"
    path.write_text(OWN, encoding="utf-8")
    assert main(["knowledge", "check", str(path)]) == 0
    assert "5 entries are well" in capsys.readouterr().out
    assert main(["knowledge", "add", str(path), "--store", place]) == 0
    capsys.readouterr()
    assert main(["knowledge", "list", "--store", place]) == 0
    assert "gate-motor-noise" in capsys.readouterr().out
    assert main(["knowledge", "add", str(path), "--store", place]) == 2
    assert "there already" in capsys.readouterr().err
    path.write_text(OWN.replace("usual: 0.05", "usual: 0.5"), encoding="utf-8")
    assert main(["knowledge", "check", str(path)]) == 2
    assert "add up to 1.45" in capsys.readouterr().err
    assert main(["knowledge", "check", str(tmp_path / "none.yaml")]) == 2


def test_an_own_entry_is_of_a_known_kind(desk):
    with pytest.raises(WrongEntry, match="none of component"):
        add_own(desk, [replace(ENTRIES[0], kind="moon")])
    assert OwnEntry("weight", {"symptom": "a", "cause": "b"}).entry_id == "a b"
