"""The map one can move: keys, wheel, pulling and pressing; tiles on workers; the credit always."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtWidgets import QApplication

from servicedesk.values.shapes import TextBox
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.map_view import NOTCH
from tests.window.map_roads import LAT, LON, with_roads
from tests.window.rounds_office import THURSDAY, an_office


def a_window(open_window, office, qtbot, page):
    window = open_window(office, tuple(k for k in all_places() if k.id in ("rounds", "sites")))
    window.shell.go(*page)
    qtbot.waitUntil(lambda: window.place.name == page[0] and window.place.is_settled)
    return window


@pytest.fixture
def with_map(open_window, file_store, qtbot, tmp_path):
    """Rounds of Thursday over built roads."""
    office = an_office(file_store)
    with_roads(office.desk, tmp_path)
    window = a_window(open_window, office, qtbot, ("rounds", THURSDAY))
    map_ = window.place.map
    qtbot.waitUntil(lambda: map_.ground is not None and map_.is_settled, timeout=20_000)
    qtbot.waitUntil(lambda: bool(map_._data.by_road), timeout=20_000)
    return map_


@pytest.fixture
def without(open_window, file_store, qtbot):
    """The same without a road file."""
    window = a_window(open_window, an_office(file_store), qtbot, ("rounds", THURSDAY))
    qtbot.waitUntil(lambda: bool(window.place.map.figure.spots))
    return window.place.map


def credit_of(map_):
    return " ".join(
        s.text for s in map_.figure.shapes if isinstance(s, TextBox) and s.key == "credit"
    )


def spots(map_):
    return {stop: box.center for stop, box in map_.figure.spots}


def settled(qtbot, map_):
    """Painted with all its tiles."""
    map_.update()
    qtbot.wait(30)
    qtbot.waitUntil(lambda: map_.tiles.is_settled, timeout=20_000)
    qtbot.wait(30)


def test_drives_follow_the_roads_and_the_corner_says_whose_they_are(with_map):
    assert with_map.figure.spots
    # openstreetmap.org/copyright asks for this credit wherever the map is
    assert "© OpenStreetMap contributors" in credit_of(with_map)
    assert credit_of(with_map).startswith("roads of tarrow")
    assert with_map.toolTip().endswith("(https://www.openstreetmap.org/copyright)")
    assert any(len(way) > 2 for way in with_map._data.by_road.values())


def test_without_roads_there_are_still_stops_lines_and_a_scale(without):
    figure = without.figure
    assert len(figure.spots) == 5
    assert credit_of(without) == "straight lines, times estimated"
    assert any(isinstance(s, TextBox) and s.key == "scale" for s in figure.shapes)
    assert without.tiles.is_settled


def test_arrows_move_plus_and_minus_zoom_and_home_shows_all(qtbot, with_map):
    first = with_map.view
    before = spots(with_map)
    with_map.setFocus()
    qtbot.keyClick(with_map, Qt.Key.Key_Right)
    assert with_map.view.middle_m[0] > first.middle_m[0]
    qtbot.keyClick(with_map, Qt.Key.Key_Plus)
    assert with_map.view.meters_per_unit == pytest.approx(first.meters_per_unit / NOTCH)
    qtbot.keyClick(with_map, Qt.Key.Key_Minus)
    qtbot.keyClick(with_map, Qt.Key.Key_Minus)
    assert with_map.view.meters_per_unit == pytest.approx(first.meters_per_unit * NOTCH)
    assert spots(with_map) != before
    qtbot.keyClick(with_map, Qt.Key.Key_Home)
    assert with_map.view == first
    assert spots(with_map) == before
    assert [b.accessibleName() for b in with_map.buttons] == [
        "Closer: +", "Farther: \u2212", "Show all on the map: Home",
    ]  # fmt: skip


def test_the_wheel_zooms_about_the_pointer(with_map):
    at = QPointF(120, 90)
    under = with_map.view.position(at.x(), at.y())
    meters = with_map.view.meters_per_unit
    event = QWheelEvent(
        at, with_map.mapToGlobal(at), QPoint(), QPoint(0, 120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(with_map, event)
    assert with_map.view.meters_per_unit == pytest.approx(meters / NOTCH)
    now = with_map.view.position(at.x(), at.y())
    assert (now.lat_deg, now.lon_deg) == pytest.approx((under.lat_deg, under.lon_deg))


def test_pulling_moves_the_ground_with_the_hand_and_chooses_nothing(qtbot, with_map):
    chosen = []
    with_map.chosen.connect(chosen.append)
    stop, (x, y) = next(iter(spots(with_map).items()))
    start = QPoint(round(x), round(y))
    under = with_map.view.position(start.x(), start.y())
    qtbot.mousePress(with_map, Qt.MouseButton.LeftButton, pos=start)
    for step in (3, 15, 40):
        qtbot.mouseMove(with_map, start + QPoint(step, step // 2))
    qtbot.mouseRelease(with_map, Qt.MouseButton.LeftButton, pos=start + QPoint(40, 20))
    assert chosen == []
    now = with_map.view.position(start.x() + 40, start.y() + 20)
    assert (now.lat_deg, now.lon_deg) == pytest.approx((under.lat_deg, under.lon_deg))
    at = spots(with_map)[stop]
    qtbot.mouseClick(with_map, Qt.MouseButton.LeftButton, pos=QPoint(round(at[0]), round(at[1])))
    assert chosen == [stop]


def test_the_ground_is_painted_in_the_colors_of_the_look(qtbot, with_map, theme):
    with_map.show_all()
    for look in ("light", "dark"):
        theme.use(look)
        settled(qtbot, with_map)
        x, y = with_map.view.at(_position(20, 20))
        color = with_map.grab().toImage().pixelColor(round(x), round(y))
        assert color == QColor(theme.tokens.map.river)
    theme.use("light")


def test_tiles_are_kept_while_one_stays_and_asked_for_when_one_moves(qtbot, with_map):
    settled(qtbot, with_map)
    kept = set(with_map.tiles._kept)
    assert kept
    settled(qtbot, with_map)
    assert set(with_map.tiles._kept) == kept
    with_map.pull(QPointF(700, 0))
    settled(qtbot, with_map)
    assert set(with_map.tiles._kept) > kept


def test_no_label_of_the_map_covers_another_at_any_scale(qtbot, with_map):
    import itertools

    for _ in range(5):
        figure = with_map.figure
        names = [s.box for s in figure.shapes
                 if isinstance(s, TextBox) and s.key in ("name", "credit", "scale", "legend")]  # fmt: skip
        numbers = [box for _, box in figure.spots]
        buttons = list(with_map.reserved())
        for one, other in itertools.combinations(names, 2):
            assert not one.grown(-0.01).touches(other)
        for one in names:
            assert not any(one.grown(-0.01).touches(n) for n in (*numbers, *buttons))
        with_map.closer()


def test_choosing_a_stop_out_of_sight_brings_it_into_sight(with_map):
    for _ in range(12):
        with_map.closer()
    hidden = next(
        stop for stop, (x, y) in spots(with_map).items()
        if not (0 < x < with_map.width() and 0 < y < with_map.height())
    )  # fmt: skip
    with_map.choose(hidden)
    x, y = spots(with_map)[hidden]
    assert 0 < x < with_map.width()
    assert 0 < y < with_map.height()


def _position(x, y):
    from servicedesk.values.position import Position

    return Position(LAT + y / 1000, LON + x / 1000)
