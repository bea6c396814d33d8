"""Troubles in a site's file, by keys: causes, threads, joined and split, put on a visit."""

from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.owed import owed_list
from servicedesk.desk.threads import threads_of_site
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.checks import checks
from tests.builders import a_site
from tests.desk.conftest import _seated
from tests.desk.test_cases import a_callback
from tests.window.came_back_office import CTRL, bad_site, kinds_with, press, settle, texts


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now(site):
        window = open_window(FrontOffice(desk), kinds_with("sites"))
        window.shell.go("sites", site.id)
        settle(qtbot, window)
        return window

    return now


def part(window):
    return window.place.file.trouble


def spans(desk, site):
    return sorted(one.span for one in threads_of_site(desk, site.id))


def test_the_causes_stand_beside_the_strip_with_the_next_check_and_its_cautions(desk, opened):
    site, _ = bad_site(desk)
    causes = part(opened(site)).causes

    assert causes.isVisible()
    assert causes.title_label.text() == "What is behind it: high-water alarm"
    shown = texts(causes)
    assert "chance, from 3 visits + fault knowledge" in shown
    check = next(one for one in checks().values() if f"Next: {one.name}" in shown)
    assert check.how in shown
    for caution in caution_texts(check.cautions):
        assert caution in shown
    assert any(one.startswith("Bring: ") and "%" in one for one in shown)


def test_the_head_of_the_file_says_at_once_that_it_came_back(desk, opened):
    site, _ = bad_site(desk)
    chips = opened(site).place.file.chips.flow
    first = chips.itemAt(0).widget().accessibleName()

    assert first == "It came back: high-water alarm, 3 calls in 9 months"


def test_a_site_where_nothing_came_back_shows_its_call_and_no_causes(desk, opened):
    site = a_site(desk)
    a_callback(desk, site, date(2026, 5, 6), job={"fix": "fixed"})
    shown = part(opened(site))

    assert not shown.causes.isVisible()
    assert len(shown.threads.rows) == 1


def two_troubles(desk):
    """The alarm came back; a smell that came twice called later."""
    site, calls = bad_site(desk)
    smell = [
        a_callback(desk, site, day, symptoms=("odour-inside",), job={"fix": "reset only"})[0]
        for day in (date(2026, 7, 1), date(2026, 9, 1))
    ]
    return site, calls, smell


def test_the_causes_are_those_of_the_trouble_whose_call_is_chosen(qtbot, desk, opened):
    site, calls, _ = two_troubles(desk)
    window = opened(site)
    shown = part(window)
    assert shown.causes.title_label.text() == "What is behind it: smell in the house"

    shown.threads.focus_chosen()
    for _ in range(2):  # past the two calls for the smell
        press(qtbot, window, Qt.Key.Key_Down)
    settle(qtbot, window)

    assert shown.threads.chosen == calls[-1].id
    assert shown.causes.title_label.text() == "What is behind it: high-water alarm"
    band = next(m for m in window.place.file.strip.figure.marks if "same trouble" in m.words)
    assert "high-water alarm" in band.words.lower()
    press(qtbot, window, Qt.Key.Key_V)  # the check that goes along is one of this trouble
    (line,) = owed_list(desk)
    assert shown.causes.title_label.text() == "What is behind it: high-water alarm"
    assert any(check.name in line.row.what for check in shown._checks())


def test_standing_on_a_call_of_the_strip_chooses_it(qtbot, desk, opened):
    site, calls, _ = two_troubles(desk)
    window = opened(site)
    strip = window.place.file.strip
    strip.setFocus()
    mark = next(m for m in strip.figure.marks if m.key == ("call", calls[0].id))
    strip._stand_on(mark)
    settle(qtbot, window)

    assert part(window).threads.chosen == calls[0].id
    assert part(window).causes.title_label.text() == "What is behind it: high-water alarm"
    assert strip.mark.key == ("call", calls[0].id)  # one still stands where one stood


def test_a_call_that_came_once_shows_its_causes_when_chosen(qtbot, desk, opened):
    site = a_site(desk)
    a_callback(desk, site, date(2026, 5, 6), job={"fix": "fixed"})
    window = opened(site)
    part(window).threads.focus_chosen()
    settle(qtbot, window)

    assert part(window).causes.isVisible()


def test_a_site_that_never_called_shows_neither(desk, opened):
    assert not part(opened(a_site(desk))).isVisible()


def test_a_thread_tells_its_calls_what_each_visit_tried_and_whether_the_fix_holds(desk, opened):
    site, _ = bad_site(desk)
    shown = texts(part(opened(site)).threads)

    assert "High-water alarm: 3 calls in 9 months" in shown
    # May 6 to October 14
    quiet = next(one for one in shown if one.startswith("Quiet 161 days since no fault was found"))
    assert "% that it holds" in quiet
    assert any("no fault found; then quiet 155 days" in one for one in shown)
    assert any("no fault found; quiet 161 days since" in one for one in shown)


def test_a_call_is_split_off_by_a_key_and_taken_back(qtbot, desk, opened):
    site, _ = bad_site(desk)
    window = opened(site)
    part(window).threads.focus_chosen()
    press(qtbot, window, Qt.Key.Key_Down)  # the one of January
    press(qtbot, window, Qt.Key.Key_X)
    assert spans(desk, site) == ["1 call", "2 calls in 9 months"]
    assert any("split by hand" in one for one in texts(part(window).threads))

    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert spans(desk, site) == ["3 calls in 9 months"]


def test_two_troubles_are_joined_by_a_key_with_a_reason(qtbot, desk, opened):
    site, _ = bad_site(desk)
    a_callback(desk, site, date(2026, 9, 1), symptoms=("odour-inside",), job={"fix": "fixed"})
    window = opened(site)
    part(window).threads.focus_chosen()
    press(qtbot, window, Qt.Key.Key_J)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    qtbot.keyClicks(QApplication.focusWidget(), "both after the pump")
    press(qtbot, window, Qt.Key.Key_Return)

    assert spans(desk, site) == ["4 calls in 13 months"]
    assert any("joined by hand" in one for one in texts(part(window).threads))
    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert len(spans(desk, site)) == 2


def test_what_cannot_be_done_says_why(desk, opened):
    site = a_site(desk)
    a_callback(desk, site, date(2026, 5, 6), job={"fix": "fixed"})
    keys = opened(site).place.keys

    assert keys.run("split_call") == "This call stands alone already."
    assert keys.run("join_call") == "There is no other trouble to join it to."
    assert keys.run("put_check") == "Nothing that came back is open here."


def test_enter_on_a_call_opens_it(qtbot, desk, opened):
    site, calls = bad_site(desk)
    window = opened(site)
    part(window).threads.focus_chosen()
    press(qtbot, window, Qt.Key.Key_Return)

    assert (window.place.name, window.place.shown[-1]) == ("phone", ("call", calls[-1].id))


def test_the_check_is_put_on_the_next_visit_from_the_file(qtbot, desk, opened):
    site, _ = bad_site(desk)
    window = opened(site)
    press(qtbot, window, Qt.Key.Key_V)

    (line,) = owed_list(desk)
    assert line.row.site_id == site.id
    assert line.row.what.startswith("test first: ")


def test_the_second_opinion_of_a_file_is_written(qtbot, desk, opened):
    site, _ = bad_site(desk)
    window = opened(site)
    press(qtbot, window, Qt.Key.Key_P, CTRL)

    notice = part(window).notice
    assert notice.path.read_bytes().startswith(b"%PDF")
    assert notice.isVisible()
    assert not window.place.file.scroller.isAncestorOf(notice)  # never out of sight
