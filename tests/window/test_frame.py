"""The frame, driven as a person drives it: keys in, what stands on the screen out."""

import gc
import itertools
import weakref

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit, QWidget

from servicedesk.values.trouble import Trouble
from servicedesk.window.actions import keys_in_words
from servicedesk.window.places.registry import all_places, places
from tests.window.office import Change, Company, FakeOffice
from tests.window.pages import some_kinds

CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ShiftModifier,
)


@pytest.fixture
def window(open_window, office):
    return open_window(office, some_kinds())


@pytest.fixture
def press(qtbot, window):
    def pressed(key, modifier=Qt.KeyboardModifier.NoModifier):
        target = QApplication.focusWidget() or window
        qtbot.keyClick(target, key, modifier)

    return pressed


def trail(window):
    return window.top_bar.trail.parts


def settle(qtbot, window):
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)


def test_the_first_page_is_today_with_company_counts_and_last_change(window):
    assert window.place.name == "today"
    assert trail(window) == ("Today",)
    assert window.windowTitle() == "Sallow Fork Onsite Care"
    assert window.spine.buttons["owed"].count == 14
    assert window.change_line.words == (
        "All written",
        "Moved 31 Quarry Spur from Tobin to Lena",
        "10:42 am, Ines",
    )


def test_a_place_is_built_when_first_visited_and_only_once(window, press):
    assert set(window._built) == {"today"}

    press(Qt.Key.Key_5, CTRL)
    sites = window.place
    press(Qt.Key.Key_1, CTRL)
    press(Qt.Key.Key_5, CTRL)

    assert window.place is sites
    assert sites.read == [None]
    assert set(window._built) == {"today", "sites"}


def test_ctrl_and_digit_follow_the_order_of_the_day(window, press):
    for key, name in (
        (Qt.Key.Key_2, "phone"),
        (Qt.Key.Key_4, "rounds"),
        (Qt.Key.Key_5, "sites"),
        (Qt.Key.Key_6, "owed"),
        (Qt.Key.Key_1, "today"),
    ):
        press(key, CTRL)
        assert window.place.name == name
        assert window.spine.buttons[name].isChecked()


def test_back_and_forward_walk_the_pages_with_their_position(window, press):
    window.shell.go("sites", 31)
    window.shell.go("rounds")
    press(Qt.Key.Key_Left, ALT)
    assert trail(window) == ("Sites", "record 31")
    assert window.place.put_back == [(31,)]

    press(Qt.Key.Key_Left, ALT)
    assert window.place.name == "today"
    assert not window.acts["back"].isEnabled()
    assert window.acts["back"].toolTip() == "There is no page before this one."

    press(Qt.Key.Key_Right, ALT)
    assert window.place.name == "sites"


def test_going_somewhere_new_forgets_what_lay_ahead(window, press):
    window.shell.go("sites", 31)
    press(Qt.Key.Key_Left, ALT)
    window.shell.go("owed")
    press(Qt.Key.Key_Right, ALT)
    assert window.place.name == "owed"

    press(Qt.Key.Key_Left, ALT)
    assert window.place.name == "today"


def test_ctrl_z_takes_back_the_last_change_and_says_so(qtbot, window, press, office):
    press(Qt.Key.Key_Z, CTRL)
    settle(qtbot, window)

    assert len(office.undone) == 1
    assert window.change_line.words[1] == "Held 118 Dry Hollow in place at 11:00"
    assert window.place.read[-1] == {"undone"}

    press(Qt.Key.Key_Z, CTRL | SHIFT)
    settle(qtbot, window)
    assert window.change_line.words[1] == "Moved 31 Quarry Spur from Tobin to Lena"


def test_what_another_seat_changed_is_seen_within_the_minute(qtbot, window, office):
    window.shell.bus.minute.emit()
    settle(qtbot, window)
    assert window.place.read == [None]

    office.log.append(Change(5, "Wrote a call from 6 Larkrise Court", "10:47 am", "Ada"))
    window.shell.bus.minute.emit()
    settle(qtbot, window)

    assert window.place.read == [None, None]
    assert window.change_line.words[1:] == ("Wrote a call from 6 Larkrise Court", "10:47 am, Ada")


def test_ctrl_z_in_a_field_belongs_to_the_field(qtbot, window, press, office):
    field = window.place.field
    field.setFocus()
    qtbot.keyClicks(field, "Quillan")
    press(Qt.Key.Key_Z, CTRL)
    press(Qt.Key.Key_Z, CTRL)  # nothing left in the field: still not the records'
    settle(qtbot, window)

    assert field.text() == ""
    assert office.undone == []


def test_single_letters_act_only_outside_fields(qtbot, window, press):
    press(Qt.Key.Key_N)
    assert window.place.pressed == 1

    window.place.field.setFocus()
    press(Qt.Key.Key_N)
    press(Qt.Key.Key_Slash)
    assert window.place.pressed == 1
    assert window.place.field.text().casefold() == "n/"
    assert not window.find_box.isVisible()


def test_a_hidden_place_reads_anew_when_it_is_seen_again(qtbot, window, press):
    press(Qt.Key.Key_5, CTRL)
    sites = window.place
    press(Qt.Key.Key_1, CTRL)
    press(Qt.Key.Key_Z, CTRL)
    settle(qtbot, window)
    assert sites.read == [None]

    press(Qt.Key.Key_5, CTRL)
    assert sites.read == [None, {"undone"}]


def test_the_find_box_opens_a_record_by_keys_alone(qtbot, window, press):
    press(Qt.Key.Key_K, CTRL)
    assert QApplication.focusWidget() is window.find_box.field
    qtbot.keyClicks(window.find_box.field, "hollow")
    settle(qtbot, window)
    titles = [row.title for row in window.find_box.rows.rows]
    assert titles == ["Sites", "118 Dry Hollow Lane", "121 Dry Hollow Lane"]

    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Return)

    assert not window.find_box.isVisible()
    assert trail(window) == ("Sites", "record 1")


def test_the_find_box_is_also_the_way_to_do_things(qtbot, window, press):
    press(Qt.Key.Key_Slash)
    qtbot.keyClicks(window.find_box.field, "all cha")
    settle(qtbot, window)

    press(Qt.Key.Key_Return)

    assert window.all_changes.isVisible()


class GreedyField(QLineEdit):
    """Claims every key for itself, as fields do with Ctrl K on X11."""

    def event(self, event):
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)


def test_the_frame_s_keys_act_in_fields_that_claim_them_but_undo_stays_theirs(
    qtbot, window, press, office
):
    field = GreedyField()
    window.place.sheet.body.addWidget(field)
    field.setFocus()
    qtbot.waitUntil(field.hasFocus)
    press(Qt.Key.Key_Z, CTRL)
    press(Qt.Key.Key_K, CTRL)
    settle(qtbot, window)

    assert window.find_box.isVisible()
    assert office.undone == []


def test_answers_to_what_is_no_longer_asked_are_dropped(qtbot, window, press, office):
    press(Qt.Key.Key_K, CTRL)
    qtbot.keyClicks(window.find_box.field, "quarry")
    window.find_box.field.setText("larkrise")
    settle(qtbot, window)

    assert [row.title for row in window.find_box.rows.rows] == ["Sites", "6 Larkrise Court"]


def test_esc_closes_the_find_box_and_gives_the_keys_back(qtbot, window, press):
    for before in (window.place.field, window.spine.seat, window.top_bar.log_call):
        before.setFocus()
        press(Qt.Key.Key_K, CTRL)
        assert QApplication.focusWidget() is window.find_box.field
        press(Qt.Key.Key_Escape)

        assert not window.find_box.isVisible()
        assert QApplication.focusWidget() is before


def test_ctrl_enter_opens_beside_in_a_second_window_that_shares_changes(qtbot, window, press):
    press(Qt.Key.Key_K, CTRL)
    qtbot.keyClicks(window.find_box.field, "quarry")
    settle(qtbot, window)
    press(Qt.Key.Key_Return, CTRL)
    settle(qtbot, window)

    first, second = window.windows.open_windows
    assert first is window
    assert window.place.name == "today"
    assert trail(second) == ("Sites", "record 2")

    window.undo()
    settle(qtbot, window)
    assert second.change_line.words[1] == "Held 118 Dry Hollow in place at 11:00"


def test_all_changes_undoes_any_of_them_or_says_why_not(qtbot, window, press, office):
    press(Qt.Key.Key_H, CTRL)
    settle(qtbot, window)
    assert window.all_changes.rows.rowCount() == 4

    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Return)
    settle(qtbot, window)
    assert len(office.log) == 4
    assert "left the house" in window.all_changes._reason.text()

    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Return)
    settle(qtbot, window)
    assert office.log[-1].words == "Undone: Raised the call-out price to $95"
    assert window.all_changes.rows.rows[0].title == office.log[-1].words


def test_trouble_is_a_sheet_with_a_way_out_and_never_a_stack_trace(qtbot, window, press, office):
    office.trouble = Trouble(
        "Not written: the disk is full", means="Nothing was harmed.", do="Free 40 MB.", exit_code=3
    )
    press(Qt.Key.Key_Z, CTRL)
    settle(qtbot, window)

    sheet = window.trouble_sheet
    assert sheet.isVisible()
    assert (sheet.what.text(), sheet.do.text()) == ("Not written: the disk is full", "Free 40 MB.")
    assert window.change_line.words[0] == "Not written"
    assert QApplication.focusWidget() is sheet.try_again

    office.trouble = None
    press(Qt.Key.Key_Return)
    settle(qtbot, window)
    assert not sheet.isVisible()
    assert window.change_line.words[0] == "All written"
    assert len(office.undone) == 1


def test_a_refused_undo_does_not_say_that_something_is_not_written(qtbot, window, press):
    press(Qt.Key.Key_Z, CTRL | SHIFT)
    settle(qtbot, window)

    assert window.trouble_sheet.what.text() == "There is nothing to do again."
    assert window.change_line.words[0] == "All written"


def test_tab_stays_within_what_lies_over_the_page(qtbot, window, press):
    window.shell.show_trouble(Trouble("Nobody works that day."))
    sheet = window.trouble_sheet
    seen = set()
    for _ in range(6):
        press(Qt.Key.Key_Tab)
        seen.add(QApplication.focusWidget())

    assert seen == {sheet.copy, sheet.close_it}


def test_the_page_of_keys_lists_every_key_of_frame_and_place(window, press):
    press(Qt.Key.Key_F1)

    words = {
        label.text() for label in window.keys_page.findChildren(QWidget) if hasattr(label, "text")
    }
    for act in window.all_acts():
        if any(act.shortcuts):
            assert act.text in words


def test_no_two_actions_of_a_page_share_a_key(window):
    keys = [key for act in window.all_acts() for key in act.shortcuts if key]
    assert len(keys) == len(set(keys))


def test_keys_are_written_as_they_stand_on_the_keyboard():
    assert keys_in_words("Ctrl+Shift+Z") == "Ctrl Shift Z"
    assert keys_in_words("Ctrl++") == "Ctrl +"
    assert keys_in_words("Ctrl+-") == "Ctrl \u2212"
    assert keys_in_words("Return") == "Enter"


def test_f6_walks_through_the_parts_of_the_window(window, press):
    found = []
    for _ in range(4):
        press(Qt.Key.Key_F6)
        now = QApplication.focusWidget()
        parts = (window.spine, window.top_bar, window.stack, window.change_line)
        found.append(next(i for i, part in enumerate(parts) if part.isAncestorOf(now)))

    assert found == [3, 0, 1, 2]


def test_every_control_has_a_name_for_those_who_do_not_see_it(window):
    window.go_to("setup")
    nameless = [
        widget
        for widget in window.findChildren(QWidget)
        if isinstance(widget, QAbstractButton | QLineEdit)
        and widget is not window._built["today"].field
        and not widget.accessibleName()
        and not widget.objectName().startswith("qt_")
    ]
    assert nameless == []


@pytest.mark.parametrize("percent", [90, 100, 115, 130])
@pytest.mark.parametrize("size", [(1440, 900), (1180, 660)])
def test_nothing_in_the_frame_overlaps_at_any_text_size(
    qtbot, open_window, office, theme, percent, size
):
    theme.set_text_size(percent)
    window = open_window(office, some_kinds(), size)
    theme.set_text_size(percent)
    qtbot.wait(1)

    assert (window.width(), window.height()) == size
    for bar in (window.top_bar, window.change_line, window.spine):
        parts = [
            w
            for w in bar.findChildren(QWidget, options=Qt.FindChildOption.FindDirectChildrenOnly)
            if w.isVisible()
        ]
        for at, one in enumerate(parts):
            assert bar.rect().contains(one.geometry()), one
            for other in parts[at + 1 :]:
                if "Ring" not in type(one).__name__ + type(other).__name__:
                    assert not one.geometry().intersects(other.geometry()), (one, other)


def test_long_work_shows_after_a_moment_with_its_progress_and_stop(qtbot, window):
    import time

    def plan(*, progress):
        for n in itertools.count():  # until it is stopped
            progress(n, 10**9, "1,743 min driving")
            time.sleep(0.005)

    job = window.shell.ask(plan, title="Filling the weeks")
    line = window.change_line.long_work
    assert not line.isVisible()
    qtbot.waitUntil(line.isVisible)
    qtbot.waitUntil(lambda: "1,743" in line._title.text)

    with qtbot.waitSignal(job.stopped):
        qtbot.mouseClick(line._stop, Qt.MouseButton.LeftButton)

    assert not line.isVisible()


def test_an_empty_store_is_greeted_and_the_sample_comes_by_one_key(qtbot, open_window):
    office = FakeOffice(here=None)
    window = open_window(office, some_kinds())
    page = window._first_run
    assert page.isVisible()
    assert set(page.buttons) == {"sample", "empty"}, "no promise of a page that is not there"

    qtbot.keyClick(page, Qt.Key.Key_1)
    qtbot.waitUntil(lambda: bool(office.begun))
    settle(qtbot, window)

    assert office.begun == [("sample", None)]
    assert window._first_run is None
    assert window.place.name == "today"


def test_set_up_changes_text_size_and_keeps_it(qtbot, window, theme):
    from servicedesk.window.settings import put_on_kept_look

    window.go_to("setup")
    place = window.place
    button = next(b for b in place.sizes.buttons() if b.objectName() == "115")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert theme.text_size == 115

    theme.set_text_size(100)
    put_on_kept_look(theme)
    assert theme.text_size == 115


def test_only_places_that_exist_stand_in_the_spine():
    assert {kind.id for kind in places()} <= {kind.id for kind in all_places()}
    assert "year" not in {kind.id for kind in places()} or all(kind.exists for kind in places())
    assert [kind.number for kind in all_places() if kind.group] == list(range(1, 10))


def test_a_closed_window_leaves_nothing_behind(qtbot, open_window, office):
    window = open_window(office, some_kinds())
    settle(qtbot, window)
    gone = weakref.ref(window.place)
    window.windows = None
    window.close()
    del window
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()

    assert gone() is None


def test_a_seat_that_nobody_chose_asks_who_sits_there(open_window):
    office = FakeOffice(here=Company(seat_name="", seat_kind=""))
    window = open_window(office, some_kinds())

    assert window.spine.seat.text() == "Who sits here?"
