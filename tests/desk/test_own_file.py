"""Own entries written to a file, worked on there, and taken back as one change."""

import pytest

from servicedesk.cli import main
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.knowledge import add_own, knowledge_of, own
from servicedesk.desk.own_file import own_as_text, read_own_file, write_own_file
from servicedesk.trade.own import entries_of_file
from servicedesk.values.trouble import Trouble
from tests.trade.test_own import ENTRIES


def test_what_is_written_reads_as_the_same_entries():
    assert entries_of_file(own_as_text(ENTRIES, head="by us"), file="own.yaml") == ENTRIES


def test_a_file_is_worked_on_and_taken_back_as_one_change(desk, tmp_path):
    add_own(desk, ENTRIES, note="Lena, 2026")
    path = tmp_path / "own.yaml"
    assert write_own_file(desk, path) == len(ENTRIES)
    text = path.read_text(encoding="utf-8")
    text = text.replace("weight: 4", "weight: 6").replace("Gate motor\n", "Motor of the gate\n")
    extra = "part_kinds:\n- id: gate-belt\n  name: Belt of the gate\n"
    path.write_text(text.replace("part_kinds:\n", extra), encoding="utf-8")

    read_own_file(desk, path)

    known = knowledge_of(desk)
    assert known.causes_of["alarm-comes-and-goes"].weights["gate-motor-noise"] == 6
    assert known.components["gate-motor"].name == "Motor of the gate"
    assert "gate-belt" in known.part_kinds
    assert {row.note for row in own(desk)} == {"own.yaml"}
    undo(desk)
    assert knowledge_of(desk).components["gate-motor"].name == "Gate motor"
    assert "gate-belt" not in knowledge_of(desk).part_kinds


def test_one_cause_takes_its_numbers_along(desk, tmp_path):
    add_own(desk, ENTRIES)
    cause = next(row for row in own(desk) if row.kind_of == "cause")

    assert write_own_file(desk, tmp_path / "one.yaml", [cause.id]) == 2
    kinds = {one.kind for one in entries_of_file((tmp_path / "one.yaml").read_text(), file="x")}
    assert kinds == {"cause", "weight"}
    assert not list(tmp_path.glob("*.part"))


def test_a_wrong_file_writes_nothing(desk, tmp_path):
    add_own(desk, ENTRIES)
    before = own(desk)
    path = tmp_path / "own.yaml"
    write_own_file(desk, path)
    path.write_text(path.read_text().replace("hums: 0.9", "hums: 0.5"), encoding="utf-8")

    with pytest.raises(WrongEntry, match=r"add up to 0\.6"):
        read_own_file(desk, path)
    assert own(desk) == before
    path.write_text("format: 1\n", encoding="utf-8")
    with pytest.raises(Trouble, match="no entries"):
        read_own_file(desk, path)


def test_a_place_that_cannot_be_written_is_named(desk, tmp_path):
    with pytest.raises(Trouble, match="no own entries"):
        write_own_file(desk, tmp_path / "own.yaml")
    add_own(desk, ENTRIES)
    with pytest.raises(Trouble, match="cannot be written"):
        write_own_file(desk, tmp_path / "nowhere" / "own.yaml")


def test_the_shell_writes_and_reads(file_desk, tmp_path, capsys):
    place, path = str(file_desk.store.place), tmp_path / "own.yaml"
    add_own(file_desk, ENTRIES)
    assert main(["knowledge", "write", str(path), "--store", place]) == 0
    assert "Wrote 5 entries" in capsys.readouterr().out
    path.write_text(path.read_text().replace("weight: 4", "weight: 8"), encoding="utf-8")
    assert main(["knowledge", "read", str(path), "--store", place]) == 0
    assert "Took 5 entries back" in capsys.readouterr().out
    known = knowledge_of(file_desk)
    assert known.causes_of["alarm-comes-and-goes"].weights["gate-motor-noise"] == 8
