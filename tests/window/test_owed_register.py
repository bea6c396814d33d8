"""What went out: opened as it left, confirmed later, found by what is typed; from a site's file."""

from datetime import date
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.reports import Leaving, Wanted, send_reports, sent_pdf
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.visits import Job
from servicedesk.window.places.owed_register import sent_columns
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.label import LinkLabel
from tests.builders import a_done_visit, a_site
from tests.desk.conftest import _seated


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def sent(desk):
    """A site with a report that left, and one of before that was only written down."""
    site = a_site(desk)
    visit = a_done_visit(desk, site, date(2026, 10, 5))
    with desk.store.read() as session:
        job = session.query(Job).one()
    (one,), _ = send_reports(desk, [Wanted(job.id, "authority")], Leaving(how="letter"))
    with desk.store.change("Ines", "Old") as work:
        work.add(PaperSent(kind_of="notice", visit_id=visit.id, to_kind="owner",
                           to_whom="Vane, Otto", sent_at=desk.clock.now()))  # fmt: skip
    return site, one


def opened(qtbot, open_window, desk, place, *ids):
    kinds = [k for k in all_places() if k.id in ("register", "sites")]
    window = open_window(FrontOffice(desk), kinds)
    window.shell.go(place, *ids)
    settle(qtbot, window)
    window.place.first_focus().setFocus()
    return window


def settle(qtbot, window):
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    qtbot.wait(20)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)


def press(qtbot, window, key):
    qtbot.keyClick(QApplication.focusWidget() or window, key)
    settle(qtbot, window)


def test_a_confirmation_is_written_later(qtbot, open_window, desk, sent):
    _, one = sent
    window = opened(qtbot, open_window, desk, "register")
    window.place.search.setText("inspection dry hollow")
    assert [row.title for row in window.place.list.rows.rows] == [
        f"Inspection report, number {one.number}"
    ]
    press(qtbot, window, Qt.Key.Key_C)
    form = window.place._forms.form(desk)
    form.write()
    settle(qtbot, window)
    assert form.fields["confirmation"].is_wrong
    form.fields["confirmation"].put_text("TC-99")
    form.write()
    settle(qtbot, window)

    with desk.store.read() as session:
        assert session.get(PaperSent, one.paper_id).confirmation == "TC-99"


def test_a_paper_opens_as_it_left(qtbot, open_window, desk, sent):
    _, one = sent
    window = opened(qtbot, open_window, desk, "register")
    window.place.search.setText("inspection")
    window.place.list.setFocus()
    press(qtbot, window, Qt.Key.Key_O)

    assert window.place.notice.path.read_bytes() == sent_pdf(desk, one.paper_id) == one.pdf


def test_a_paper_without_its_file_says_so(qtbot, open_window, desk, sent):
    window = opened(qtbot, open_window, desk, "register")
    window.place.search.setText("vane")

    assert window.place.keys["open_paper"].isEnabled() is False
    assert window.place.keys["confirm"].isEnabled()


def test_a_paper_opens_from_the_history_of_its_site(qtbot, open_window, desk, sent):
    site, one = sent
    window = opened(qtbot, open_window, desk, "sites", site.id)
    page = window.place.file
    links = [w for w in page.history.findChildren(LinkLabel)
             if w.objectName().startswith("paper:")]  # fmt: skip
    assert [link.objectName() for link in links] == [f"paper:{one.paper_id}"]
    qtbot.mouseClick(links[0], Qt.MouseButton.LeftButton)
    settle(qtbot, window)

    assert page.papers.notice.path.read_bytes() == one.pdf


def test_columns_of_the_register_do_not_meet():
    for width in (700.0, 1400.0):
        cells = sent_columns(width, 1.0)
        assert cells[-1][1] <= width
        assert all(a[1] < b[0] for a, b in pairwise(cells))
