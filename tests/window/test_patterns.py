"""Patterns, driven by keys over a real store: rows walked, one told, its work owed and taken back."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.pattern_seen import PatternsSeen, chosen_at_first, key_of
from servicedesk.records.owed import Owed
from servicedesk.values.shapes import TextBox
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.patterns_painted import FigureView, PaintedRows
from tests.desk.conftest import _seated
from tests.desk.test_pattern_seen import a_fleet_with_joints
from tests.papers.test_pattern_figures import overlapping
from tests.window.pages import PlainPlace

NONE = Qt.KeyboardModifier.NoModifier


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
    def now(size=(1440, 900)):
        kinds = [k if k.id == "patterns" else _Plain(k) for k in all_places()
                 if k.id in ("patterns", "sites")]  # fmt: skip
        window = open_window(FrontOffice(desk), kinds, size=size)
        window.shell.go("patterns")
        settle(qtbot, window)
        return window

    return now


def settle(qtbot, window):
    for _ in range(3):
        qtbot.waitUntil(lambda: not window.shell.work.is_busy, timeout=60_000)
        qtbot.wait(20)


def press(qtbot, window, key, modifier=NONE):
    qtbot.keyClick(QApplication.focusWidget() or window, key, modifier)
    settle(qtbot, window)


def stand_on(place, part):
    """Walk to the row whose words hold `part`."""
    row = next(one for one in place.rows.placed if part in one.spoken)
    place.rows.stand_on(row.key)


def owed(desk):
    with desk.store.read() as session:
        return [(one.system_id, one.what) for one in session.query(Owed).filter_by(state="open")]


def n_alike(place):
    """Clear patterns with the same work: where the wires are joined, and how, are one thing."""
    return sum(
        one.what == place.pattern.what and one.row.flag == "clearly above"
        for one in place._seen.page.patterns
    )


def test_arrows_walk_the_rows_and_the_row_is_told(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    place = window.place
    assert QApplication.focusWidget() is place.rows
    first = place.rows.current

    press(qtbot, window, Qt.Key.Key_Home)
    top = place.rows.current
    press(qtbot, window, Qt.Key.Key_Down)

    assert first
    assert place.pattern is not None or place.detail.told.sentences
    assert place.rows.current != top
    assert place.rows.current == place.rows.placed[1].key
    assert place.detail.told.title.text().endswith(place.title())
    assert window.top_bar.trail is not None


def test_the_strongest_pattern_is_told_first(desk, opened):
    a_fleet_with_joints(desk)
    place = opened().place

    best = place._seen.page.patterns[0]
    assert place.pattern == best
    assert place.detail.told.sentences[0].startswith(
        desk.formats.number(round(best.row.times.best, 1))
    )
    assert place.detail.told.care.text().split("\n") == list(best.cautions)


def test_the_work_is_put_on_the_chosen_visits_and_taken_back(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    place = window.place
    stand_on(place, "only taped")
    waiting = place.count()
    chosen = set(place.exposed.ticked)
    assert chosen
    assert str(len(chosen)) in place.detail.told.put.text()
    place.rows.setFocus()

    press(qtbot, window, Qt.Key.Key_P)
    written = owed(desk)
    after = place.count()
    put_again = place.keys["put"].isEnabled()
    press(qtbot, window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)

    assert {system for system, _ in written} == chosen
    assert {what for _, what in written} == {place.pattern.what}
    assert after == waiting - n_alike(place)
    assert not put_again
    assert owed(desk) == []
    assert place.count() == waiting
    assert place.exposed.ticked == chosen  # chosen again: one key puts it back


def test_the_spine_counts_what_is_clear_and_not_dealt_with(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    button = window.spine.buttons["patterns"]
    before = button.count
    window.place.rows.setFocus()
    stand_on(window.place, "only taped")

    press(qtbot, window, Qt.Key.Key_P)

    assert before == window.place._seen.page.n_clear
    assert button.count == before - n_alike(window.place)


def test_enter_goes_to_the_systems_space_chooses_and_enter_opens_the_site(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    place = window.place
    stand_on(place, "only taped")
    place.rows.setFocus()

    press(qtbot, window, Qt.Key.Key_Return)
    at = place.exposed.exposed_of(place.exposed.current)
    had = at.system_id in place.exposed.ticked
    press(qtbot, window, Qt.Key.Key_Space)
    has = at.system_id in place.exposed.ticked
    press(qtbot, window, Qt.Key.Key_X)
    every = set(place.exposed.ticked)
    press(qtbot, window, Qt.Key.Key_X)
    none = set(place.exposed.ticked)
    why_not = place.keys["put"].toolTip()
    press(qtbot, window, Qt.Key.Key_Return)

    assert had
    assert not has
    assert every == {one.system_id for one in place.pattern.exposed}
    assert none == set()
    assert "Choose at least one" in why_not
    assert window.place.name == "sites"
    assert window.place.shown[-1] == (at.site_id,)


def test_escape_leads_back_to_the_rows(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    window.place.rows.setFocus()
    stand_on(window.place, "only taped")
    press(qtbot, window, Qt.Key.Key_E)
    assert QApplication.focusWidget() is window.place.exposed

    press(qtbot, window, Qt.Key.Key_Escape)

    assert QApplication.focusWidget() is window.place.rows


def test_the_chosen_row_stays_in_sight_when_text_grows(qtbot, desk, opened, theme):
    a_fleet_with_joints(desk)
    window = opened((1180, 660))
    place = window.place
    place.rows.stand_on(place.rows.placed[-1].key)

    theme.set_text_size(130)
    settle(qtbot, window)

    row = place.rows.figure.row_of(place.rows.current)
    bar, view = place.chart.area.verticalScrollBar(), place.chart.area.viewport().height()
    assert bar.value() <= row.box.y
    assert row.box.bottom <= bar.value() + view + 1


def test_all_that_is_compared_is_shown_on_request(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    place = window.place
    page = place._seen.page  # everything stands out in this fleet: leave one pattern
    place.show_seen(PatternsSeen(replace(page, patterns=page.patterns[:1]), {}))
    some = len(place.rows.placed)
    place.rows.setFocus()

    press(qtbot, window, Qt.Key.Key_A)

    assert len(place.rows.placed) == sum(len(f.rows) for f in place._seen.page.factors) > some


def test_a_row_is_read_aloud_with_its_rate_and_range(desk, opened):
    a_fleet_with_joints(desk)
    place = opened().place
    list_ = QAccessible.queryAccessibleInterface(place.rows)

    child = list_.child(0)
    words = child.text(QAccessible.Text.Name)
    assert list_.childCount() == len(place.rows.placed)
    assert list_.role() == QAccessible.Role.List
    assert list_.indexOfChild(child) == 0
    assert "per 100" in words
    assert " to " in words
    assert list_.focusChild().text(QAccessible.Text.Name) == place.rows.spoken(place.rows.current)


def test_own_figures_are_written_from_the_page(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    window.place.rows.setFocus()

    press(qtbot, window, Qt.Key.Key_C)
    form = window.place._forms.form(desk)
    form.fields["call"].put_text("150")
    form.write()
    settle(qtbot, window)

    assert window.place._seen.page.assumed.call_minor == 15_000
    for one in window.place._seen.page.patterns:  # chosen anew by the new figures
        assert window.place._ticked[key_of(one)] == chosen_at_first(one, frozenset())
    assert "$150" in window.place.detail.costs.lines.text()


def test_sheet_and_paper_are_written_and_the_page_says_where(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    place = window.place
    place.rows.setFocus()

    press(qtbot, window, Qt.Key.Key_S)
    sheet = place.notice.words.text
    press(qtbot, window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)

    assert sheet.split()[0].endswith(".xlsx")
    folder = Path(place.notice.more.text)
    assert {p.suffix for p in folder.iterdir()} >= {".xlsx", ".pdf"}
    assert place.notice.isVisible()


def test_work_that_is_stopped_leaves_what_was_there_and_offers_to_go_on(qtbot, desk, opened):
    a_fleet_with_joints(desk)
    window = opened()
    place = window.place
    before = place._seen
    desk.store.conclusions.clear()

    place.compute()
    place._job.cancel()
    settle(qtbot, window)

    assert place._seen is before
    assert place.pages.isVisible()
    assert place.head.again.isVisible()
    assert place.state.isVisible()
    press(qtbot, window, Qt.Key.Key_R)
    assert not place.head.again.isVisible()
    assert place._seen is not before


PROGRAM = """
import sys
import servicedesk.window.places.patterns
heavy = [name for name in ("scipy", "numpy", "reportlab", "openpyxl") if name in sys.modules]
assert heavy == [], heavy
"""


def test_nothing_heavy_is_loaded_before_the_page_computes():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, timeout=120, check=False
    )

    assert done.returncode == 0, done.stderr


def test_with_too_little_to_compare_the_page_says_so(opened):
    place = opened().place

    assert not place.pages.isVisible()
    assert "Too little has failed" in place.state.text()
    assert place.count() == 0


@pytest.mark.parametrize(("size", "percent"), [((1180, 660), 100), ((1180, 660), 130),
                                               ((1440, 900), 115)])  # fmt: skip
def test_no_text_lies_over_another_and_none_is_cut(qtbot, desk, opened, theme, size, percent):
    a_fleet_with_joints(desk)
    theme.set_text_size(percent)
    window = opened(size)
    place = window.place
    stand_on(place, "only taped")
    settle(qtbot, window)

    views = [*place.findChildren(FigureView), *place.findChildren(PaintedRows)]
    shown = [view for view in views if view.isVisibleTo(place)]
    assert len(shown) > 8
    for view in shown:
        assert overlapping(view.shapes) == [], view.accessibleName()
        texts = [s for s in view.shapes if isinstance(s, TextBox)]
        assert all(s.box.right <= view.width() + 1 for s in texts), view.accessibleName()
        assert all(s.box.bottom <= view.height() + 1 for s in texts), view.accessibleName()
    assert place.detail.width() <= place.side.viewport().width()
    assert place.head.heading.width() >= place.head.heading.sizeHint().width()


def test_the_systems_exposed_are_shown_in_the_list_of_sites(qtbot, open_window, desk):
    a_fleet_with_joints(desk)
    kinds = [k for k in all_places() if k.id in ("patterns", "sites")]
    window = open_window(FrontOffice(desk), kinds)
    window.shell.go("patterns")
    settle(qtbot, window)
    pattern = window.place.pattern
    exposed = {one.site_id for one in pattern.exposed}

    press(qtbot, window, Qt.Key.Key_L)

    sites = window.place
    assert sites.name == "sites"
    assert set(sites.list.table.rows.ids) == exposed
    assert len(sites._all) > len(exposed)
    assert sites.list.picked.isVisible()
    assert sites.list.picked.isChecked()
    assert sites.list.picked.text() == f"Exposed: {pattern.title} {len(exposed)}"

    sites.list.pills["all"].click()
    settle(qtbot, window)
    assert set(sites.list.table.rows.ids) == set(sites._all)
    assert not sites.list.picked.isVisible()
