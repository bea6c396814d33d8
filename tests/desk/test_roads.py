"""Roads of a store: built, found again, used by the day, cached, and the estimate without them."""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from servicedesk.desk import road_times, travel_table
from servicedesk.desk.drives import own_speed, speed_in_use_kmh
from servicedesk.desk.road_state import road_state
from servicedesk.desk.road_times import (
    legs_along,
    map_credit,
    screen_credit,
    sites_off_road,
    travel_between,
    travel_words,
    way_between,
)
from servicedesk.desk.roads import (
    area_around,
    build_roads,
    newest_roads,
    roads_folder,
    roads_in_use,
)
from servicedesk.desk.site_entry import NewSite, new_site
from servicedesk.desk.where_is import where_is
from servicedesk.records.sites import Site
from servicedesk.travel.calibrate import Drive, fitted_speed
from servicedesk.values.position import Position, PositionSource
from servicedesk.values.trouble import Stopped, Trouble
from tests.builders import a_round, a_site, a_technician, a_visit
from tests.travel.small_roads import extract

HOME = {"highway": "residential", "name": "Mill Road"}
# around the office of the tests, 30 N 94 W; a square of roads with one side one-way
LAT, LON = 30.0, -94.0


def place(x: float, y: float) -> Position:
    return Position(LAT + y / 1000, LON + x / 1000)


@pytest.fixture
def small_extract(tmp_path):
    points = {"a": (0, 0), "b": (30, 0), "c": (30, 30), "d": (0, 30)}
    path = extract(
        tmp_path / "tarrow.osm",
        points,
        [("ab", HOME | {"oneway": "yes"}), ("bc", HOME), ("cd", HOME), ("da", HOME)],
    )
    # the builder draws at the equator: moved to the office
    text = path.read_text()
    for x in (0, 30):
        text = text.replace(f"lon='{x / 1000:.7f}'", f"lon='{LON + x / 1000:.7f}'")
        text = text.replace(f"lat='{x / 1000:.7f}'", f"lat='{LAT + x / 1000:.7f}'")
    path.write_text(text)
    return path


def a_site_at(desk, position: Position, address: str):
    return a_site(desk, address, lat_deg=position.lat_deg, lon_deg=position.lon_deg)


def test_without_a_road_file_times_are_estimated_and_said_to_be(file_desk):
    times = travel_between(file_desk, [place(0, 0), place(10, 0)])
    assert times.source == "straight lines"
    assert travel_words(file_desk) == "straight lines, times estimated"
    assert roads_in_use(file_desk) is None
    assert where_is(file_desk, "Mill Road") == ()


def test_with_a_road_file_times_go_by_road(file_desk, small_extract):
    build_roads(file_desk, small_extract)
    spots = [place(5, 0), place(25, 0), place(15, 15)]
    times = travel_between(file_desk, spots)
    assert times.source == "roads"
    assert travel_words(file_desk) == "roads of tarrow"
    assert times.estimated == {2}  # the middle of the square: 1.4 km from any road
    # 1,930 m at 35 km/h times 1.10 are 218 s: rounded up
    assert times.minutes[0][1] == 4 < times.minutes[1][0]  # one-way
    assert times.metres is not None
    assert times.metres[0][1] == pytest.approx(20 * 96.5, rel=0.01)
    estimate = travel_between(file_desk, [spots[0], spots[2]])
    assert times.minutes[0][2] == estimate.minutes[0][1] > 0


def test_the_same_figures_from_the_cache_and_without_it(file_desk, small_extract, monkeypatch):
    in_use = build_roads(file_desk, small_extract)
    spots = [place(x, 0) for x in (1, 8, 20)] + [place(30, 7), place(0, 22)]
    first = travel_between(file_desk, spots[:3])
    grown = travel_between(file_desk, spots)
    (cache,) = in_use.file.path.parent.glob("travel-*.npz")
    road_times._table.cache_clear()
    monkeypatch.setattr(type(in_use.roads), "between", None)  # all from the file
    assert travel_between(file_desk, spots) == grown
    monkeypatch.undo()
    cache.write_bytes(b"spoiled")
    road_times._table.cache_clear()
    assert travel_between(file_desk, spots) == grown
    assert [list(row[:3]) for row in grown.minutes[:3]] == [list(row) for row in first.minutes]


def test_a_full_table_starts_anew_and_says_the_same(file_desk, small_extract, monkeypatch):
    build_roads(file_desk, small_extract)
    road_times._table.cache_clear()
    monkeypatch.setattr(travel_table, "MOST_PLACES", 4)
    spots = [place(x, 0) for x in (1, 8, 20, 29)]
    whole = travel_between(file_desk, spots)
    travel_between(file_desk, [place(30, 7), place(0, 22), place(0, 9)])
    assert travel_between(file_desk, spots) == whole


def test_a_large_table_is_not_held_and_says_the_same(file_desk, small_extract, monkeypatch):
    in_use = build_roads(file_desk, small_extract)
    road_times._table.cache_clear()
    spots = [place(x, 0) for x in (1, 8, 20, 29)]
    whole = travel_between(file_desk, spots)
    monkeypatch.setattr(travel_table, "MOST_HELD", 3)

    assert travel_between(file_desk, spots) == whole
    assert road_times._table(in_use)._minutes.size == 0
    assert travel_between(file_desk, spots) == whole
    (cache,) = in_use.file.path.parent.glob("travel-*.npz")
    cache.unlink()
    assert travel_between(file_desk, spots[::-1]).minutes[0][3] == whole.minutes[3][0]
    assert travel_between(file_desk, spots) == whole


def test_the_way_goes_along_the_road(file_desk, small_extract):
    build_roads(file_desk, small_extract)
    way = way_between(file_desk, place(25, 0), place(30, 5))
    assert way[0] == place(25, 0)
    assert place(30, 0) in [Position(round(p.lat_deg, 7), round(p.lon_deg, 7)) for p in way]
    assert way_between(file_desk, place(25, 0), place(15, 15)) == (place(25, 0), place(15, 15))


def test_on_a_server_roads_lie_in_the_data_folder_if_there_is_one(
    desk, small_extract, tmp_path, monkeypatch
):
    monkeypatch.setattr("servicedesk.desk.roads.data_folder", lambda: tmp_path / "data")
    build_roads(desk, small_extract)
    assert travel_between(desk, [place(5, 0), place(25, 0)]).source == "roads"
    if not desk.store.is_file:
        (folder,) = (tmp_path / "data").iterdir()
        assert "postgres" not in folder.name  # nothing of the address shows

        def none() -> Path:
            raise Trouble("no data folder")

        monkeypatch.setattr("servicedesk.desk.roads.data_folder", none)
        assert travel_between(desk, [place(5, 0), place(25, 0)]).source == "straight lines"


def test_maps_carry_their_roads_and_their_credit(file_desk, small_extract):
    stops = [place(5, 0), place(25, 0), place(5, 0)]
    assert legs_along(file_desk, stops) == ()
    assert map_credit(file_desk) == screen_credit(file_desk) == "straight lines, times estimated"
    build_roads(file_desk, small_extract)
    there, back = legs_along(file_desk, stops)
    assert len(there) < len(back)  # one-way: back around the square
    # the license asks for the credit on every map, in print with the address in full
    paper = "© OpenStreetMap contributors (https://www.openstreetmap.org/copyright)"
    assert map_credit(file_desk) == f"roads of tarrow · {paper}"
    assert "© OpenStreetMap contributors" in screen_credit(file_desk)


def test_sites_off_the_roads_are_listed_with_their_reason(file_desk, small_extract):
    a_site_at(file_desk, place(30, 15), "1 Mill Road")
    far = a_site_at(file_desk, place(15, 15), "2 Nowhere Lane")
    build_roads(file_desk, small_extract)
    off = {one.site_id: one.why.code for one in sites_off_road(file_desk)}
    assert off[far.id] == "no_road_near"
    state = road_state(file_desk)
    assert state.source == "roads"
    (line,) = [one for one in state.off_road if one.site_id == far.id]
    assert line.why == "the nearest road is 1 km away; is the place right?"
    assert state.n_placeless == 0
    a_site(file_desk, "3 Mill Road", lat_deg=None, lon_deg=None)
    assert road_state(file_desk).n_placeless == 1
    assert "ODbL" in state.about.license


def test_addresses_come_from_the_road_file(file_desk, small_extract):
    build_roads(file_desk, small_extract)
    (found,) = where_is(file_desk, "Mil Road")
    assert found.kind == "street"
    assert found.words == "somewhere on Mill Road"


def test_a_new_site_without_a_place_stands_at_its_house_if_there_is_one(file_desk, small_extract):
    house = (
        "<node id='{n}' version='1' lat='{lat}' lon='-94.0'>"
        "<tag k='addr:street' v='Mill Road'/><tag k='addr:housenumber' v='{number}'/></node>"
    )
    nodes = [(901, 30.001, 12), (902, 30.002, 14), (903, 30.02, 14)]  # 14 stands there twice
    text = small_extract.read_text()
    first_way = text.index("<way")
    houses = "".join(house.format(n=n, lat=lat, number=number) for n, lat, number in nodes)
    small_extract.write_text(text[:first_way] + houses + text[first_way:])
    build_roads(file_desk, small_extract)

    for address in ("12 mill road", "14 Mill Road", "12 Mil Road", "16 Mill Road"):
        new_site(file_desk, NewSite(address=address, position_source=PositionSource.MAP))

    with file_desk.store.read() as session:
        placed = {s.address: (s.lat_deg, s.position_source) for s in session.query(Site)}
    assert placed == {
        "12 mill road": (pytest.approx(30.001), "from an address"),
        "14 Mill Road": (None, None),
        "12 Mil Road": (None, None),
        "16 Mill Road": (None, None),
    }


def test_another_extract_takes_the_place_of_the_first(file_desk, small_extract, tmp_path):
    first = build_roads(file_desk, small_extract)
    travel_between(file_desk, [place(0, 0), place(10, 0)])
    other = tmp_path / "other.osm"
    other.write_text(small_extract.read_text().replace("Mill Road", "Long Road"))
    second = build_roads(file_desk, other)
    assert roads_in_use(file_desk).about.name == "other"
    assert list(roads_folder(file_desk.store.place).glob("*")) == [second.file.path]
    assert first.about.key != second.about.key


def test_stopped_the_roads_before_stay(file_desk, small_extract, tmp_path):
    build_roads(file_desk, small_extract)

    def progress(done, total, note=""):
        raise Stopped

    other = shutil.copy(small_extract, tmp_path / "other.osm")
    with pytest.raises(Stopped):
        build_roads(file_desk, Path(other), progress=progress)
    assert roads_in_use(file_desk).about.name == "tarrow"


def test_an_extract_of_somewhere_else_is_refused(file_desk):
    andorra = Path(__file__).parents[1] / "data" / "roads" / "andorra-2013.osm.pbf"
    with pytest.raises(Trouble, match="has no roads in this area"):
        build_roads(file_desk, andorra)
    assert build_roads(file_desk, andorra, everything=True).about.name == "andorra-2013"


def test_a_spoiled_road_file_is_like_none(file_desk, small_extract):
    path = build_roads(file_desk, small_extract).file.path
    path.write_bytes(b"spoiled")
    assert newest_roads(path.parent) is None
    assert travel_between(file_desk, [place(0, 0), place(10, 0)]).source == "straight lines"


def test_the_area_is_twenty_kilometers_wider_than_the_sites():
    area = area_around([place(0, 0), place(10, 10)])
    assert (LAT - area.lat_from) * 111.2 == pytest.approx(20, rel=0.01)
    east_km = (area.lon_until - (LON + 0.01)) * 111.2 * np.cos(np.radians(LAT))
    assert east_km == pytest.approx(20, rel=0.01)


def test_the_speed_comes_from_a_hundred_own_drives(desk):
    sites = [a_site_at(desk, place(10 * n, 0), f"{n} Mill Road") for n in range(5)]
    lena = a_technician(desk)
    for _ in range(26):
        one = a_round(desk, lena)
        for n, site in enumerate(sites, start=1):
            a_visit(desk, site, round_id=one.id, place=n, state="done", travel_min=2)
    fitted = own_speed(desk)
    assert fitted is not None
    assert fitted.n == 104  # four legs a round; the first drive came from elsewhere
    # a hundredth of a degree at 30 N is 964.9 m; times the detour of 1.3, in two minutes
    assert fitted.speed_kmh == pytest.approx(0.9649 * 1.3 / 2 * 60, rel=1e-3)
    assert speed_in_use_kmh(desk) == fitted.speed_kmh
    fast = replace(desk, company=replace(desk.company, road_detour=1.0))
    assert travel_between(fast, [place(0, 0), place(20, 0)]).minutes[0][1] == 4


def test_fewer_drives_change_nothing():
    drives = [Drive(1000.0, 2)] * 99
    assert fitted_speed(drives, detour=1.3) is None
    assert fitted_speed([*drives, Drive(400.0, 2), Drive(900.0, 0)], detour=1.3) is None
    fitted = fitted_speed([*drives, Drive(1000.0, 2)], detour=1.0)
    assert fitted is not None
    assert fitted.speed_kmh == pytest.approx(30)
