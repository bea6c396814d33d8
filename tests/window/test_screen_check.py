"""Machines without a screen, or without a library that Qt needs: one sentence, never a crash."""

import os
import subprocess
import sys
from pathlib import Path

import PySide6
import pytest

from servicedesk.__main__ import has_verb
from servicedesk.window.elf import needed_by
from servicedesk.window.screen_check import (
    import_trouble,
    missing_libraries,
    package_names,
    why_no_window,
)

ROOT = Path(PySide6.__file__).parent
LINUX = sys.platform == "linux"

# a command line that only says what it was asked
STAND_IN = """
import sys, types
cli = types.ModuleType("servicedesk.cli")
def said(words):
    print("asked for:", *words)
    return 7
cli.main = said
cli.office_opener = lambda words: None
cli.log_folder = lambda: None
cli.wrong_use = lambda words: None
sys.modules["servicedesk.cli"] = cli
{before}
from servicedesk.__main__ import main
sys.exit(main({words!r}))
"""


def run(words, *, before="", **environment):
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    }
    return subprocess.run(
        [sys.executable, "-c", STAND_IN.format(words=words, before=before)],
        env=kept | environment,
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.fixture
def plugin_with_an_unknown_need(tmp_path):
    """Qt's own X11 plugin, with the name of one needed library changed to one nobody has."""
    folder = tmp_path / "Qt" / "plugins" / "platforms"
    folder.mkdir(parents=True)
    plugin = (ROOT / "Qt" / "plugins" / "platforms" / "libqxcb.so").read_bytes()
    assert b"libxcb-icccm.so.4\0" in plugin
    changed = plugin.replace(b"libxcb-icccm.so.4\0", b"libxcb-icccm.so.9\0")
    (folder / "libqxcb.so").write_bytes(changed)
    (tmp_path / "Qt" / "lib").symlink_to(ROOT / "Qt" / "lib")
    return tmp_path


if LINUX:

    def test_the_needs_of_a_file_are_those_that_readelf_prints():
        """Printed by GNU readelf 2.40, `readelf -d`, for this plugin of the wheel."""
        needed = needed_by(ROOT / "Qt" / "plugins" / "platforms" / "libqxcb.so")

        assert {"libQt6XcbQpa.so.6", "libQt6Gui.so.6", "libQt6Core.so.6"} <= set(needed)
        assert {"libxcb-cursor.so.0", "libxcb-icccm.so.4", "libxcb-keysyms.so.1"} <= set(needed)
        assert needed[-1].startswith("libc.so.")

    def test_the_loader_is_asked_and_names_what_is_missing(plugin_with_an_unknown_need):
        missing = missing_libraries(plugin_with_an_unknown_need, "xcb")

        assert "libxcb-icccm.so.9" in missing
        assert "libQt6Core.so.6" not in missing

    def test_no_screen_is_said_in_one_sentence():
        assert str(why_no_window({})) == "This machine has no screen, so no window opens."

    def test_a_screen_that_does_not_answer_is_named():
        trouble = why_no_window({"DISPLAY": ":7777"})
        assert ":7777" in str(trouble) or "not on this machine" in str(trouble)

    def test_without_a_screen_the_morning_is_done_all_the_same():
        done = run(["--sample", "--today", "2026-10-14"])

        assert done.returncode == 7
        assert done.stdout == "asked for: --sample --today 2026-10-14\n"
        assert done.stderr.startswith("This machine has no screen")
        assert "Traceback" not in done.stderr


def test_a_chosen_platform_needs_no_screen():
    assert why_no_window({"QT_QPA_PLATFORM": "offscreen"}) is None


def test_packages_are_named_once_and_unknown_libraries_by_themselves():
    sonames = ["libxcb-icccm.so.4", "libglib-2.0.so.0", "libgthread-2.0.so.0", "libodd.so.3"]

    assert package_names(sonames) == ("libxcb-icccm4", "libglib2.0-0", "libodd.so.3")


def test_what_is_no_program_file_has_no_needs(tmp_path):
    (tmp_path / "text").write_text("not a program")

    assert needed_by(tmp_path / "text") == ()


def test_qt_that_cannot_be_loaded_is_a_sentence_with_the_package():
    refusal = ImportError("libEGL.so.1: cannot open shared object file: No such file or directory")

    assert "apt install libegl1" in str(import_trouble(refusal))


def test_an_import_of_ours_that_fails_is_not_hidden():
    with pytest.raises(ImportError, match="servicedesk"):
        import_trouble(ImportError("no module servicedesk.odd", name="servicedesk.odd"))


def test_the_program_survives_a_qt_that_refuses_to_load():
    refusing = (
        "import importlib.abc\n"
        "class Refuses(importlib.abc.MetaPathFinder):\n"
        "    def find_spec(self, name, path, target=None):\n"
        "        if name == 'PySide6.QtGui':\n"
        "            raise ImportError('libEGL.so.1: cannot open shared object file: No such file')\n"
        "sys.meta_path.insert(0, Refuses())\n"
    )
    done = run([], before=refusing, QT_QPA_PLATFORM="offscreen")

    assert done.stdout == "asked for:\n", done.stderr
    assert "PySide6" in done.stderr.splitlines()[0]
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("words", [["morning"], ["--store", "a.db", "done"], ["--help"], ["-h"]])
def test_a_verb_or_a_question_goes_to_the_command_line(words):
    assert has_verb(words)
    done = run(words)
    assert done.stdout == f"asked for: {' '.join(words)}\n"
    assert done.stderr == ""


@pytest.mark.parametrize(
    "words", [[], ["--sample"], ["--store", "morning"], ["--today", "done"], ["--who", "sample"]]
)
def test_options_alone_ask_for_the_window(words):
    assert not has_verb(words)
