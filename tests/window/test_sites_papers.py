"""The history of a site printed from its file."""

import pytest

from servicedesk.window.places.registry import all_places
from tests.builders import a_site
from tests.window.rounds_office import DeskOffice, a_desk


@pytest.fixture
def file(file_store, open_window, qtbot):
    desk = a_desk(file_store)
    a_site(desk, "118 Dry Hollow Lane")
    office = DeskOffice(desk=desk)
    opened = open_window(office, tuple(k for k in all_places() if k.id == "sites"))
    opened.shell.go("sites", 1)
    qtbot.waitUntil(lambda: opened.place.file.seen is not None)
    return opened.place.file


@pytest.mark.parametrize(
    ("act", "name"),
    [("print", "history-1-2026-10-14.pdf"), ("print_owner", "history-1-2026-10-14-owner.pdf")],
)
def test_the_history_is_printed_and_told_where_it_lies(file, qtbot, act, name):
    file.history.prints[act].click()

    qtbot.waitUntil(file.papers.notice.isVisible)

    assert file.papers.notice.path.name == name
    assert file.papers.notice.path.read_bytes().startswith(b"%PDF")
