"""Roads built from Set up: the extract chosen, its license shown, stopped, refused."""

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk.roads import roads_folder, roads_in_use
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets import setup_roads
from tests.builders import a_site
from tests.window.map_roads import LAT, LON, an_extract
from tests.window.rounds_office import DeskOffice, a_desk


@pytest.fixture
def office(file_store):
    desk = a_desk(file_store)
    a_site(desk, "118 Dry Hollow Lane", lat_deg=LAT + 0.011, lon_deg=LON + 0.0003)
    a_site(desk, "4 Old Weir", lat_deg=LAT + 0.02, lon_deg=LON + 0.02)
    office = DeskOffice(desk=desk)
    office.reread = lambda: None
    return office


@pytest.fixture
def sheet(office, open_window, qtbot):
    window = open_window(office, tuple(k for k in all_places() if k.id in ("setup", "sites")))
    window.shell.go("setup")
    qtbot.waitUntil(lambda: window.place.name == "setup" and window.place.roads.state is not None)
    window.place.roads.window_of_test = window
    return window.place.roads


def test_an_extract_is_built_and_whose_data_it_is_stands_there(office, sheet, qtbot, tmp_path):
    assert "straight lines, times estimated" in sheet.words.text()
    assert not sheet.license.isVisible()
    changed = []
    sheet.window_of_test.shell.bus.changed.connect(changed.append)
    sheet.build(str(an_extract(tmp_path)))
    assert sheet.is_busy
    assert sheet.stop.isVisible()
    qtbot.waitUntil(lambda: roads_in_use(office.desk) is not None, timeout=20_000)
    qtbot.waitUntil(lambda: "roads of tarrow" in sheet.words.text(), timeout=20_000)
    assert "3 house numbers" in sheet.words.text()
    assert changed == [None]  # every place reads anew: times and maps are others
    # openstreetmap.org/copyright: credit, and the license made plain
    assert "© OpenStreetMap contributors" in sheet.license.text()
    assert 'href="https://www.openstreetmap.org/copyright"' in sheet.license.text()
    assert "Open Database License" in sheet.license.text()
    # 4 Old Weir lies two kilometers off every road
    assert "4 Old Weir" in sheet.off.text()
    assert "118 Dry Hollow" not in sheet.off.text()
    assert not sheet.is_busy
    assert sheet.button.isVisible()


def test_a_stopped_build_leaves_no_file(office, sheet, qtbot, tmp_path, monkeypatch):
    real = setup_roads.build_requested

    def slow(request, extract, *, buildings=True, progress):
        import time

        for _ in range(400):
            progress(1, 5, "Reading roads")
            time.sleep(0.01)
        return real(request, extract, buildings=buildings, progress=progress)

    monkeypatch.setattr(setup_roads, "build_requested", slow)
    sheet.build(str(an_extract(tmp_path)))
    qtbot.waitUntil(lambda: sheet.words.text() == "Reading roads", timeout=10_000)
    sheet.stop.click()
    qtbot.waitUntil(lambda: not sheet.is_busy, timeout=10_000)
    assert not list(roads_folder(office.desk.store.place).glob("*"))
    assert "straight lines, times estimated" in sheet.words.text()


def test_what_is_no_extract_is_said_and_nothing_is_left(office, sheet, qtbot, tmp_path):
    wrong = tmp_path / "list.osm.pbf"
    wrong.write_text("not an extract")
    troubles = []
    sheet.window_of_test.shell.troubled.connect(troubles.append)
    sheet.build(str(wrong))
    qtbot.waitUntil(lambda: bool(troubles) and not sheet.is_busy, timeout=10_000)
    assert "list.osm.pbf" in troubles[0].trouble.what
    assert roads_in_use(office.desk) is None


def test_its_key_asks_for_a_file(sheet, qtbot, monkeypatch):
    asked = []
    monkeypatch.setattr(sheet, "choose_file", lambda: asked.append(1))
    place = sheet.window_of_test.place
    qtbot.waitUntil(lambda: place.seen is not None)
    qtbot.keyClick(place, Qt.Key.Key_B)
    assert asked == [1]
