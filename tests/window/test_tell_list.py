"""The tell list and what goes out of Rounds, driven by keys over a real store."""

from datetime import timedelta
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.told import told_about
from servicedesk.records.people import Customer
from servicedesk.records.sites import Site
from servicedesk.records.visits import Visit
from servicedesk.window.places.registry import PlaceKind, all_places
from servicedesk.window.widgets.tell_list_rows import ICONS
from tests.window.pages import SitesPlace
from tests.window.rounds_office import THURSDAY, an_office

CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


class _SitesKind(PlaceKind):
    def build(self, shell):
        return SitesPlace(shell)


def kinds():
    wanted = {kind.id: kind for kind in all_places()}
    sites = wanted["sites"]
    return (
        wanted["rounds"],
        _SitesKind(sites.id, sites.title, sites.icon, sites.group, sites.number, sites.factory),
        wanted["tell_list"],
    )


def settle(qtbot, window):
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    qtbot.wait(20)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)


class Page:
    def __init__(self, window, desk, qtbot):
        self.window, self.desk, self.qtbot = window, desk, qtbot

    @property
    def place(self):
        return self.window.place

    def press(self, key, modifier=Qt.KeyboardModifier.NoModifier):
        self.qtbot.keyClick(QApplication.focusWidget() or self.window, key, modifier)
        settle(self.qtbot, self.window)

    def rows(self):
        return [row.title for row in self.place.list.rows.rows]

    def told(self):
        with self.desk.store.read() as session:
            return [visit.id for visit in session.query(Visit) if visit.told]


@pytest.fixture
def opened(file_store, open_window, qtbot):
    """Rounds of Thursday, then Ctrl T."""

    def made(*, tell=True):
        desk = an_office(file_store).desk
        with desk.store.change("Ines", "Ways") as work:
            for n, one in enumerate(work.session.query(Customer).order_by(Customer.id)):
                one.preferred_way = ("phone", "email", "text")[n % 3]
                one.email = f"owner{n}@example.org"
        window = open_window(FrontOffice(desk), kinds())
        window.shell.go("rounds", THURSDAY)
        page = Page(window, desk, qtbot)
        qtbot.waitUntil(lambda: window.place.page is not None and window.place.is_settled)
        window.place.first_focus().setFocus()
        if tell:
            page.press(Qt.Key.Key_T, CTRL)
            qtbot.waitUntil(lambda: window.place.name == "tell_list")
            settle(qtbot, window)
            page.place.first_focus().setFocus()
        return page

    return made


def test_the_day_of_the_rounds_stands_there_with_everybody_to_tell(opened):
    page = opened()
    assert page.place.title() == "Thu, Oct 15"
    assert page.place.still.text() == "5 still to be told"
    assert len(page.rows()) == 5
    assert page.rows()[0].startswith("Owner")
    assert "on Thursday, October 15" in page.place.detail.text


def test_t_writes_told_and_goes_on_to_the_next_one(opened):
    page = opened()
    first, second = (row.thing for row in page.place.list.rows.rows[:2])
    page.press(Qt.Key.Key_T)
    assert page.told() == [first.visit_id]
    assert page.place.chosen.visit_id == second.visit_id
    assert page.place.still.text() == "4 still to be told"
    (told,) = told_about(page.desk, visit_ids=[first.visit_id])
    assert told.what == first.text
    last = page.place.list.rows.rows[-1]
    assert (last.thing.visit_id, last.right_icon) == (first.visit_id, "check")
    for _ in range(4):
        page.press(Qt.Key.Key_T)
    assert page.place.still.text() == "0 still to be told"
    assert len(page.told()) == 5
    assert page.place.keys.run("told") is not None


def test_undo_takes_told_back(opened):
    page = opened()
    page.press(Qt.Key.Key_T)
    page.press(Qt.Key.Key_Z, CTRL)
    assert page.told() == []
    assert page.place.still.text() == "5 still to be told"


def test_other_words_and_another_way_are_what_is_written(opened):
    page = opened()
    line = page.place.chosen
    page.press(Qt.Key.Key_4)
    assert page.place.detail.way == "letter"
    page.place.detail.words.setFocus()
    page.place.detail.words.selectAll()
    page.qtbot.keyClicks(QApplication.focusWidget(), "See you there. To be told")
    assert page.told() == []  # letters typed in a text are text
    page.place.list.setFocus()
    page.press(Qt.Key.Key_T)
    (told,) = told_about(page.desk, visit_ids=[line.visit_id])
    assert (told.what, told.how) == ("See you there. To be told", "letter")


def test_o_opens_the_link_of_the_way_with_the_words_in_it(opened):
    page = opened()
    links = []
    page.place.opener = lambda url: links.append(bytes(url.toEncoded()).decode()) or True
    while page.place.chosen.way != "email":
        page.press(Qt.Key.Key_Down)
    assert page.place.detail.open.isVisible()
    page.press(Qt.Key.Key_O)
    (link,) = links
    assert urlsplit(link).path == page.place.chosen.email
    assert parse_qs(urlsplit(link).query)["body"] == [page.place.chosen.text]
    assert page.told() == []  # opening is not telling


def test_where_nothing_opens_the_link_it_says_so(opened):
    page = opened()
    page.place.opener = lambda _url: False
    page.press(Qt.Key.Key_2)
    assert page.place.keys.run("open") is not None  # no number is known
    page.place.choose_way("email")
    page.press(Qt.Key.Key_O)
    assert page.place.notice.isVisible()
    assert "No program" in page.place.notice.words.text


def test_c_copies_the_words(opened):
    page = opened()
    page.press(Qt.Key.Key_C)
    assert QGuiApplication.clipboard().text() == page.place.chosen.text


def test_f_opens_the_site(opened):
    page = opened()
    site = page.place.chosen.site_id
    page.press(Qt.Key.Key_F)
    assert page.place.name == "sites"
    assert page.place.shown[-1] == (site,)


def test_what_changed_after_it_was_told_has_its_own_list(opened):
    page = opened()
    line = page.place.chosen
    page.place.pills["changed"].click()
    settle(page.qtbot, page.window)
    assert page.place.none_words.isVisible()
    page.place.pills["day"].click()
    settle(page.qtbot, page.window)
    page.press(Qt.Key.Key_T)
    with page.desk.store.change("Ines", "Moved") as work:
        visit = work.get(Visit, line.visit_id)
        visit.planned_on, visit.round_id = THURSDAY + timedelta(days=1), None
    page.place.pills["changed"].click()
    settle(page.qtbot, page.window)
    (row,) = page.place.list.rows.rows
    assert row.second.startswith("Fri, Oct 16 · planned ")
    assert row.second.endswith(" · moved, they know Thu, Oct 15")
    page.press(Qt.Key.Key_T)
    assert page.place.none_words.isVisible()


def test_the_list_and_the_texts_are_written_beside_the_store(opened):
    page = opened()
    page.press(Qt.Key.Key_E, CTRL)
    folder = Path(page.desk.store.place).parent
    assert (folder / "papers" / "tell-day-2026-10-15.csv").exists()
    assert page.place.notice.words.text == f"1 file lies in {folder / 'papers'}"
    page.place.keys.run("texts")
    settle(page.qtbot, page.window)
    assert len(list(folder.glob("*.texts/tell-*.yaml"))) == 2


def test_rounds_write_files_and_the_week_at_a_key(opened):
    page = opened(tell=False)
    with page.desk.store.change("Ines", "Forgot where") as work:
        site = work.session.query(Site).filter(Site.address == "3 Heron Bank").one()
        site.lat_deg = site.lon_deg = None
    page.press(Qt.Key.Key_E, CTRL)
    assert "so not in it: 3 Heron Bank" in page.place.notice.more.text
    folder = Path(page.desk.store.place).parent / "papers"
    assert sorted(path.name for path in folder.iterdir()) == [
        "rounds-2026-10-15.geojson", "rounds-2026-10-15.gpx",
        "visits-2026-10-15-lena-hobb.ics", "visits-2026-10-15-tobin-ashe.ics",
    ]  # fmt: skip
    page.press(Qt.Key.Key_P, CTRL | SHIFT)
    assert (folder / "week-2026-10-12.pdf").exists()
    names = [action.objectName() for action in page.place.header.menu.actions()]
    assert {"export", "week_wall", "tell_list"} <= set(names)


def test_every_way_has_its_icon(opened):
    from servicedesk.values.resources import resource

    for name in ICONS.values():
        assert resource("icons", f"{name}.svg").is_file()
