"""Ahead, driven by keys over a real store: a place taken, the weeks filled, taken, taken back."""

from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Visit
from servicedesk.values.shapes import TextBox
from servicedesk.window.paint_shapes import ScreenMeasure
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.ahead_draft_shapes import DraftPart, DraftRow, draft_figure
from servicedesk.window.widgets.ahead_hours_shapes import hours_figure, hours_legend
from servicedesk.words.formats import Formats
from tests.builders import TODAY, a_contract, a_site, a_technician, a_visit
from tests.desk.conftest import _seated
from tests.desk.test_period import owed_sites
from tests.papers.test_pattern_figures import outside, overlapping
from tests.window.test_patterns import _Plain

NONE = Qt.KeyboardModifier.NoModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now(size=(1440, 900)):
        kinds = [k if k.id == "ahead" else _Plain(k) for k in all_places()
                 if k.id in ("ahead", "sites", "rounds", "setup")]  # fmt: skip
        window = open_window(FrontOffice(desk), kinds, size=size)
        window.shell.go("ahead")
        settle(qtbot, window)
        window.place.planner.iterations = 40
        return window

    return now


def settle(qtbot, window):
    for _ in range(4):
        qtbot.waitUntil(lambda: not window.shell.work.is_busy, timeout=60_000)
        qtbot.wait(20)


def press(qtbot, window, key, modifier=NONE, *, waits=True):
    qtbot.keyClick(QApplication.focusWidget() or window, key, modifier)
    if waits:
        settle(qtbot, window)


def visits(desk):
    with desk.store.read() as session:
        return {v.id: v.planned_on for v in session.query(Visit) if v.round_id is not None}


def a_team(desk, n_sites=6):
    for name in ("Lena Hobb", "Tobin Ashe"):
        a_technician(desk, name)
    return owed_sites(desk, n_sites)


def test_enter_takes_the_day_and_ctrl_z_gives_it_back(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    view = window.place.windows.view
    assert QApplication.focusWidget() is view
    chosen = view.row
    assert chosen.is_known

    press(qtbot, window, Qt.Key.Key_Return)

    assert list(visits(desk).values()) == [chosen.best.day]
    assert window.place.page.n_without_day == 5
    assert view.row.window.stop_id != chosen.window.stop_id
    press(qtbot, window, Qt.Key.Key_Z, CONTROL)
    assert visits(desk) == {}
    assert window.place.page.n_without_day == 6


def test_arrows_walk_the_windows_and_the_foot_tells_the_one_stood_on(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    place = window.place
    first = place.windows.view.current

    press(qtbot, window, Qt.Key.Key_Down)

    row = place.windows.view.row
    assert row.window.stop_id != first
    assert row.window.address in place.windows.chosen.text
    assert desk.formats.weekday(row.best.day) in place.windows.chosen.text


def test_digits_choose_which_windows_are_shown(qtbot, desk, opened):
    a_team(desk)
    late = a_site(desk, "9 Late Lane", owner="Late, L")
    a_contract(desk, late, from_on=date(2026, 5, 1), until_on=date(2027, 5, 1))
    window = opened()
    view = window.place.windows.view
    press(qtbot, window, Qt.Key.Key_Return)  # the late one gets its day
    assert len(view.placed) == 6

    press(qtbot, window, Qt.Key.Key_2)
    assert len(view.placed) == 7
    press(qtbot, window, Qt.Key.Key_4)

    assert [one.key for one in view.placed] == [view.row.window.stop_id]
    assert view.row.window.address == "9 Late Lane"
    assert window.place.keys.run("place") is not None, "it has a day already"


def test_the_weeks_are_filled_by_keys_taken_and_taken_back(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    place = window.place
    before = place.hours.view.people

    press(qtbot, window, Qt.Key.Key_F)
    assert place.strip.asking.isVisibleTo(place)
    place.strip.start.setFocus()
    press(qtbot, window, Qt.Key.Key_Return)

    assert place.draft is not None
    assert visits(desk) == {}, "a draft writes nothing"
    assert place.told.isVisibleTo(place)
    assert place.hours.view.people != before, "its hours are shown"
    assert QApplication.focusWidget() is place.told.view
    press(qtbot, window, Qt.Key.Key_Return, CONTROL)

    assert len(visits(desk)) == 6
    assert place.draft is None
    assert place.windows.isVisibleTo(place)
    press(qtbot, window, Qt.Key.Key_Z, CONTROL)
    assert visits(desk) == {}
    with desk.store.read() as session:
        assert session.query(Round).count() == 0


def test_a_draft_is_left_without_a_trace(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    place = window.place
    before = place.hours.view.people
    place.ask_fill()
    place.begin_fill()
    settle(qtbot, window)

    press(qtbot, window, Qt.Key.Key_L)

    assert place.draft is None
    assert visits(desk) == {}
    assert place.hours.view.people == before


def test_taking_it_as_it_is_and_stopping_are_two_things(qtbot, desk, opened):
    a_team(desk, 12)
    window = opened()
    place = window.place
    place.planner.iterations = None
    place.ask_fill()
    place.strip.seconds.addItem("120", 120)
    place.strip.seconds.setCurrentIndex(place.strip.seconds.count() - 1)
    place.begin_fill()
    qtbot.waitUntil(lambda: place.planner.has_something, timeout=30_000)
    qtbot.waitUntil(lambda: "12" in place.strip.gain.text(), timeout=10_000)

    press(qtbot, window, Qt.Key.Key_A)

    assert place.draft is not None
    assert place.draft.page.was_stopped
    assert len([s for d in place.draft.page.days for s in d.stops]) == 12
    place.leave_draft()

    place.ask_fill()
    place.begin_fill()
    qtbot.waitUntil(lambda: place.planner.has_something, timeout=30_000)
    press(qtbot, window, Qt.Key.Key_X)

    assert place.draft is None
    assert not place.strip.isVisibleTo(place)
    assert visits(desk) == {}


def test_only_the_chosen_technicians_are_planned(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    place = window.place
    place.ask_fill()
    (lena, tick), *_ = place.strip.ticks.items()
    tick.setChecked(False)
    place.begin_fill()
    settle(qtbot, window)

    assert place.draft.page.days
    assert all(day.technician_id != lena for day in place.draft.page.days)


def test_a_draft_that_is_out_of_date_is_refused_and_nothing_is_written(qtbot, desk, opened):
    sites = a_team(desk)
    window = opened()
    place = window.place
    place.ask_fill()
    place.begin_fill()
    settle(qtbot, window)
    a_visit(desk, sites[0], planned_on=place.draft.page.days[0].day)
    told = []
    window.shell.troubled.connect(told.append)
    place.take_draft()
    settle(qtbot, window)

    assert "changed since" in told[0].trouble.what
    assert visits(desk) == {}
    assert place.draft is not None, "what was worked out is not thrown away"


def test_rows_and_cells_are_read_aloud(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    place = window.place
    rows = QAccessible.queryAccessibleInterface(place.windows.view)
    cells = QAccessible.queryAccessibleInterface(place.hours.view)

    assert rows.childCount() == 6
    said = rows.child(0).text(QAccessible.Text.Name)
    assert "Alder Court" in said
    assert "best day" in said
    assert cells.childCount() == 2 * place.page.n_weeks
    assert "week of" in cells.child(0).text(QAccessible.Text.Name)


def test_enter_on_a_week_opens_its_rounds(qtbot, desk, opened):
    a_team(desk)
    window = opened()
    place = window.place
    asked = []
    window.shell.wanted.connect(asked.append)
    place.hours.view.setFocus()
    press(qtbot, window, Qt.Key.Key_Right)
    press(qtbot, window, Qt.Key.Key_Return)

    assert asked[0].place == "rounds"
    assert asked[0].ids == (date(2026, 10, 19),)


def test_nothing_to_plan_says_so(qtbot, desk, opened):
    a_technician(desk)
    window = opened()

    assert window.place.windows.none.isVisibleTo(window.place)
    assert window.place.windows.none.text()


SIZES = [((1440, 900), 100), ((1180, 660), 100), ((1180, 660), 130)]


@pytest.mark.parametrize(("size", "text_size"), SIZES)
def test_no_text_lies_over_another(qtbot, desk, opened, look, size, text_size):
    a_team(desk)
    long = a_site(desk, "1205 Old Tessing and Upper Corvane County Road", owner="Long, L",
                  locality="Upper Sallow Fork Junction")  # fmt: skip
    a_contract(desk, long, from_on=date(2026, 5, 1), until_on=date(2027, 5, 1))
    look.set_text_size(text_size)
    window = opened(size)
    place = window.place
    for view in (place.hours.view, place.windows.view):
        assert [one for one in view.shapes if isinstance(one, TextBox)]
        assert overlapping(view.shapes) == []
        assert outside([s for s in view.shapes if isinstance(s, TextBox)], view.width()) == []
    shown = place.windows.area.geometry()
    assert shown.height() >= 2 * place.windows.view.row_height - 1, "two rows at least are seen"


@pytest.mark.parametrize("scale", [1.0, 1.3])
@pytest.mark.parametrize("width", [880.0, 1180.0])
def test_figures_keep_within_their_width(desk, look, opened, scale, width):
    a_team(desk)
    people = opened().place.page.people
    crowded = tuple(
        replace(one, weeks=tuple(replace(w, inspections=3 * w.there, n_off=2) for w in one.weeks))
        for one in people
    )
    measure = ScreenMeasure(look)
    first = date(2026, 10, 12)
    figure = hours_figure(crowded, first, 11, TODAY, Formats(), width, measure, scale)
    assert overlapping(figure.shapes) == []
    assert outside(figure.shapes, width) == []
    assert sum("over by" in cell.spoken for cell in figure.cells) == len(figure.cells)
    long = "Lower Brisk, Marl Quay and Stave Hill by the old county road, all of them at once"
    rows = tuple(DraftRow(key=str(n), lead=long, when=long, why=long * 3) for n in range(4))
    part = DraftPart(long, "warn", "clay", rows, 7)
    shapes, placed, height = draft_figure([part, part], width, measure, scale)
    assert overlapping(shapes) == []
    assert outside(shapes, width) == []
    assert placed[-1].box.bottom <= height
    shapes, _ = hours_legend(width / 3, measure, scale)
    assert overlapping(shapes) == []
    assert outside(shapes, width / 3) == []
