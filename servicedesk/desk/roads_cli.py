"""`servicedesk roads`: make the road file of an extract, say what is in use, look a place up."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import add_place
from servicedesk.words import say, say_n

DONE, LOOK = 0, 1
Tell = Callable[..., None]
Place = Callable[[argparse.Namespace], str]


def add_roads_verbs(
    kinds: Any,
    *,
    place: Place,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """Hang build, check and find under `kinds`."""
    build = kinds.add_parser("build", help=say("make the road file from an extract"))
    add_place(build)
    build.add_argument("extract", type=Path, metavar="AREA.osm.pbf", help=say("of OpenStreetMap"))
    build.add_argument(
        "--without-buildings", action="store_true", help=say("a smaller file; the map lacks houses")
    )
    build.add_argument(
        "--everything",
        action="store_true",
        help=say("the whole extract, not only around office and sites"),
    )
    build.set_defaults(do=lambda chosen: _build(chosen, place(chosen), tell))
    check = kinds.add_parser("check", help=say("which roads are in use, which sites lie off them"))
    add_place(check)
    check.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    check.set_defaults(do=lambda chosen: _check(chosen, place(chosen), tell, print_json))
    find = kinds.add_parser("find", help=say("where an address is"))
    add_place(find)
    find.add_argument("address", help=say("house and street, a street, or “A and B”"))
    find.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    find.set_defaults(do=lambda chosen: _find(chosen, place(chosen), tell, print_json))


def _build(chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.office import open_desk
    from servicedesk.desk.roads import build_roads

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    made = build_roads(
        desk,
        chosen.extract,
        buildings=not chosen.without_buildings,
        everything=chosen.everything,
    )
    tell(*_about_lines(made.about))
    return DONE


def _check(
    chosen: argparse.Namespace, place: str, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    from servicedesk.desk.office import open_desk
    from servicedesk.desk.road_state import road_state

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    state = road_state(desk)
    if chosen.json:
        print_json(state)
    else:
        lines = [say("In use: {source}", source=state.words)]
        if state.about is not None:
            lines = _about_lines(state.about)
        if state.calibration:
            lines.append(state.calibration)
        lines += [f"{site.address}: {site.why}" for site in state.off_road]
        if state.n_placeless:
            lines.append(
                say_n(
                    "{n} site has no place yet: its times are guessed from what is near.",
                    "{n} sites have no place yet: their times are guessed from what is near.",
                    state.n_placeless,
                )
            )
        tell(*lines)
    return LOOK if state.off_road else DONE


def _find(
    chosen: argparse.Namespace, place: str, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    from servicedesk.desk.office import open_desk
    from servicedesk.desk.roads import roads_in_use
    from servicedesk.desk.where_is import where_is

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    found = where_is(desk, chosen.address)
    if chosen.json:
        print_json(found)
    elif found:
        tell(
            *(
                f"{one.position.lat_deg:.6f}, {one.position.lon_deg:.6f}  {one.words}"
                for one in found
            )
        )
    elif roads_in_use(desk) is None:
        tell(say("No address is known here yet. Build the roads first: servicedesk roads build"))
    else:
        tell(say("No address like that is known here."))
    return DONE if found else LOOK


def _about_lines(about: Any) -> list[str]:
    houses = say_n("{n} house number", "{n} house numbers", about.houses)
    lines = [
        say(
            "In use: roads of {name}, as of {day}: {km} km, {houses}.",
            name=about.name,
            day=about.newest_edit,
            km=about.road_km,
            houses=houses,
        )
    ]
    if about.turns_not_read:
        lines.append(
            say_n(
                "{n} turn rule runs over a whole road and is not kept to.",
                "{n} turn rules run over a whole road and are not kept to.",
                about.turns_not_read,
            )
        )
    return [*lines, about.license]
