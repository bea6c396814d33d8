"""The opening page: every number is a link, every row opens its record, empty sheets say why."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.callbacks import CallLine
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.today import ClosingWindow, TodayRound, TodayStop, YearLine, todays_page
from servicedesk.values.shapes import Hatch, TextBox
from servicedesk.window.places.registry import PlaceKind, all_places
from servicedesk.window.widgets.today_closing import axis_x, day_words
from servicedesk.window.widgets.today_ribbon import axis_of, blocks_of, ribbon_shapes, verdict
from servicedesk.window.widgets.today_sentence import sentence_html
from servicedesk.window.widgets.today_waiting import by_words, left_words
from servicedesk.window.widgets.today_year import line_words, parts_of
from servicedesk.words.formats import Formats
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)
from tests.desk.conftest import _seated
from tests.window.pages import PlainPlace

NOW = 10 * 60 + 46


class _Plain(PlaceKind):
    def build(self, shell):
        made = PlainPlace(shell)
        made.name = self.id
        return made


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def kinds(monkeypatch):
    """Today as it is; the other places plain."""
    shown = tuple(
        kind if kind.id == "today" else _Plain(kind.id, kind.title, kind.icon, kind.group,
                                               kind.number, "setup:SetupPlace")
        for kind in all_places()
        if kind.group
    )  # fmt: skip
    monkeypatch.setattr("servicedesk.window.places.today.places", lambda: shown)
    return shown


@pytest.fixture
def opened(qtbot, open_window, desk, kinds):
    def now():
        window = open_window(FrontOffice(desk), kinds)
        qtbot.waitUntil(lambda: window.place is not None and window.place.page is not None)
        qtbot.waitUntil(lambda: not window.shell.work.is_busy)
        return window

    return now


def press(qtbot, window, key):
    qtbot.keyClick(QApplication.focusWidget() or window, key)


def test_an_empty_company_is_told_what_will_stand_where(opened):
    page = opened().place

    assert page.day.text() == "Wednesday, October 14"
    assert page.time.text() == "10:46 am"
    assert "No call waits for an answer." in page.sentence.text()
    for words in (page.no_calls, page.no_rounds, page.no_year, page.no_closing, page.no_owed):
        assert words.isVisibleTo(page)
        assert words.text().endswith(".")
    assert page.plan.isVisibleTo(page)


def test_plan_the_day_leads_to_the_rounds_of_today(qtbot, opened):
    window = opened()

    window.place.plan.setFocus()
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.name == "rounds"
    assert window.place.shown[-1] == (TODAY,)


def test_the_keys_begin_on_the_most_pressing_call_and_enter_places_it(qtbot, desk, opened):
    later = a_call(desk, promised_by_at=desk.clock.now() + timedelta(hours=20))
    first = a_call(desk, a_site(desk), promised_by_at=desk.clock.now() + timedelta(minutes=134))
    window = opened()

    rows = window.place.waiting.rows
    assert [row.title.text() for row in rows] == ["118 Dry Hollow Lane", later.caller]
    assert QApplication.focusWidget() is rows[0].place
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.name == "phone"
    assert window.place.shown[-1] == ("call", first.id)


def test_rows_of_windows_and_of_what_is_owed_open_the_site(qtbot, desk, opened):
    site = a_site(desk)
    something_owed(desk, site)
    a_contract(desk, site, from_on=date(2026, 4, 1))  # the first inspection was missed
    window = opened()

    for view in (window.place.owed, window.place.closing):
        view.setFocus()
        press(qtbot, window, Qt.Key.Key_Return)
        assert window.place.name == "sites"
        assert window.place.shown[-1] == (site.id,)
        window.shell.go("today")


def test_links_in_the_sentence_lead_to_their_place(qtbot, desk, opened):
    call = a_call(desk)
    window = opened()

    window.place.sentence.linkActivated.emit(f"call:{call.id}")
    assert window.place.shown[-1] == ("call", call.id)
    window.shell.go("today")
    window.place.sentence.linkActivated.emit("phone")
    assert window.place.name == "phone"


def test_rows_stay_the_same_widgets_when_a_minute_has_passed(qtbot, desk, opened):
    a_call(desk, a_site(desk))
    window = opened()
    before = window.place.waiting.rows

    window.shell.bus.minute.emit()
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)

    assert window.place.waiting.rows == before


def test_a_change_is_shown_at_once(qtbot, desk, opened):
    window = opened()
    call = a_call(desk)
    window.shell.bus.changed.emit(None)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)

    assert [row.title.text() for row in window.place.waiting.rows] == [call.caller]
    assert not window.place.no_calls.isVisibleTo(window.place)


def test_an_old_answer_does_not_overwrite_a_new_one(qtbot, desk, opened):
    place = opened().place
    shown = []
    place.show_page = shown.append

    place.refresh(None)  # answered first, but asked for before the next
    a_call(desk)
    place.refresh(None)
    qtbot.waitUntil(lambda: not place.shell.work.is_busy)

    assert [len(page.calls) for page in shown] == [1]


# --- the sentence


def test_the_sentence_counts_and_names_the_first_promise(desk):
    site = a_site(desk)
    round_ = a_round(desk, a_technician(desk), state="handed out")
    a_visit(desk, site, round_id=round_.id, place=1, begin_min=480, leave_min=520)
    call = a_call(desk, site, promised_by_at=desk.clock.instant(TODAY, 13 * 60))

    html = sentence_html(desk, todays_page(desk))

    assert '1 person is out with <a href="rounds">1 stop</a>.' in html
    assert f'promised <a href="call:{call.id}">today by 1:00 pm</a>.' in html


def test_a_late_promise_is_called_late(desk):
    a_call(desk, promised_by_at=desk.clock.now() - timedelta(minutes=5))

    assert "1 is late</a>" in sentence_html(desk, todays_page(desk))


# --- geometry and words


def stop(begin, leave, arrived=None, left=None, promise=None):
    return TodayStop(
        visit_id=begin,
        site_id=1,
        address=f"{begin} Long Road",
        begin_min=begin,
        leave_min=leave,
        arrived_min=arrived,
        left_min=left,
        promise_until_min=promise,
        kinds=("inspection",),
    )


def a_day(*stops, behind=None, state="handed out"):
    return TodayRound(
        round_id=1,
        technician="Tobin",
        state=state,
        stops=stops,
        leave_min=450,
        home_min=1000,
        behind_min=behind,
        changed_since=False,
    )


def test_blocks_tell_done_there_unwritten_and_to_come():
    round_ = a_day(
        stop(480, 520, 480, 545), stop(540, 580), stop(600, 640, 620), stop(660, 700, promise=665),
        behind=25,
    )  # fmt: skip

    done, unwritten, there, to_come = blocks_of(round_, NOW)

    assert [b.kind for b in (done, unwritten, there, to_come)] == [
        "done", "unwritten", "there", "to come",
    ]  # fmt: skip
    assert done.longer_from == 520
    assert (to_come.from_min, to_come.late_min) == (685, 20)
    assert there.until_min == 660


def test_where_the_plan_says_somebody_is_now_is_told_apart_from_what_is_known():
    (block,) = blocks_of(a_day(stop(600, 700)), NOW)

    assert block.kind == "by plan"


@pytest.mark.parametrize("width", [520, 760])
def test_every_block_and_label_stands_on_the_sheet(width):
    rounds = [a_day(stop(420, 460, 420, 500), stop(1000, 1060, promise=990), behind=40)] * 3
    shapes = ribbon_shapes(rounds, NOW, width, 1.0, Formats())

    assert axis_of(rounds, NOW) == (7, 19)
    for shape in shapes:
        assert shape.bounds.x >= 0
        assert shape.bounds.right <= width + 0.5
    assert any(isinstance(shape, Hatch) for shape in shapes)
    assert "+50 min" in {shape.text for shape in shapes if isinstance(shape, TextBox)}


@pytest.mark.parametrize(
    ("behind", "state", "words"),
    [
        (22, "handed out", "22 min behind"),
        (-10, "handed out", "10 min ahead"),
        (4, "handed out", "on time"),
        (None, "handed out", "not begun"),
        (22, "draft", "not handed out"),
    ],
)
def test_the_verdict_of_a_round(behind, state, words):
    assert verdict(a_day(behind=behind, state=state), Formats())[0] == words


def closing(closes, planned=None):
    return ClosingWindow(
        site_id=1, address="31 Quarry Spur", opens_on=date(2026, 9, 1), closes_on=closes,
        planned_on=planned, is_late=closes < TODAY, confirmed=True,
    )  # fmt: skip


def test_a_window_says_its_day_or_that_it_has_none_or_is_late():
    words = [
        day_words(closing(date(2026, 10, 20), date(2026, 10, 15)), TODAY, Formats()),
        day_words(closing(date(2026, 10, 20), TODAY), TODAY, Formats()),
        day_words(closing(date(2026, 10, 20)), TODAY, Formats()),
        day_words(closing(date(2026, 10, 13)), TODAY, Formats()),
    ]

    assert words == [
        ("Thu", "ink2"), ("today", "ink2"), ("no day", "ochre"), ("1 day late", "clay"),
    ]  # fmt: skip


def test_days_stand_in_order_on_the_axis_and_within_it():
    from PySide6.QtCore import QRectF

    box = QRectF(0, 0, 400, 28)
    xs = [axis_x(box, day) for day in (-30, 0, 7, 14, 40)]

    assert xs[0] == xs[1] < xs[2] < xs[3] == xs[4] <= box.right()


def test_the_parts_of_a_year_s_bar_fill_it_and_keep_their_order():
    line = YearLine(
        ordinal=3, n_done=231, n_done_late=3, n_with_day=139, n_open=42, n_late=0,
        last_closes_on=None,
    )  # fmt: skip

    parts = parts_of(line)

    assert [part.kind for part in parts] == ["done", "done late", "has a day", "no day yet"]
    assert sum(part.share for part in parts) == pytest.approx(1)
    for one, after in pairwise(parts):
        assert one.before + one.share == pytest.approx(after.before)
    assert line_words(line) == "231 done · 3 done late · 139 have a day · 42 no day"


def test_promises_are_written_short(desk):
    at = desk.clock.instant

    assert by_words(desk, at(TODAY, 780)) == "by 1:00 pm"
    assert by_words(desk, at(date(2026, 10, 15), 720)) == "by Thu noon"
    assert by_words(desk, at(date(2026, 10, 27), 720)) == "by Oct 27, noon"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (134, ("2 h 14 left", "clay")),
        (1500, ("25 h 00 left", "water")),
        (-5, ("5 min late", "clay")),
        (None, ("no promise", "ink2")),
    ],
)
def test_the_time_left_is_told_and_pressing_when_short(desk, minutes, words):
    values = dict.fromkeys(CallLine.__dataclass_fields__)
    assert left_words(desk, CallLine(**{**values, "minutes_left": minutes})) == words
