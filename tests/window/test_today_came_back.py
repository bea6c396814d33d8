"""Today's sheet of what came back, and the look that follows a written call."""

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk.alert_lines import alert_lines
from servicedesk.desk.alerts import acknowledge
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.owed import owed_list
from servicedesk.values.shapes import Box, TextBox
from servicedesk.window.widgets.look_after import LookForAlerts
from servicedesk.window.widgets.quiet_line import calls_that_fit, quiet_shapes
from tests.builders import a_call
from tests.desk.conftest import _seated
from tests.window.came_back_office import (
    BAD,
    CTRL,
    DAYS,
    bad_site,
    kinds_with,
    press,
    quiet_sites,
    settle,
    with_an_alert,
)
from tests.window.test_phone import Typist, _own_data

__all__ = ["_own_data"]


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now():
        window = open_window(FrontOffice(desk), kinds_with("today", "came_back"))
        settle(qtbot, window)
        return window

    return now


def test_what_came_back_stands_on_today_with_the_untested_part_and_counts(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    sheet = window.place.back

    assert sheet.address.text() == BAD
    assert sheet.why.text().startswith("3 callbacks for high-water alarm in 9 months; ")
    assert sheet.note.title.text() == (
        "Never tested here: Splices and junction box at or in the riser; "
        "Pump on, off and low-level floats; 3 more"
    )
    assert "test first: " in sheet.note.second.text()
    assert sheet.hint_label.text() == "1 open"
    assert window.place.desk is desk
    assert "came_back" in window.place.sentence.text()
    assert FrontOffice(desk).counts()["today"] == 1

    sheet.open.setFocus()
    press(qtbot, window, Qt.Key.Key_Return)
    assert window.place.name == "came_back"
    assert window.place.title() == BAD


def test_what_was_looked_at_asks_for_nothing_more_on_today(qtbot, desk, opened):
    with_an_alert(desk)
    acknowledge(desk, alert_lines(desk)[0].id)
    sheet = opened().place.back

    assert sheet.none.isVisible()
    assert not sheet.open.isVisible()
    assert "today" not in FrontOffice(desk).counts()


def test_the_check_is_put_on_the_visit_from_today(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    window.place.back.put.setFocus()
    press(qtbot, window, Qt.Key.Key_Return)

    assert len(owed_list(desk)) == 1


def test_each_morning_is_looked_at_once(qtbot, desk, opened):
    quiet_sites(desk)
    bad_site(desk)
    window = opened()
    assert alert_lines(desk) == ()
    sheet = window.place.back
    assert sheet._soon.isActive()
    sheet._soon.setInterval(0)
    sheet._soon.start()
    qtbot.waitUntil(lambda: sheet.address.text() == BAD)

    assert len(alert_lines(desk)) == 1
    settle(qtbot, window)
    assert not sheet._soon.isActive()
    assert window.change_line.isVisible()


def test_a_written_call_that_makes_it_come_back_is_told_in_the_change_line(qtbot, desk, opened):
    quiet_sites(desk)
    site, _ = bad_site(desk, DAYS[:2])
    window = opened()
    a_call(desk, site, symptoms=["high-water-alarm"], days_ago=0)
    assert alert_lines(desk) == ()

    LookForAlerts(window.shell, window).look(desk, site.id)
    settle(qtbot, window)

    assert alert_lines(desk)[0].site_id == site.id
    told = FrontOffice(desk).last_change().words
    assert told == f"It came back: {BAD}, high-water alarm"
    assert window.place.back.address.text() == BAD


def test_a_call_written_by_keys_is_looked_at_and_told(qtbot, open_window, desk):
    quiet_sites(desk)
    site, _ = bad_site(desk, DAYS[:2])
    window = open_window(FrontOffice(desk), kinds_with("phone"))
    typist = Typist(qtbot, window)
    typist.key(Qt.Key.Key_F4)
    typist.type("dry")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    typist.key(Qt.Key.Key_1)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()
    settle(qtbot, window)

    (line,) = alert_lines(desk)
    assert (line.site_id, line.n_calls) == (site.id, 3)
    told = f"It came back: {BAD}, high-water alarm"
    qtbot.waitUntil(lambda: told in window.change_line.words)


def test_a_call_that_makes_nothing_come_back_changes_nothing(qtbot, desk, opened):
    quiet_sites(desk)
    site, _ = bad_site(desk, DAYS[:1])
    window = opened()
    before = FrontOffice(desk).last_change()
    LookForAlerts(window.shell, window).look(desk, site.id)
    LookForAlerts(window.shell, window).look(desk, None)
    settle(qtbot, window)

    assert FrontOffice(desk).last_change() == before


def _measure(text, font):
    return len(text) * font.size * 0.6


@pytest.mark.parametrize("width", [220, 330, 480, 800])
def test_texts_of_the_quiet_line_never_lie_over_each_other(width):
    n = calls_that_fit(width)
    calls = [(f"Aug {i}, 2025", f"{i}00 days", "no fault found at all") for i in range(n)]
    boxes = [
        _inked(one)
        for one in quiet_shapes(calls, "bell", width, _measure, 1.0)
        if isinstance(one, TextBox) and one.text
    ]

    for at, one in enumerate(boxes):
        assert one.x >= -0.5
        assert one.right <= width + 0.5
        for other in boxes[at + 1 :]:
            apart = one.right <= other.x or other.right <= one.x
            assert apart or one.bottom <= other.y or other.bottom <= one.y


def _inked(one):
    """Where the words themselves stand, in the middle of their box."""
    wide = _measure(one.text, one.font)
    return Box(one.box.x + (one.box.width - wide) / 2, one.box.y, wide, one.box.height)


def test_the_days_are_in_order_and_the_last_call_is_filled():
    calls = [("Aug 5", "155 days", "reset"), ("Jan 7", "", "")]
    shapes = quiet_shapes(calls, "bell", 400, _measure, 1.0)
    marks = [one for one in shapes if getattr(one, "radius", 0)]

    assert [one.fill for one in marks] == ["soft.plum", "plum"]
    assert marks[0].box.x < marks[1].box.x


def test_large_text_in_a_small_window_leaves_one_column(qtbot, open_window, theme, desk):
    theme.set_text_size(130)
    kinds = kinds_with("today", "came_back")
    window = open_window(FrontOffice(desk), kinds, size=(1180, 660))
    settle(qtbot, window)
    sheets = window.place.sheets
    assert sheets.direction() == sheets.Direction.TopToBottom

    window.resize(1800, 900)
    assert sheets.direction() == sheets.Direction.LeftToRight
    theme.set_text_size(100)
