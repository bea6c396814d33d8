"""The map of a day as a PDF page or a picture, from the shell."""

import argparse
from collections.abc import Callable, Iterable
from datetime import date
from itertools import pairwise
from pathlib import Path

from servicedesk.desk.coming import day_title
from servicedesk.desk.map_ground import MapGround, legs_by_road, map_ground
from servicedesk.desk.office import Desk, open_desk
from servicedesk.desk.places_on_disk import default_store
from servicedesk.desk.road_times import travel_words
from servicedesk.desk.rounds_page import RoundsPage, rounds_page
from servicedesk.desk.sites import SiteRow, site_ids, site_rows
from servicedesk.papers.crew_look import crew_look
from servicedesk.papers.day_map import DayMap, MapPoint, MapWay, SiteMark
from servicedesk.papers.map_page import MapPage, map_page
from servicedesk.values.position import Position
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

DONE = 0
_SCALE = 2.5  # pixels for a point: 180 dots to the inch
Tell = Callable[..., None]


def map_from_shell(chosen: argparse.Namespace, *, tell: Tell) -> int:
    """Write the files asked for, and say where they are and what is on them."""
    if chosen.png is None and chosen.pdf is None:
        raise Trouble(
            say("No file was named for the map."),
            do=say("Name one: servicedesk map --png FILE"),
        )
    desk = open_desk(str(chosen.store or default_store()), who=chosen.who, today=chosen.today)
    page = day_map_page(desk, chosen.day or desk.today)
    data = map_page(page, "a4" if desk.company.page_size == "a4" else "letter")
    if chosen.pdf is not None:
        _write(chosen.pdf, data)
    if chosen.png is not None:
        from servicedesk.papers.picture import page_png

        _write(chosen.png, page_png(data, scale=_SCALE))
    n = sum(len(way.points) for way in page.day.ways)
    tell(
        *(say("Wrote {file}", file=file) for file in (chosen.pdf, chosen.png) if file),
        say(
            "{sites}, {stops}; {credit}",
            sites=say_n("{n} site", "{n} sites", len(page.day.sites)),
            stops=say_n("{n} stop", "{n} stops", n),
            credit=page.day.credit,
        ),
    )
    return DONE


def day_map_page(desk: Desk, day: date) -> MapPage:
    """Everything for the page: all sites with a place, the rounds of the day along the roads.

    Raises Trouble where no site has a place yet.
    """
    sites = site_rows(desk, site_ids(desk))
    marks = tuple(_marks(sites))
    if not marks:
        raise Trouble(
            say("No site has a place yet."),
            means=say("There is nothing to draw."),
            do=say("Set places under Sites, “Where is this?”, or bring in a list with them."),
        )
    page, ground = rounds_page(desk, day), map_ground(desk)
    ways = tuple(_ways(page))
    legs = [leg for way in ways for leg in pairwise(_chain(way))]
    by_road = legs_by_road(ground, legs) if ground is not None else {}
    data = DayMap(
        ways=ways,
        home=page.home,
        frame=tuple(mark.position for mark in marks),
        villages=tuple((v.name, v.position) for v in page.villages),
        credit=_credit(desk, ground, is_straight=len(by_road) < len(set(legs))),
        metric=desk.company.units == "si",
        by_road=by_road,
        sites=marks,
    )
    return MapPage(
        title=day_title(desk, day),
        company=desk.company.name,
        day=data,
        ground=ground.ground if ground is not None else None,
        note=desk.company.invented_note,
    )


def _marks(sites: Iterable[SiteRow]) -> Iterable[SiteMark]:
    for site in sites:
        if site.position is not None:
            state = "called" if len(site.calls) >= 2 else "owed" if site.n_owed else "plain"
            yield SiteMark(site.position, state, site.position_state == "guessed")


def _ways(page: RoundsPage) -> Iterable[MapWay]:
    for index, day in enumerate(page.case.stand.days):
        points = tuple(
            MapPoint(one, str(n), page.stops[one].position)
            for n, one in enumerate(day.order, start=1)
        )
        start = page.starts.get(day.crew_id, page.home)
        if points:
            yield MapWay(page.names[day.crew_id], crew_look(index), points, start)


def _chain(way: MapWay) -> tuple[Position, ...]:
    return (way.start, *(point.position for point in way.points), way.start)


def _credit(desk: Desk, ground: MapGround | None, *, is_straight: bool) -> str:
    """Which lines these are, and whose data lies under them; the address of the terms in full."""
    if ground is None:
        return travel_words(desk)
    parts = [ground.source, ground.credit_on_paper]
    if is_straight:
        parts.insert(1, say("straight where no road is known"))
    return " · ".join(parts)


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise Trouble(
            say("{file} cannot be written.", file=path),
            means=say("The map was not written."),
            do=say("Name a file in a folder that is there and that you may write to."),
            exit_code=3,
        ) from error
