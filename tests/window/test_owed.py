"""Owed, driven by keys over a real store: soonest first, added, settled, declined, taken back."""

from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.owed import owed_list
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.owed_painter import AGE_DAYS, AHEAD_DAYS, owed_columns
from tests.builders import a_site, something_owed
from tests.desk.conftest import _seated
from tests.window.pages import PlainPlace


class _Plain:
    def __init__(self, kind):
        self.id, self.title, self.icon = kind.id, kind.title, kind.icon
        self.group, self.number, self.shortcut = kind.group, kind.number, kind.shortcut

    def build(self, shell):
        made = PlainPlace(shell)
        made.name = self.id
        return made


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now():
        kinds = [k if k.id == "owed" else _Plain(k) for k in all_places()
                 if k.id in ("owed", "sites")]  # fmt: skip
        window = open_window(FrontOffice(desk), kinds)
        window.shell.go("owed")
        settle(qtbot, window)
        window.place.first_focus().setFocus()
        return window

    return now


def settle(qtbot, window):
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    qtbot.wait(20)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)


def press(qtbot, window, key, modifier=Qt.KeyboardModifier.NoModifier):
    qtbot.keyClick(QApplication.focusWidget() or window, key, modifier)
    settle(qtbot, window)


def type_in(qtbot, text):
    qtbot.keyClicks(QApplication.focusWidget(), text)


def titles(window):
    return [row.title for row in window.place.list.rows.rows]


def test_the_soonest_stands_first_with_how_late_it_is(desk, opened):
    something_owed(desk, a_site(desk), "no last day")
    other = a_site(desk, "31 Quarry Spur", owner="Vane, Otto")
    something_owed(desk, other, "lid cracked", by_on=date(2026, 10, 11), needs="lid")
    place = opened().place

    assert [r.title for r in place.list.rows.rows] == ["Lid cracked", "No last day"]
    first, second = place.list.rows.rows
    assert first.right == "by Oct 11, 3 days late"
    assert first.second == "31 Quarry Spur · needs lid · owed by us · since Jul 11"
    assert second.right == "95 days old"  # July 11 to October 14


def test_an_empty_list_says_why(opened):
    place = opened().place

    assert place.empty.isVisible()
    assert not place.list.isVisible()


def test_enter_opens_the_site(qtbot, desk, opened):
    site = a_site(desk)
    something_owed(desk, site)
    window = opened()
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.name == "sites"
    assert window.place.shown[-1] == (site.id,)


def test_settled_by_a_key_and_taken_back(qtbot, desk, opened):
    something_owed(desk, a_site(desk))
    window = opened()
    press(qtbot, window, Qt.Key.Key_S)
    assert titles(window) == []
    assert owed_list(desk, settled=True)[0].row.state == "settled"

    window.acts.run("undo")
    settle(qtbot, window)
    assert titles(window) == ["West spray head tied up"]


def test_something_new_is_owed_at_a_site_found_by_its_text(qtbot, desk, opened):
    a_site(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_N)
    type_in(qtbot, "dry hollow")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    type_in(qtbot, "riser loose")
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    (line,) = owed_list(desk)
    assert (line.row.address, line.row.what) == ("118 Dry Hollow Lane", "riser loose")
    assert titles(window) == ["Riser loose"]


def test_a_site_that_is_not_clear_is_asked_for_again(qtbot, desk, opened):
    a_site(desk)
    a_site(desk, "121 Dry Hollow Lane", owner="Vane, Otto")
    window = opened()
    press(qtbot, window, Qt.Key.Key_N)
    type_in(qtbot, "dry hollow")
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    field = window.place._forms.form(desk).fields["site"]
    assert field.is_wrong
    assert owed_list(desk) == ()


@pytest.mark.parametrize(
    ("key", "answer"), [(Qt.Key.Key_D, "declined"), (Qt.Key.Key_A, "approved")]
)
def test_what_the_owner_said_is_written_with_a_name(qtbot, desk, opened, key, answer):
    something_owed(desk, a_site(desk), estimate_minor=12_000)
    window = opened()
    press(qtbot, window, key)
    type_in(qtbot, "Ruth Quillan")
    press(qtbot, window, Qt.Key.Key_Return)

    (line,) = owed_list(desk, settled=answer == "declined")
    assert (line.row.answer, line.row.answered_by) == (answer, "Ruth Quillan")


def test_nothing_is_approved_without_an_estimate(qtbot, desk, opened):
    something_owed(desk, a_site(desk))
    window = opened()

    assert window.place.keys.run("approve") == "There is no estimate to approve."


def test_the_axis_has_today_at_one_place_and_the_past_before_it():
    columns = owed_columns(1200, 1.0)

    assert columns.at(0) == pytest.approx(columns.today)
    assert columns.at(-AGE_DAYS) == pytest.approx(columns.axis[0])
    assert columns.at(-400) == columns.at(-AGE_DAYS)  # older things end at the edge
    assert columns.at(-30) < columns.today < columns.at(7)
    assert columns.at(AHEAD_DAYS) == pytest.approx(columns.axis[1])


def test_what_ends_today_says_today_and_a_filter_leaves_what_is_late(qtbot, desk, opened):
    site = a_site(desk)
    something_owed(desk, site, "lid cracked", by_on=date(2026, 10, 11))
    something_owed(desk, site, "screw missing", by_on=date(2026, 10, 14))
    window = opened()
    rights = {row.title: row.right for row in window.place.list.rows.rows}
    assert rights["Screw missing"] == "by Oct 14, today"

    window.place.pills["past"].click()

    assert titles(window) == ["Lid cracked"]
    assert window.place.pills["all"].text().endswith("2")


def test_what_was_settled_is_still_shown_and_cannot_be_settled_twice(qtbot, desk, opened):
    something_owed(desk, a_site(desk), "lid cracked")
    window = opened()
    press(qtbot, window, Qt.Key.Key_S)
    assert window.place.nothing.isVisible()
    assert "lid cracked" in window.place.nothing.last.text()

    window.place.nothing.settled.click()

    assert titles(window) == ["Lid cracked"]
    assert "ended already" in window.place.keys.run("settle")
