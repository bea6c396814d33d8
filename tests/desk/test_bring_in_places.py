"""Named places brought in after the list: matched, placed in one change, kept where known."""

from pathlib import Path

import pytest
from sqlalchemy import select

from servicedesk.desk.bring_in import look_at, take
from servicedesk.desk.bring_in_places import (
    is_of_places,
    look_at_places,
    place_lines,
    take_places,
)
from servicedesk.desk.changes import undo
from servicedesk.records.sites import Site
from servicedesk.values.trouble import Trouble
from tests.builders import a_site
from tests.records.snapshot import snapshot

SHEETS = Path(__file__).resolve().parents[2] / "sample_db" / "sheets"
GPX = SHEETS / "waypoints.gpx"


def a_gpx(path: Path, *points: tuple[str, float, float]) -> Path:
    """A GPX 1.1 file of named waypoints."""
    body = "".join(f'<wpt lat="{a}" lon="{b}"><name>{name}</name></wpt>' for name, a, b in points)
    head = '<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
    path.write_text(head + body + "</gpx>", encoding="utf-8")
    return path


def site_with(desk, number: str) -> Site:
    with desk.store.read() as session:
        return session.scalars(select(Site).where(Site.own_number == number)).one()


def test_waypoints_place_the_sites_of_a_list_and_undo_takes_them_away(desk):
    take(desk, look_at(desk, SHEETS / "strangers_twelve.csv"))
    before = snapshot(desk.store)
    proposal = look_at_places(desk, GPX)
    changed = take_places(desk, proposal)

    first = site_with(desk, "H-01")
    assert (first.lat_deg, first.lon_deg, first.position_source) == (37.0012, -58.0034, "surveyed")
    nobody = [place.name for place in proposal.places if place.state == "nobody"]
    assert {"HAULER YARD", "FUEL"} <= set(nobody)
    again = look_at_places(desk, GPX)
    assert not again.writes
    assert take_places(desk, again).change_id == 0
    undo(desk, changed.change_id)
    assert snapshot(desk.store) == before


def test_a_known_place_is_kept_unless_ticked(desk, tmp_path):
    site = a_site(desk, own_number="7", lat_deg=37.0, lon_deg=-58.0, position_source="surveyed")
    proposal = look_at_places(desk, a_gpx(tmp_path / "a.gpx", ("7", 37.2, -58.2)))
    assert [place.state for place in proposal.places] == ["kept"]
    assert take_places(desk, proposal).change_id == 0
    take_places(desk, proposal, ticked=frozenset({proposal.places[0].where}))
    assert site_with(desk, "7").lat_deg == 37.2
    assert site.lat_deg == 37.0


def test_a_guessed_place_gives_way(desk, tmp_path):
    a_site(desk, own_number="7", lat_deg=37.0, lon_deg=-58.0, position_source="guessed")
    take_places(desk, look_at_places(desk, a_gpx(tmp_path / "a.gpx", ("7", 37.2, -58.2))))
    assert site_with(desk, "7").position_source == "surveyed"


def test_two_places_for_one_site_are_both_unsure(desk, tmp_path):
    a_site(desk, own_number="7")
    file = a_gpx(tmp_path / "a.gpx", ("7", 37.2, -58.2), ("7", 37.3, -58.3))
    proposal = look_at_places(desk, file)
    assert [place.state for place in proposal.places] == ["unsure", "unsure"]
    assert take_places(desk, proposal).change_id == 0
    assert site_with(desk, "7").lat_deg is None
    assert any("still has no position" in line for line in place_lines(proposal))


def test_a_table_of_named_places_is_told_from_a_list_of_sites(desk, tmp_path):
    places = tmp_path / "places.csv"
    places.write_text("Name,Lat,Lon\n7,37.2,-58.2\n", encoding="utf-8")
    a_site(desk, own_number="7")
    assert is_of_places(places)
    assert is_of_places(GPX)
    assert not is_of_places(SHEETS / "office_list.xlsx")
    assert not is_of_places(SHEETS / "strangers_twelve.csv")
    take_places(desk, look_at_places(desk, places))
    assert site_with(desk, "7").position_source == "from a map"


def test_a_file_without_places_is_refused(desk, tmp_path):
    with pytest.raises(Trouble):
        look_at_places(desk, a_gpx(tmp_path / "a.gpx"))
