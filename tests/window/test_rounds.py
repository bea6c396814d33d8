"""The rounds page on a real store, driven by mouse and keys without a screen."""

from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QAccessible, QMouseEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit, QWidget

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.planning import day_case, hold, move_stop
from servicedesk.records.rounds import Round
from servicedesk.values.reason import Reason
from servicedesk.window.places.registry import PlaceKind, all_places
from servicedesk.window.places.rounds_words import worth_telling
from servicedesk.window.widgets.ribbon_bench import hit_box
from tests.builders import TODAY, a_site
from tests.desk.conftest import _seated
from tests.window.came_back_office import settle
from tests.window.pages import SitesPlace
from tests.window.rounds_office import THURSDAY, an_office

LENA, TOBIN = "1", "2"


class _SitesKind(PlaceKind):
    def build(self, shell):
        return SitesPlace(shell)


def kinds():
    wanted = {kind.id: kind for kind in all_places()}
    sites = wanted["sites"]
    return (
        wanted["rounds"],
        _SitesKind(sites.id, sites.title, sites.icon, sites.group, sites.number, sites.factory),
    )


class Page:
    """The page with helpers to wait and to press."""

    def __init__(self, window, office, qtbot):
        self.window, self.office, self.qtbot = window, office, qtbot
        self.place = window.place

    def settle(self):
        self.qtbot.waitUntil(lambda: self.place.page is not None and self.place.is_settled)

    def key(self, key, modifier=Qt.KeyboardModifier.NoModifier, on=None):
        self.qtbot.keyClick(on or self.place.bench, key, modifier)

    def orders(self):
        return day_case(self.office.desk, THURSDAY).stand.orders

    def names(self, crew):
        page = self.place.page
        return [page.stops[i].street for i in self.place.plan.day_of[crew].order]

    def stop(self, street):
        found = self.place.page.stops.items()
        return next(i for i, w in found if street in (w.street, w.address))

    def mouse(self, kind, at, on=None):
        widget = on or self.place.bench
        at = QPointF(at)
        button = (
            Qt.MouseButton.NoButton if kind == QEvent.Type.MouseMove else Qt.MouseButton.LeftButton
        )
        event = QMouseEvent(
            kind, at, widget.mapToGlobal(at), button, Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(widget, event)

    def take(self, stop_id):
        box = hit_box(self.place.bench, stop_id)
        at = QPointF(box.x + 8, box.y + 8)
        self.mouse(QEvent.Type.MouseButtonPress, at)
        return at

    def hold_over(self, crew, minute):
        figure = self.place.bench.figure
        row = next(r for r in figure.rows if r.crew_id == crew)
        at = QPointF(figure.axis.at(minute), row.box.center[1])
        self.mouse(QEvent.Type.MouseMove, at)
        return at

    def let_go(self, at):
        self.mouse(QEvent.Type.MouseButtonRelease, at)


@pytest.fixture
def opened(file_store, open_window, qtbot):
    def made(*, planned=True, size=(1440, 900)):
        office = an_office(file_store, planned=planned)
        window = open_window(office, kinds(), size=size)
        window.shell.go("rounds", THURSDAY)
        page = Page(window, office, qtbot)
        page.settle()
        return page

    return made


def test_the_day_stands_with_its_ribbons_map_tray_and_list(opened):
    page = opened()
    place = page.place
    assert place.header.title.text == "Thursday, October 15"
    assert place.title() == "Thu, Oct 15"
    assert [len(day.stops) for day in place.plan.days] == [3, 2]
    assert len(place.map.figure.spots) == 5
    assert [row.title for row in place.tray._model.rows] == ["240 Low Meadow"]
    assert [line.cells[0] for line in place.table.lines] == [
        "10 Quarry Spur", "77 Brisk Ferry", "3 Heron Bank", "Pinder Chapel", "52 Ashpit Lane",
        "240 Low Meadow",
    ]  # fmt: skip
    assert place.header.state_name == "draft"


def test_a_block_dragged_to_the_other_ribbon_shows_arrivals_at_once_and_is_written(opened):
    page = opened()
    stop = page.stop("Brisk Ferry")
    page.take(stop)
    at = page.hold_over(TOBIN, 7 * 60)
    assert page.place.bench.plan.orders[TOBIN][0] == stop
    assert page.place.bench.figure.block_at(1, 1) is None  # laid out anew
    block = next(
        b
        for row in page.place.bench._data.rows
        for b in row.blocks
        if b.stop_id == page.stop("Pinder Chapel")
    )
    assert block.delta_min > 0
    assert block.delta == f"+{block.delta_min}"
    assert page.orders()[TOBIN][0] != stop  # nothing is written while the hand holds it
    page.let_go(at)
    assert page.place.plan.orders[TOBIN][0] == stop
    page.settle()
    assert page.orders()[TOBIN][0] == stop
    assert page.names(TOBIN)[0] == "Brisk Ferry"


def test_esc_puts_the_block_back_and_nothing_is_written(opened):
    page = opened()
    before = page.orders()
    page.take(page.stop("Brisk Ferry"))
    at = page.hold_over(TOBIN, 7 * 60)
    page.key(Qt.Key.Key_Escape)
    assert page.place.bench.drag is None
    assert page.place.bench.plan.orders == before
    page.let_go(at)
    page.settle()
    assert page.orders() == before


def test_a_block_let_go_far_outside_goes_back(opened):
    page = opened()
    before = page.orders()
    page.take(page.stop("Brisk Ferry"))
    page.hold_over(TOBIN, 7 * 60)
    far = QPointF(400, -300)
    page.mouse(QEvent.Type.MouseMove, far)
    page.let_go(far)
    assert page.place.is_settled
    assert page.place.plan.orders == page.orders() == before


def test_a_promise_missed_in_hand_is_told_in_minutes_and_hatched(opened):
    page = opened()
    page.take(page.stop("Heron Bank"))
    page.hold_over(TOBIN, 16 * 60)
    texts = [s.text for s in page.place.bench.figure.shapes if hasattr(s, "text")]
    late = next(s for s in page.place.bench.plan.late)
    assert f"{late.late_min} min late" in texts
    assert any(type(s).__name__ == "Hatch" for s in page.place.bench.figure.shapes)
    page.key(Qt.Key.Key_Escape)


def test_keys_walk_the_blocks_and_move_the_chosen_one(opened):
    page = opened()
    bench = page.place.bench
    bench.setFocus()
    page.key(Qt.Key.Key_Home)
    page.key(Qt.Key.Key_Home)
    assert page.names(LENA)[0] == "Quarry Spur"
    assert bench.stop == page.stop("Quarry Spur")
    page.key(Qt.Key.Key_Right)
    assert bench.stop == page.stop("Brisk Ferry")
    page.place.keys.run("earlier")
    assert page.names(LENA)[:2] == ["Brisk Ferry", "Quarry Spur"]
    page.settle()
    assert next(page.place.page.stops[i].street for i in page.orders()[LENA]) == "Brisk Ferry"
    page.key(Qt.Key.Key_Down)
    assert bench.stop in page.place.plan.day_of[TOBIN].order


def test_presses_faster_than_the_store_are_all_written_in_order(opened):
    page = opened()
    page.place.choose(page.stop("Quarry Spur"))
    for act in ("later", "later", "below"):
        assert page.place.keys.run(act) is None
    assert page.stop("Quarry Spur") in page.place.plan.day_of[TOBIN].order
    page.settle()
    assert page.orders() == page.place.plan.orders
    assert page.place.page.case.stand.orders == page.place.plan.orders
    assert page.place.bench.stop == page.stop("Quarry Spur")


def test_ctrl_arrow_keys_are_the_keys_of_moving(opened):
    page = opened()
    page.place.bench.setFocus()
    page.place.choose(page.stop("Quarry Spur"))
    page.key(Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert page.names(LENA)[:2] == ["Brisk Ferry", "Quarry Spur"]
    page.key(Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier)
    assert "Quarry Spur" in page.names(TOBIN)
    page.settle()


def test_f9_holds_a_stop_and_frees_it(opened):
    page = opened()
    page.place.bench.setFocus()
    page.place.choose(page.stop("Brisk Ferry"))
    page.key(Qt.Key.Key_F9)
    page.qtbot.waitUntil(lambda: page.place.is_settled and _held(page))
    page.key(Qt.Key.Key_F9)
    page.qtbot.waitUntil(lambda: page.place.is_settled and not _held(page))


def _held(page):
    return page.place.page.stops[page.stop("Brisk Ferry")].is_held


def test_delete_takes_a_stop_out_and_a_digit_gives_it_a_place_again(opened):
    page = opened()
    place = page.place
    place.bench.setFocus()
    place.choose(page.stop("Brisk Ferry"))
    page.key(Qt.Key.Key_Delete)
    page.settle()
    assert "Brisk Ferry" not in page.names(LENA) + page.names(TOBIN)
    stop = page.stop("Brisk Ferry")
    place.choose(stop)
    assert place.tray.stop == stop
    offer = place._places[0]
    page.key(Qt.Key.Key_1)
    page.settle()
    assert page.orders()[offer.crew_id][offer.position] == page.stop("Brisk Ferry")


def test_choosing_what_waits_lists_places_with_their_price(opened):
    page = opened()
    place = page.place
    place.choose(page.stop("240 Low Meadow"))
    assert place.tray.fits.text() == "Where 240 Low Meadow would fit"
    shown = [row.offer for row in place.tray._rows if row.offer is not None]
    assert len(shown) == len(place._places) >= 3
    assert all(offer.road.startswith(("+", "\u2212")) for offer in shown)
    assert shown[0].home == page.office.desk.formats.short_time(place._places[0].home_min)


def test_a_stop_is_dragged_from_the_tray_onto_a_ribbon(opened):
    page = opened()
    place = page.place
    view = place.tray.list
    start = view.visualRect(view.model().index(0)).center()
    viewport = view.viewport()
    page.mouse(QEvent.Type.MouseButtonPress, QPointF(start), on=viewport)
    page.mouse(QEvent.Type.MouseMove, QPointF(start + QPoint(-40, 20)), on=viewport)
    assert place.carried.isVisible()
    row = next(r for r in place.bench.figure.rows if r.crew_id == TOBIN)
    target = QPoint(round(place.bench.figure.axis.at(16 * 60)), round(row.box.center[1]))
    at = viewport.mapFromGlobal(place.bench.mapToGlobal(target))
    page.mouse(QEvent.Type.MouseMove, QPointF(at), on=viewport)
    assert not place.carried.isVisible()
    assert len(place.bench.plan.day_of[TOBIN].stops) == 3
    page.mouse(QEvent.Type.MouseButtonRelease, QPointF(at), on=viewport)
    page.settle()
    assert page.names(TOBIN)[-1] == "Low Meadow"
    assert page.orders()[TOBIN][-1] == page.stop("240 Low Meadow")


def test_enter_opens_the_site_file(opened):
    page = opened()
    page.place.bench.setFocus()
    page.place.choose(page.stop("Brisk Ferry"))
    site = page.place.page.stops[page.place.bench.stop].site_id
    page.key(Qt.Key.Key_Return)
    assert page.window.place.shown[-1] == (site,)


def test_the_list_holds_every_stop_and_turns_back(opened):
    page = opened()
    place = page.place
    place.bench.setFocus()
    page.key(Qt.Key.Key_T)
    assert place.view.shown is place.view.list_view
    place.table.selectRow(1)
    assert place.bench.stop == place.table.lines[1].stop_id
    page.key(Qt.Key.Key_T, on=place.table)
    assert place.view.shown is not place.view.list_view


def test_planning_again_shows_before_and_after_and_takes_it(opened):
    page = opened()
    place = page.place
    before = page.orders()
    place.keys.run("plan")
    page.qtbot.waitUntil(place.offer.take.isVisible, timeout=60_000)
    assert page.orders() == before
    shown = [words.text() for words in place.offer._shown]
    assert shown[3] == "Placed\n5 \u2192 6"
    assert place.bench.plan.crew_id_of.keys() > {i for o in before.values() for i in o}
    place.take_offer()
    page.settle()
    assert sum(len(order) for order in page.orders().values()) == 6
    assert not place.offer.isVisible()


def test_leaving_the_offer_keeps_the_rounds(opened):
    page = opened()
    before = page.orders()
    page.place.keys.run("plan")
    page.qtbot.waitUntil(page.place.offer.take.isVisible, timeout=60_000)
    page.place.offer.leave.click()
    assert page.place.bench.plan.orders == page.orders() == before


def test_stopping_a_plan_in_the_making_changes_nothing(opened):
    page = opened()
    before = page.orders()
    page.place.keys.run("plan")
    assert page.place.offer.is_planning
    page.place.offer.stop.click()
    page.qtbot.waitUntil(lambda: not page.place.offer.is_planning, timeout=60_000)
    assert not page.place.offer.isVisible()
    assert page.orders() == before


def test_a_day_without_rounds_says_so_and_can_be_planned(opened):
    page = opened(planned=False)
    header = page.place.header
    assert header.state_name == "none"
    assert header.plan.text() == "Plan the day"
    assert page.place.keys.run("papers") == "This day has no rounds yet: plan it first."


def test_handing_out_and_taking_back_change_the_chip(opened):
    page = opened()
    header = page.place.header
    page.place.keys.run("hand_out")
    page.qtbot.waitUntil(lambda: page.place.is_settled and header.state_name == "handed out")
    assert header.take_back.isVisible()
    page.place.choose(page.stop("Quarry Spur"))
    page.place.keys.run("later")
    page.qtbot.waitUntil(lambda: page.place.is_settled and header.state_name == "changed")
    assert header.hand_out.text() == "Hand out again"


def test_papers_are_written_beside_the_store_and_it_says_where(opened, tmp_path):
    page = opened()
    page.place.keys.run("papers")
    page.qtbot.waitUntil(page.place.notice.isVisible, timeout=30_000)
    folder = tmp_path / "papers"
    names = sorted(path.name for path in folder.iterdir())
    assert "route-2026-10-15-lena-hobb.pdf" in names
    assert str(folder) in page.place.notice.words.text
    assert f"{len(names)} papers" in page.place.notice.words.text


def test_a_move_refused_because_of_another_seat_goes_back(opened):
    page = opened()
    desk = page.office.desk
    case = day_case(desk, THURSDAY)
    stop = page.stop("Quarry Spur")
    move_stop(desk.seated("Otto"), case, stop, to_crew=LENA, position=2)
    page.place.put(stop, TOBIN, 0)
    assert page.place.plan.orders[TOBIN][0] == stop
    page.qtbot.waitUntil(page.window.trouble_sheet.isVisible)
    page.settle()
    assert page.place.plan.orders == page.orders()
    assert page.place.plan.orders[LENA][2] == stop


def test_a_stop_made_already_cannot_be_moved(opened):
    page = opened()
    stop = page.stop("Quarry Spur")
    words = page.place.page.stops
    made = {**words, stop: replace(words[stop], is_made=True)}
    page.place._page = replace(page.place.page, stops=made)
    page.place._show_plan()
    page.place.choose(stop)
    assert page.place.keys.run("later").startswith("This stop was made already")
    page.take(stop)
    page.hold_over(TOBIN, 8 * 60)
    assert page.place.bench.drag is None


def test_a_weekend_says_that_nobody_goes_out_and_shows_the_way_on(opened):
    page = opened()
    page.place.show_day(TODAY.replace(day=17))
    page.settle()
    assert page.place.view.shown is page.place.view.empty
    assert "not a working day" in page.place.view.empty.words.text()
    page.place.view.empty.next.click()
    page.settle()
    assert page.place.title() == "Mon, Oct 19"


def test_without_a_technician_the_way_on_is_to_name_one(qtbot, open_window, file_store):
    desk = _seated(file_store)
    a_site(desk)
    window = open_window(FrontOffice(desk))
    window.shell.go("rounds", TODAY)
    settle(qtbot, window)
    empty = window.place.view.empty
    assert window.place.view.shown is empty
    assert "no technician yet" in empty.words.text()
    assert not empty.next.isVisible()
    empty.first.click()
    settle(qtbot, window)
    assert type(window.place).__name__ == "SetupPlace"


def test_days_are_reached_by_chips_and_keys(opened):
    page = opened()
    monday = page.place.header.chips[0]
    assert monday.accessibleName().startswith("Mon, 0 stops")
    monday.click()
    page.settle()
    assert page.place.title() == "Mon, Oct 12"
    page.place.keys.run("day_before")
    page.settle()
    assert page.place.title() == "Fri, Oct 9"


def test_going_back_finds_the_day_and_the_stop(opened):
    page = opened()
    page.place.choose(page.stop("Heron Bank"))
    page.window.shell.go("sites", 3)
    page.window.back()
    page.settle()
    assert page.place.title() == "Thu, Oct 15"
    assert page.place.bench.stop == page.stop("Heron Bank")


def test_a_held_stop_carries_its_padlock_in_moss(opened):
    page = opened()
    stop = page.stop("Brisk Ferry")
    hold(page.office.desk, page.place.page.case.wanted[stop].visit, address="77 Brisk Ferry")
    page.place.refresh(None)
    page.settle()
    signs = [s for s in page.place.bench.figure.shapes if getattr(s, "name", "") == "hold"]
    box = hit_box(page.place.bench, stop)
    assert [sign.color for sign in signs] == ["moss"]
    assert box.holds(signs[0].box)


@pytest.mark.parametrize("size", [(1440, 900), (1180, 660)])
def test_everything_that_can_be_pressed_has_a_name_and_room(opened, size):
    page = opened(size=size)
    page.place.choose(page.stop("240 Low Meadow"))
    for button in page.place.findChildren(QAbstractButton):
        if button.isVisible() and button.objectName() != "qt_toolbar_ext_button":
            assert button.accessibleName() or button.text(), button
            inside = page.place.rect().contains(button.mapTo(page.place, button.rect().center()))
            assert inside, button.accessibleName()
    for widget in (page.place.bench, page.place.map, page.place.tray, page.place.table):
        assert widget.accessibleName()
    assert isinstance(page.place.first_focus(), QWidget)
    fields = page.place.findChildren(QLineEdit)  # in one digits would be text
    assert not [field for field in fields if field.isVisible()]


def test_a_day_read_anew_waits_until_the_hand_lets_go(opened):
    page = opened()
    stop = page.stop("Brisk Ferry")
    page.take(stop)
    at = page.hold_over(TOBIN, 7 * 60)
    page.place.refresh(None)
    page.settle()
    assert page.place.bench.drag is not None
    page.let_go(at)
    page.settle()
    assert page.orders()[TOBIN][0] == stop


def test_a_stop_that_another_seat_moved_meanwhile_is_still_dropped_on_the_day_as_it_is(opened):
    page = opened()
    stop, other = page.stop("Brisk Ferry"), page.stop("Quarry Spur")
    page.take(stop)
    at = page.hold_over(TOBIN, 7 * 60)
    desk = page.office.desk
    move_stop(desk.seated("Otto"), day_case(desk, THURSDAY), other, to_crew=LENA, position=2)
    page.place.refresh(None)
    page.settle()
    page.let_go(at)
    page.settle()
    assert page.orders()[TOBIN][0] == stop
    assert page.orders()[LENA][-1] == other


def test_handing_out_right_after_a_move_waits_for_it(opened):
    page = opened()
    page.place.choose(page.stop("Quarry Spur"))
    page.place.keys.run("later")
    page.place.keys.run("hand_out")
    page.settle()
    assert page.place.header.state_name == "handed out"
    assert page.names(LENA)[1] == "Quarry Spur"


def test_a_screen_reader_meets_every_stop_of_the_ribbons(opened):
    page = opened()
    bench = page.place.bench
    page.place.choose(page.stop("Heron Bank"))
    seen = QAccessible.queryAccessibleInterface(bench)
    texts = [seen.child(n).text(QAccessible.Text.Name) for n in range(seen.childCount())]
    assert len(texts) == 5
    heron = next(t for t in texts if "3 Heron Bank" in t)
    assert heron.startswith("Lena: 3 Heron Bank, inspection, arrives ")
    assert heron.endswith("promised by 10:30 am")
    assert seen.focusChild().text(QAccessible.Text.Name) == heron
    first = seen.child(0)
    middle = first.rect().center()
    assert seen.childAt(middle.x(), middle.y()).key == first.key
    assert seen.indexOfChild(first) == 0
    page.place.put(page.stop("Heron Bank"), TOBIN, 0)
    page.settle()
    assert seen.childCount() == 5
    assert any(
        seen.child(n).text(QAccessible.Text.Name).startswith("Tobin: 3 Heron") for n in range(5)
    )


def test_a_stop_with_places_says_how_little_road_was_too_much():
    def cost(minutes):
        return Reason.of("not_worth_road", crew="1", extra_min=minutes, prize_min=5)

    full = Reason.of("day_full", crew="2", over_min=9)
    assert worth_telling((full, cost(20), cost(6))) == (cost(6),)
    assert worth_telling((full,)) == ()


def test_large_text_in_a_small_window_leaves_the_day_readable(opened, theme):
    page = opened(size=(1180, 660))
    theme.set_text_size(130)
    header = page.place.header
    header.resize(header.width() - 1, header.height())
    wanted = header.title.sizeHint().width()
    page.qtbot.waitUntil(lambda: header.title.width() >= wanted)
    assert [chip.day.name for chip in header.chips if chip.isVisible()] == ["Thu"]
    assert not header.plan.isVisible()
    assert page.place.keys["plan"] in header.menu.actions()


def test_a_plan_in_the_making_is_dropped_when_another_day_is_shown(opened):
    page = opened()
    page.place.keys.run("plan")
    page.place.step_day(1)
    page.settle()
    page.qtbot.waitUntil(lambda: not page.place.shell.work.is_busy, timeout=60_000)
    assert not page.place.offer.isVisible()
    assert not page.place.notice.isVisible()


def test_all_ways_of_a_stop_stand_with_their_effect_and_a_digit_takes_one(opened, qtbot):
    page = opened()
    place, ways = page.place, page.place.view.ways
    place.choose(page.stop("240 Low Meadow"))

    page.key(Qt.Key.Key_W, on=place.tray.list)
    page.settle()

    assert place.view.side.currentWidget() is ways
    assert "240 Low Meadow" in ways.title_label.text()
    shown = ways.lines
    assert len(shown) > 2
    late = next(w for w in shown if w.effects)
    ways.list.choose(late)
    assert [row.title for row in ways.effects.rows.rows] == [e.name for e in late.effects]
    wanted = place.squeezer.page.ways[1]
    page.key(Qt.Key.Key_2, on=ways.list)
    page.settle()
    assert place.view.side.currentWidget() is place.tray
    order = page.orders()[str(wanted.technician_id)]
    case = day_case(page.office.desk, THURSDAY)
    assert (
        case.wanted[order[wanted.position]].site_id == case.wanted[page.stop("Low Meadow")].site_id
    )


def test_ways_are_left_with_esc_and_asked_anew_when_the_day_changes(opened, qtbot):
    page = opened()
    place = page.place
    place.choose(page.stop("Brisk Ferry"))
    place.show_ways()
    page.settle()
    before = place.squeezer.page
    move_stop(page.office.desk, place.page.case, page.stop("Ashpit Lane"), to_crew=LENA, position=0)

    place.refresh(None)
    page.settle()

    assert place.squeezer.page.ways != before.ways
    page.key(Qt.Key.Key_Escape, on=place.view.ways.list)
    assert place.view.side.currentWidget() is place.tray
    assert not place.squeezer.is_open


def test_a_round_is_put_in_order_shown_and_taken(opened):
    page = opened()
    place = page.place
    ids = place.plan.orders[LENA]
    worst = (ids[2], ids[0], ids[1])
    move_stop(page.office.desk, place.page.case, ids[2], to_crew=LENA, position=0)
    place.refresh(None)
    page.settle()
    assert place.plan.orders[LENA] == worst
    other = place.plan.orders[TOBIN]
    place.choose(ids[0])

    page.key(Qt.Key.Key_O)
    page.qtbot.waitUntil(lambda: not place.offer.is_planning and place.offer.isVisible())

    offered = place.planner.offered
    assert offered.road_min < place.plan.road_min
    assert offered.orders[TOBIN] == other
    assert page.orders()[LENA] == worst  # nothing is written before it is taken
    place.offer.take.click()
    page.settle()
    assert page.orders()[LENA] == offered.orders[LENA]


def test_after_a_move_the_rounds_around_it_are_offered_and_never_forced(opened):
    page = opened()
    place = page.place
    stop = page.stop("Ashpit Lane")
    page.place.choose(stop)

    place.put(stop, LENA, 0)  # far from Lena's other stops
    page.settle()
    page.qtbot.waitUntil(lambda: not place.mender.is_looking)

    stood = page.orders()
    assert stood[LENA][0] == stop
    if place.mender.found is None:
        pytest.fail("the first stop of all is a bad place: something must be gained")
    assert place.view.mending.isVisible()
    page.key(Qt.Key.Key_M)
    assert place.planner.offered.crew_id_of[stop] == LENA
    place.offer.leave.click()
    assert page.orders() == stood


def test_a_block_let_go_over_a_day_of_the_header_goes_there(opened, qtbot):
    page = opened()
    place = page.place
    friday = THURSDAY + timedelta(days=1)
    desk = page.office.desk
    taken = day_case(desk, friday)
    assert not taken.rounds
    stop = page.stop("Brisk Ferry")
    site = place.page.stops[stop].site_id
    with desk.store.change("Ines", "Friday") as work:
        work.add(Round(day=friday, lead_id=int(LENA)))
    place.refresh(None)
    page.settle()
    chip = next(c for c in place.header.chips if c.day is not None and c.day.day == friday)
    page.take(stop)
    at = place.bench.mapFromGlobal(chip.mapToGlobal(chip.rect().center()))

    page.mouse(QEvent.Type.MouseMove, at)

    assert chip.is_target
    qtbot.waitUntil(lambda: "Lena" in place.days.note)
    assert place.carried.isVisible()
    page.let_go(at)
    page.settle()
    assert not chip.is_target
    assert stop not in place.plan.crew_id_of
    there = day_case(desk, friday)
    assert [there.wanted[i].site_id for i in there.stand.orders[LENA]] == [site]


def test_keys_send_the_chosen_stop_to_the_day_after(opened):
    page = opened()
    place, desk = page.place, page.office.desk
    with desk.store.change("Ines", "Friday") as work:
        work.add(Round(day=THURSDAY + timedelta(days=1), lead_id=int(TOBIN)))
    place.refresh(None)
    page.settle()
    place.choose(page.stop("Heron Bank"))

    shift = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    page.key(Qt.Key.Key_PageDown, shift)
    page.settle()

    assert "Heron Bank" not in page.names(LENA)
    assert len(day_case(desk, THURSDAY + timedelta(days=1)).stand.crew_id_of) == 1
