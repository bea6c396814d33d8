"""It came back, driven by keys over a real store: seen, put off, settled, put on a visit."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.alert_lines import alert_detail, alert_lines
from servicedesk.desk.alerts import settle as deal_with
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.owed import owed_list
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.checks import checks
from servicedesk.window.widgets.alert_detail import in_order
from servicedesk.window.widgets.came_back_rows import LEVELS
from tests.desk.conftest import _seated
from tests.window.came_back_office import (
    BAD,
    CTRL,
    bad_site,
    kinds_with,
    press,
    quiet_sites,
    settle,
    texts,
    with_an_alert,
)


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now():
        window = open_window(FrontOffice(desk), kinds_with("came_back"))
        window.shell.go("came_back")
        settle(qtbot, window)
        window.place.first_focus().setFocus()
        return window

    return now


def rows(window):
    return window.place.list.rows.rows


def type_in(qtbot, text):
    qtbot.keyClicks(QApplication.focusWidget(), text)


def test_the_list_names_what_came_back_in_plain_words_and_the_part_never_tested(desk, opened):
    with_an_alert(desk)
    (row,) = rows(opened())

    assert row.title == BAD
    assert row.second.startswith("3 callbacks for high-water alarm in 9 months")
    assert row.third == "Never tested: Splices and junction box at or in the riser"
    assert row.right == "act"
    assert LEVELS["act"][0] != LEVELS["watch"][0]  # a shape each, not a color alone


def test_the_alert_shows_causes_with_states_and_each_check_with_its_cautions_uncut(desk, opened):
    with_an_alert(desk)
    view = opened().place.view

    lines = view.causes.bars.lines()
    assert lines[0].startswith("Alarm splice wet: leakage or short between conductors, ")
    assert lines[0].endswith("%, never tested")
    # the visit of August 2025 is older than a year: it rules nothing out any more
    assert any("stuck closed" in line and "ruled out twice" in line for line in lines)
    assert lines[-1].startswith("Something not in this list, ")
    shown = texts(view.checks)
    detail = alert_detail(desk, alert_lines(desk)[0].id, with_fleet=False)
    for check in in_order(detail):
        for caution in caution_texts(checks()[check.id].cautions):
            assert caution in shown
    assert in_order(detail)[0].id == detail.first_check
    assert f"1: {in_order(detail)[0].name}" in shown


def test_it_tells_what_each_visit_tried_and_what_that_speaks_against(desk, opened):
    with_an_alert(desk)
    shown = texts(opened().place.view.tried)

    assert "Aug 5, 2025 · High-water alarm · “it blares again”" in shown
    assert any(one.startswith("looked at: Run the pump in hand") for one in shown)
    assert any(one.startswith("speaks against: ") and "stuck closed" in one for one in shown)
    assert "Then quiet 155 days" in shown  # August 5 to January 7


def test_looked_at_by_a_key_and_taken_back(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_L)
    assert alert_lines(desk)[0].state == "seen"
    assert rows(window)[0].third == "Looked at by Ines, Oct 14"

    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert alert_lines(desk)[0].state == "open"
    assert rows(window)[0].third.startswith("Never tested")


def test_put_off_till_a_day_with_a_reason(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_P)
    type_in(qtbot, "Nov 2")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    type_in(qtbot, "owner away")
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.pills["off"].text() == "Put off 1"
    assert not rows(window)
    assert window.place.nothing.isVisible()
    window.place.pills["off"].click()
    assert rows(window)[0].third == "Put off until Nov 2 by Ines, Oct 14: owner away"
    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert alert_lines(desk)[0].state == "open"


def test_settled_only_with_a_reason_and_whether_it_was_right(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_S)
    press(qtbot, window, Qt.Key.Key_Return)
    form = window.place._forms.form(desk)
    assert form.fields["dealt_why"].is_wrong

    type_in(qtbot, "splice made anew")
    press(qtbot, window, Qt.Key.Key_Return)
    (line,) = alert_lines(desk, settled=True)
    assert (line.state, line.dealt_why, line.judged) == ("settled", "splice made anew", "right")
    assert window.place.pills["settled"].text() == "Settled 1"
    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert alert_lines(desk)[0].state == "open"


def test_a_long_reason_wraps_and_cuts_no_caution(qtbot, desk, opened):
    with_an_alert(desk)
    reason = "new float, splice sealed with gel, " * 8
    deal_with(desk, alert_lines(desk)[0].id, reason, "right")
    window = opened()
    window.place.pills["settled"].click()
    settle(qtbot, window)
    view = window.place.view

    assert any(reason.strip() in text for text in texts(view.head))
    # wider than what can be seen of it, everything to the right would be cut off
    seen = view.parentWidget().width()
    assert max(view.head.width(), view.checks.width()) <= seen


def test_the_check_goes_on_the_next_visit_once(qtbot, desk, opened):
    site, _ = with_an_alert(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_V)
    (line,) = owed_list(desk)
    detail = alert_detail(desk, alert_lines(desk)[0].id, with_fleet=False)
    assert line.row.site_id == site.id
    assert line.row.what.startswith(f"test first: {in_order(detail)[0].name}; then: ")
    assert line.row.minutes == sum(check.minutes for check in in_order(detail)[:4])
    assert detail.to_bring[0].name in line.row.needs
    head = window.place.view.head.next.words
    qtbot.waitUntil(lambda: "the check is owed" in head.text().lower())

    press(qtbot, window, Qt.Key.Key_V)
    assert window.trouble_sheet.isVisible()
    assert len(owed_list(desk)) == 1
    press(qtbot, window, Qt.Key.Key_Escape)
    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert owed_list(desk) == ()


def test_a_visit_is_planned_by_a_day_and_waits_in_rounds(qtbot, desk, opened):
    site, _ = with_an_alert(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_W)
    type_in(qtbot, "Oct 16")
    press(qtbot, window, Qt.Key.Key_Return)

    (line,) = owed_list(desk)
    assert line.days_left == 2
    assert window.place.name == "rounds"
    assert window.place.shown[-1] == (desk.today, site.id)


def test_enter_opens_the_site_and_the_trail_says_where(qtbot, desk, opened):
    site, _ = with_an_alert(desk)
    window = opened()
    assert window.place.title() == BAD
    press(qtbot, window, Qt.Key.Key_Return)

    assert (window.place.name, window.place.shown[-1]) == ("sites", (site.id,))


def test_arrows_walk_the_list_and_the_alert_follows(qtbot, desk, opened):
    with_an_alert(desk)
    bad_site(desk, address="9 Low Meadow")
    window = opened()
    window.place.look_now()
    settle(qtbot, window)
    assert len(rows(window)) == 2
    first = window.place.page.detail.line.address

    press(qtbot, window, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: window.place.page.detail.line.address != first)
    assert window.place.title() == window.place.page.detail.line.address


def test_the_alert_is_read_by_keys_while_they_stay_in_the_list(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    bar = window.place.view.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    press(qtbot, window, Qt.Key.Key_PageDown, CTRL)
    assert bar.value() > 0
    assert QApplication.focusWidget() is window.place.list

    press(qtbot, window, Qt.Key.Key_PageUp, CTRL)
    assert bar.value() == 0


def test_the_dial_is_turned_by_keys_and_taken_back(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    qtbot.keyClicks(QApplication.focusWidget(), "+")
    settle(qtbot, window)
    assert window.place.lists.dial == 1
    assert window.place.dial[1].isChecked()

    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert window.place.lists.dial == 0


def test_the_second_opinion_is_a_page_beside_the_store(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    press(qtbot, window, Qt.Key.Key_P, CTRL)

    notice = window.place.notice
    assert notice.isVisible()
    assert notice.path.read_bytes().startswith(b"%PDF")
    assert "118-dry-hollow-lane" in notice.path.name


def test_the_find_box_leads_there(qtbot, desk, opened):
    with_an_alert(desk)
    window = opened()
    window.shell.go("today")
    settle(qtbot, window)
    press(qtbot, window, Qt.Key.Key_K, CTRL)
    type_in(qtbot, "came back")
    settle(qtbot, window)
    qtbot.waitUntil(lambda: "It came back" in [r.title for r in window.find_box.rows.rows])
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.name == "came_back"


def test_an_empty_page_says_what_will_stand_there_and_looks_at_once(qtbot, desk, opened):
    quiet_sites(desk)
    window = opened()
    assert window.place.nothing.isVisible()
    assert QApplication.focusWidget() is window.place.look
    bad_site(desk)

    press(qtbot, window, Qt.Key.Key_Return)
    assert [row.title for row in rows(window)] == [BAD]
