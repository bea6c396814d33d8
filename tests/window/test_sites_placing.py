"""Where is this? An address is found, looked at and written; so is a press on the map."""

import pytest
from PySide6.QtCore import QPoint, Qt

from servicedesk.desk import changes
from servicedesk.desk.sites import site_rows
from servicedesk.values.position import PositionSource
from servicedesk.window.places.registry import all_places
from tests.builders import a_site
from tests.window.map_roads import LAT, LON, with_roads
from tests.window.rounds_office import DeskOffice, a_desk


@pytest.fixture
def office(file_store, tmp_path):
    desk = a_desk(file_store)
    a_site(desk, "118 Dry Hollow Lane", owner="Quillan, Ruth", lat_deg=None, lon_deg=None)
    a_site(desk, "4 Old Weir", owner="Hobb, Eli", lat_deg=LAT + 0.01, lon_deg=LON + 0.01)
    with_roads(desk, tmp_path)
    return DeskOffice(desk=desk)


@pytest.fixture
def place(office, open_window, qtbot):
    window = open_window(office, tuple(k for k in all_places() if k.id == "sites"))
    place = window.place
    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 2)
    place.list.choose_filter("where")
    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 1)
    qtbot.waitUntil(place.list.place_bar.button.isEnabled)
    qtbot.waitUntil(lambda: place.list.map.ground is not None, timeout=20_000)
    qtbot.waitUntil(lambda: bool(place.list.map.spots))
    return place


def now(office, place):
    return site_rows(office.desk, [place.list.table.current_id])[0]


def source(office, site_id):
    from servicedesk.records.planning_rows import site_places

    with office.desk.store.read() as session:
        return site_places(session, [site_id])[site_id].position_source


def test_its_own_address_is_looked_up_and_two_enters_write_it(office, place, qtbot):
    bar, site_id = place.list.place_bar, place.list.table.current_id
    qtbot.waitUntil(lambda: bool(bar.found), timeout=20_000)
    assert bar.found[0].words.startswith("118 Dry Hollow Lane")
    qtbot.keyClick(bar.field, Qt.Key.Key_Return)
    assert now(office, place).position is None  # looked at, not yet written
    assert place.list.map._pin is not None
    assert place.list.map.view.meters_per_unit <= 4.0
    qtbot.keyClick(bar.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "118 Dry Hollow Lane" in bar.told.text())
    (row,) = site_rows(office.desk, [site_id])
    # the house lies 0.3 steps east and 11 north of the crossing
    assert (row.position.lat_deg, row.position.lon_deg) == pytest.approx(
        (LAT + 0.011, LON + 0.0003)
    )
    assert source(office, site_id) == PositionSource.ADDRESS
    assert row.position_state == "known"
    assert "at 118 Dry Hollow Lane" in changes.last_change(office.desk).what
    changes.undo(office.desk)
    assert site_rows(office.desk, [site_id])[0].position is None


def test_a_slip_of_spelling_is_forgiven(place, qtbot):
    bar = place.list.place_bar
    qtbot.keyClicks(bar.field, "121 Dry Holow Lnae")
    qtbot.waitUntil(lambda: any("121" in one.words for one in bar.found), timeout=20_000)
    assert bar.found[0].words.startswith("121 Dry Hollow Lane")


def test_a_crossing_is_only_near_it_and_stays_a_guess_unless_pressed_on(office, place, qtbot):
    bar, site_id = place.list.place_bar, place.list.table.current_id
    qtbot.keyClicks(bar.field, "Mill Road and Dry Hollow Lane")
    qtbot.waitUntil(lambda: bool(bar.found) and bar.found[0].kind == "crossing", timeout=20_000)
    bar.choose(bar.found[0])
    assert "Only near it" in bar.told.text()
    assert bar.source.currentData() == PositionSource.GUESSED
    # pressed on the map it is known from a map
    bar.on_map.click()
    middle = QPoint(place.list.map.width() // 2, place.list.map.height() // 2)
    qtbot.mouseClick(place.list.map, Qt.MouseButton.LeftButton, pos=middle)
    assert bar.source.currentData() == PositionSource.MAP
    assert not bar.on_map.isChecked()
    bar.look()
    qtbot.waitUntil(lambda: bool(source(office, site_id)))
    assert source(office, site_id) == PositionSource.MAP
    (row,) = site_rows(office.desk, [site_id])
    assert (row.position.lat_deg, row.position.lon_deg) == pytest.approx((LAT, LON), abs=1e-4)


def test_the_map_is_pointed_at_with_the_keys_alone(place, qtbot):
    bar = place.list.place_bar
    bar.on_map.click()
    qtbot.waitUntil(place.list.map.hasFocus)
    qtbot.keyClick(place.list.map, Qt.Key.Key_Right)
    qtbot.keyClick(place.list.map, Qt.Key.Key_Return)
    middle = place.list.map.view.position(place.list.map.width() / 2, place.list.map.height() / 2)
    assert bar.field.text() == f"{middle.lat_deg:.6f}, {middle.lon_deg:.6f}"


def test_what_is_nowhere_is_said_and_stays_in_the_field(place, qtbot):
    bar = place.list.place_bar
    qtbot.keyClicks(bar.field, "behind the mill")
    qtbot.wait(300)
    bar.look()
    assert bar.entry.is_wrong
    assert bar.field.text() == "behind the mill"


def test_a_company_without_a_single_place_can_still_point_at_its_map(
    file_store, tmp_path, open_window, qtbot
):
    desk = a_desk(file_store)
    a_site(desk, "118 Dry Hollow Lane", owner="Quillan, Ruth", lat_deg=None, lon_deg=None)
    with_roads(desk, tmp_path)
    window = open_window(DeskOffice(desk=desk), tuple(k for k in all_places() if k.id == "sites"))
    map_ = window.place.list.map
    qtbot.waitUntil(lambda: map_.ground is not None, timeout=20_000)
    assert map_.view is not None
    for corner in map_.ground.ground.corners:
        x, y = map_.view.at(corner)
        assert 0 < x < map_.width()
        assert 0 < y < map_.height()


def test_any_site_can_be_asked_where_it_is(office, place, qtbot):
    place.list.choose_filter("all")
    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 2)
    assert not place.list.place_bar.isVisible()
    weir = next(i for i, row in place._rows.items() if row.address == "4 Old Weir")
    place.list.table.choose(weir)
    place.place_site()
    assert place.list.place_bar.isVisible()
    assert "4 Old Weir" in place.list.place_bar.field.accessibleName()
