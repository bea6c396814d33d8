"""Which driving times are in use, how they came about, and which sites they cannot reach."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from servicedesk.desk.drives import own_speed
from servicedesk.desk.office import Desk
from servicedesk.desk.road_times import sites_off_road, travel_words
from servicedesk.desk.roads import roads_in_use
from servicedesk.records import planning_rows
from servicedesk.words import say
from servicedesk.words.reasons import reason_text

if TYPE_CHECKING:
    from servicedesk.exchange.roadfile import About

KM_PER_MILE = 1.609344  # international yard and pound agreement of 1959


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteOffRoad:
    """A site to look at, in words."""

    site_id: int
    address: str
    code: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadState:
    """`source`: "roads" or "straight lines"; `words` says it. `about` is None without roads."""

    source: str
    words: str
    about: "About | None"
    calibration: str
    off_road: tuple[SiteOffRoad, ...]
    n_placeless: int  # sites nobody said a place of: their times come from a guess, or none


def road_state(desk: Desk) -> RoadState:
    """What a person should know about the roads in use. Reads only."""
    in_use = roads_in_use(desk)
    off = sites_off_road(desk)
    with desk.store.read() as session:
        every = planning_rows.site_places(session)
    places = {one.site_id: every[one.site_id] for one in off}
    return RoadState(
        source="roads" if in_use else "straight lines",
        words=travel_words(desk),
        about=in_use.about if in_use else None,
        calibration="" if in_use else _calibration(desk),
        off_road=tuple(
            SiteOffRoad(
                site_id=one.site_id,
                address=places[one.site_id].address,
                code=one.why.code,
                why=reason_text(one.why, desk.formats),
            )
            for one in off
        ),
        n_placeless=sum(site.lat_deg is None for site in every.values()),
    )


def _calibration(desk: Desk) -> str:
    own = own_speed(desk)
    if own is None:
        return say(
            "Speed as set: {speed}, roads {detour} times the straight line.",
            speed=_speed_text(desk, desk.company.road_speed_kmh),
            detour=desk.formats.number(desk.company.road_detour),
        )
    return say(
        "Speed from your own {n} latest drives: {speed}.",
        n=own.n,
        speed=_speed_text(desk, own.speed_kmh),
    )


def _speed_text(desk: Desk, kmh: float) -> str:
    """As "52 km/h"; in US units with the miles first, as Set up asks for km/h."""
    metric = say("{n} km/h", n=desk.formats.number(round(kmh)))
    if desk.company.units != "us":
        return metric
    return say("{n} mph ({metric})", n=desk.formats.number(round(kmh / KM_PER_MILE)), metric=metric)
