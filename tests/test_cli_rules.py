"""`servicedesk rules`: copied, changed, read back, put in force, taken away."""

import json
import shutil
from pathlib import Path

import pytest

from servicedesk.cli import main

SAMPLE = Path(__file__).parents[1] / "sample_db" / "small-60.store"


@pytest.fixture
def store(tmp_path):
    place = tmp_path / "our.store"
    shutil.copyfile(SAMPLE, place)
    return str(place)


def test_an_own_rule_from_copy_to_end(store, tmp_path, capsys):
    path, at = str(tmp_path / "rules.yaml"), ["--store", store, "--today", "2026-10-14"]
    assert main(["rules", "write", path, "--like", "tarrow-spray", *at]) == 0
    assert main(["rules", "check", path]) == 0
    assert main(["rules", "read", path, *at]) == 0
    assert "tarrow-spray-ours" in capsys.readouterr().out
    assert main(["rules", "list", "--own", "--json", *at]) == 0
    (rule,) = json.loads(capsys.readouterr().out)["rules"]
    assert (rule["id"], rule["seen"]) == ("tarrow-spray-ours", False)
    assert main(["rules", "end", "tarrow-spray-ours", *at]) == 0
    assert main(["rules", "list", "--own", *at]) == 0
    assert "no own service rules yet" in capsys.readouterr().out


def test_a_wrong_file_is_told_with_its_place(tmp_path, capsys):
    path = tmp_path / "rules.yaml"
    path.write_text(
        "authority: Brisk\nrules:\n- {id: a, jurisdiction: b, applies_to: c, kind: d}\n"
    )
    assert main(["rules", "check", str(path)]) == 2

    assert "rules.0.versions: one at least is needed here" in capsys.readouterr().err
