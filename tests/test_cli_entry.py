"""`servicedesk` as a whole: its help, its wrong uses, the run without a verb and without a screen."""

import importlib

import pytest

import servicedesk.__main__ as entry
from servicedesk.cli import main, parser
from tests.test_cli_morning import run

VERBS = [
    [],
    ["morning"],
    ["bring-in"],
    ["done"],
    ["sample"],
    ["store"],
    *(["store", v] for v in ("new", "check", "backup", "restore", "upgrade", "export")),
]


@pytest.fixture
def no_screen(monkeypatch, tmp_path):
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM", "SERVICEDESK_STORE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    sample = importlib.import_module("servicedesk.desk.sample")
    sample.sample_folder.cache_clear()
    yield tmp_path / "data" / "servicedesk"
    sample.sample_folder.cache_clear()


def said(capsys, *words) -> tuple[int, str, str]:
    code = entry.main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("verb", VERBS, ids=" ".join)
def test_every_verb_has_a_help_that_explains_each_option(capsys, verb):
    code, out, err = run(capsys, *verb, "--help")
    assert (code, err) == (0, "")
    assert out.startswith("usage: servicedesk")
    found = _parser_of(verb)
    assert found.description, f"{verb} does not say what it does"
    for action in found._actions:
        if action.option_strings or action.dest != "==SUPPRESS==":
            is_verbs = action.nargs == "A..."
            assert is_verbs or action.help, f"{verb} {action.dest} has no word of help"


def _parser_of(words):
    found = parser()
    for word in words:
        (verbs,) = (a for a in found._actions if a.nargs == "A...")
        found = verbs.choices[word]
    return found


@pytest.mark.parametrize(
    "words",
    [
        ["brew"],
        ["--brew"],
        ["morning", "--today"],
        ["morning", "--today", "soon"],
        ["morning", "--today", "0001-01-01"],
        ["morning", "--today", "9999-12-31"],
        ["morning", "extra"],
        ["store"],
        ["store", "new", "--country"],
        ["sample"],
        ["sample", "--out", "x", "--seed", "many"],
        ["sample", "--out", "x", "--size", "vast"],
        ["done"],
        ["bring-in"],
    ],
    ids=" ".join,
)
def test_wrong_use_ends_with_what_is_wrong_and_where_the_help_is(capsys, words):
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    what, where = err.splitlines()
    assert what.startswith("servicedesk")
    assert not what.rstrip().endswith((":", ": "))
    assert "--help" in where


def test_the_version_is_told(capsys):
    code, out, err = run(capsys, "--version")
    assert (code, err) == (0, "")
    assert out.startswith("servicedesk ")


@pytest.mark.parametrize(
    ("words", "is_verb"),
    [
        ([], False),
        (["--sample"], False),
        (["--store", "morning"], False),
        (["--today", "2026-10-14", "--sample"], False),
        (["--store", "x", "morning"], True),
        (["--help"], True),
        (["store", "check"], True),
    ],
    ids=str,
)
def test_a_verb_is_told_from_the_value_of_an_option(words, is_verb):
    assert entry.has_verb(words) is is_verb


def test_without_a_screen_the_sample_gets_its_morning(no_screen, capsys):
    words = ("--sample", "--today", "2026-10-14")
    code, out, err = said(capsys, *words)
    assert code == 0
    assert "no screen" in err
    assert "Wednesday, October 14, 2026" in out
    assert list((no_screen / "papers").glob("*.pdf"))
    assert [p.name for p in no_screen.glob("*.store")] == ["sample-2026-10-14.store"]
    assert not list(no_screen.glob("*.making*"))
    # once more: the same figures from the same store
    assert said(capsys, *words)[1] == out


def test_wrong_use_is_told_before_the_missing_screen(no_screen, capsys):
    code, out, err = said(capsys, "--today", "soon")
    assert (code, out) == (2, "")
    assert "screen" not in err
    assert "soon" in err


def test_without_a_screen_a_first_start_makes_an_empty_store(no_screen, capsys):
    code, out, _err = said(capsys, "--today", "2026-10-14")
    assert code == 0
    assert "there is no technician yet" in out
    assert (no_screen / "company.store").exists()


def test_the_variable_names_the_store(no_screen, tmp_path, capsys, monkeypatch):
    path = tmp_path / "named.store"
    assert main(["store", "new", "--store", str(path)]) == 0
    capsys.readouterr()
    monkeypatch.setenv("SERVICEDESK_STORE", str(path))
    code, out, err = run(capsys, "store", "check")
    assert (code, err) == (0, "")
    assert "sound" in out
    assert not no_screen.exists()


def test_a_half_made_sample_is_never_opened(no_screen, monkeypatch):
    load = importlib.import_module("sample_db.load")

    def broken(place, **_more):
        place.write_bytes(b"half")
        raise KeyboardInterrupt

    monkeypatch.setattr(load, "make_sample", broken)
    assert main(["--sample", "--today", "2026-10-14"]) == 1
    assert list(no_screen.iterdir()) == []
