"""Waypoints read and matched to sites."""

import pytest

from servicedesk.exchange.waypoints import PlaceName, match_waypoints, read_waypoints
from servicedesk.values.position import Position
from servicedesk.values.trouble import Trouble
from tests.exchange.lists import SHEETS, read_list

WANTED = {
    "H-01": "H-01", "H-02 Inskip": "H-02", "LARKHAM MOSS LN": "H-03", "Wrenlock School": "H-04",
    "9 Thistle Row": "H-05", "Nettleton Ned": "H-06", "Orrick Pearl": "H-07", "5 vetch close": "H-08",
    "H-09": "H-09", "H10": "H-10", "Brisk Mere Camp gate": "H-11", "tamsett": "H-12", "1050": "1050",
    "1072 Quarry Spur Works": "1072", "1042": "1042", "1047": "1047", "HAULER YARD": None, "FUEL": None,
    "1060": "1060", "1077 FERRY STEPS INN": "1077",
}  # fmt: skip


def sample_places():
    rows = [
        row
        for name in ("office_list_without_positions.xlsx", "strangers_twelve.csv")
        for row in read_list(name).rows
    ]
    numbers = dict(enumerate((row.own_number for row in rows), 1))
    places = [
        PlaceName(
            key=key,
            number=row.own_number,
            names=(row.owner.typed,),
            address=row.address,
            locality=row.locality,
        )
        for key, row in enumerate(rows, 1)
    ]
    return places, numbers


def test_the_waypoints_of_the_sample_find_their_sites():
    places, numbers = sample_places()

    matches = match_waypoints(read_waypoints(SHEETS / "waypoints.gpx"), places)

    assert {m.waypoint.name: numbers.get(m.key) for m in matches} == WANTED


def test_the_order_of_the_sites_does_not_matter():
    places, _numbers = sample_places()
    waypoints = read_waypoints(SHEETS / "waypoints.gpx")

    assert match_waypoints(waypoints, places) == match_waypoints(waypoints, places[::-1])


def test_a_part_of_a_name_is_proposed_but_not_sure():
    places, _numbers = sample_places()

    sure = {
        m.waypoint.name: m.sure
        for m in match_waypoints(read_waypoints(SHEETS / "waypoints.gpx"), places)
    }

    assert sure["1042"]
    assert sure["9 Thistle Row"]
    assert sure["5 vetch close"]  # 2 Vetch Close is another house
    assert not sure["tamsett"]
    assert not sure["FUEL"]


def test_two_sites_with_one_name_are_both_offered():
    places = [PlaceName(key=key, names=("Quillan, Ruth",)) for key in (2, 1)]
    content = b'<gpx><wpt lat="1" lon="2"><name>Ruth Quillan</name></wpt></gpx>'

    (match,) = match_waypoints(read_waypoints(content, name="a.gpx"), places)

    assert (match.key, match.others, match.sure) == (1, (2,), False)


def test_names_notes_and_places_are_read():
    first, *_rest, last = read_waypoints(SHEETS / "waypoints.gpx")

    assert (first.name, first.note, first.position) == (
        "H-01",
        "Hobday",
        Position(37.0012, -58.0034),
    )
    assert (last.name, last.note) == ("1077 FERRY STEPS INN", "")


def test_a_table_of_named_places_is_read():
    text = b"Name;Latitude;Longitude\n1042;37,033;-58,0855\nPell;37.034 N;58.086 W\nnowhere;;\n"

    waypoints = read_waypoints(text, name="points.csv")

    assert [(w.name, w.position) for w in waypoints] == [
        ("1042", Position(37.033, -58.0855)),
        ("Pell", Position(37.034, -58.086)),
    ]


def test_a_table_without_places_is_refused():
    with pytest.raises(Trouble, match="no named places"):
        read_waypoints(b"Name,Town\nQuillan,Pinder\n", name="points.csv")
