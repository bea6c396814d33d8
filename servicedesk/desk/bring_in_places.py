"""Named places from a device or a map, matched to sites that stand: positions in one change."""

from dataclasses import dataclass
from pathlib import Path

from servicedesk.desk.office import Desk
from servicedesk.exchange.waypoints import (
    PlaceName,
    Waypoint,
    WaypointMatch,
    match_waypoints,
    read_waypoints,
)
from servicedesk.records import brought_rows
from servicedesk.records.brought_rows import Book, SiteNow
from servicedesk.records.sites import Site
from servicedesk.records.store import Changed
from servicedesk.values.position import Position, PositionSource
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say, say_n

SAME_PLACE_DEG = 1e-6  # a tenth of a meter


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacePlan:
    """What becomes of one waypoint. `state`: set, moved, same, kept, unsure, nobody.

    "kept": the site has a surveyed or mapped position that differs, it moves only with a tick;
    "unsure": `site_id` is the likeliest of several; "nobody": no site goes by that name.
    """

    name: str
    where: str
    state: str
    site_id: int | None
    title: str
    confidence: float
    position: Position
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacesProposal:
    """All waypoints of a file, and how their positions are known."""

    name: str
    source: PositionSource
    places: tuple[PlacePlan, ...]
    still_nowhere: int

    @property
    def writes(self) -> bool:
        """Would taking it write anything?"""
        return any(place.state == "set" for place in self.places)


def look_at_places(desk: Desk, file: Path, *, progress: Progress = quiet) -> PlacesProposal:
    """Which site each named place belongs to. Writes nothing.

    `file`: GPX, CSV or XLSX. Raises Trouble for a file that holds no named places.
    """
    waypoints = read_waypoints(file)
    with desk.store.read() as session:
        book = brought_rows.book(session, desk.today)
    progress(1, 2, say("Matching places"))
    matches = match_waypoints(waypoints, [_names(book, site) for site in book.sites.values()])
    places = _once([_plan(book, match) for match in matches])
    is_gpx = file.suffix.lower() == ".gpx"
    placed = {place.site_id for place in places if place.state in ("set", "same", "kept")}
    nowhere = sum(site.lat_deg is None and site.id not in placed for site in book.sites.values())
    return PlacesProposal(
        name=file.name,
        source=PositionSource.SURVEYED if is_gpx else PositionSource.MAP,
        places=places,
        still_nowhere=nowhere,
    )


def take_places(
    desk: Desk, proposal: PlacesProposal, *, ticked: frozenset[str] = frozenset()
) -> Changed:
    """Write the positions of sure matches, and of those whose `where` is ticked, in one change.

    Nothing is written if there are none. Raises Trouble if a site is no more.
    """
    chosen = {
        place.site_id: place
        for place in proposal.places
        if place.site_id is not None
        and (place.state == "set" or (place.where in ticked and place.state in ("kept", "unsure")))
    }
    if not chosen:
        return Changed(0, {})
    sentence = say_n(
        "Placed {n} site from {name}", "Placed {n} sites from {name}", len(chosen),
        name=proposal.name,
    )  # fmt: skip
    with desk.store.change(desk.who, sentence) as work:
        for site_id, place in chosen.items():
            site = work.get(Site, site_id)
            site.lat_deg, site.lon_deg = place.position.lat_deg, place.position.lon_deg
            site.position_source = proposal.source.value
    return work.changed


def place_lines(proposal: PlacesProposal) -> list[str]:
    """What becomes of every waypoint, in words; unchanged ones are left out."""
    n_set = sum(place.state == "set" for place in proposal.places)
    lines = [
        say(
            "{name}: {sites} placed.",
            name=proposal.name,
            sites=say_n("{n} site", "{n} sites", n_set),
        )
    ]
    for place in proposal.places:
        told = place_text(place)
        if told:
            head = f"{place.where}, {place.name}"
            lines.append(f"{head}: {place.title}: {told}" if place.title else f"{head}: {told}")
    if proposal.still_nowhere:
        lines.append(
            say_n(
                "{n} site still has no position; it is planned amid its village.",
                "{n} sites still have no position; they are planned amid their villages.",
                proposal.still_nowhere,
            )
        )
    return lines


def place_text(place: PlacePlan) -> str:
    """What becomes of one waypoint, "" where nothing does."""
    lat, lon = f"{place.position.lat_deg:.5f}", f"{place.position.lon_deg:.5f}"
    match place.state:
        case "set":
            return say("placed at {lat}, {lon}", lat=lat, lon=lon)
        case "kept":
            return say("stands elsewhere and is kept; the file says {lat}, {lon}", lat=lat, lon=lon)
        case "unsure" if place.others:
            return say(
                "perhaps, not placed: it could also be {others}", others=", ".join(place.others)
            )
        case "unsure":
            return say("perhaps, not placed: the name is too unlike")
        case "nobody":
            return say("no site goes by that name")
    return ""


def is_of_places(file: Path) -> bool:
    """Does the file hold named places rather than a list of sites? By its ending, or its columns:

    names and positions, and nothing that tells of owners, contracts or visits.
    """
    from servicedesk.exchange.columns import propose
    from servicedesk.exchange.sheetfile import read_sheet_file
    from servicedesk.exchange.understand import layout_for, likeliest_table

    if file.suffix.lower() == ".gpx":
        return True
    mapping = propose(layout_for(likeliest_table(read_sheet_file(file))))
    fields = {choice.field for choice in mapping.choices}
    placed = "position" in fields or {"latitude", "longitude"} <= fields
    names = {"own_number", "owner_name", "address", "notes", "extra", "ignore", "locality"}
    return placed and fields <= {*names, "position", "latitude", "longitude"} and len(fields) <= 4


def _names(book: Book, site: SiteNow) -> PlaceName:
    owners = [book.customers[key].name for key in site.owner_ids if key in book.customers]
    return PlaceName(
        key=site.id,
        number=site.own_number or "",
        names=tuple(owners),
        address=site.address,
        locality=site.locality,
    )


def _plan(book: Book, match: WaypointMatch) -> PlacePlan:
    site = None if match.key is None else book.sites[match.key]
    return PlacePlan(
        name=match.waypoint.name,
        where=match.waypoint.where,
        state=_state(site, match),
        site_id=match.key,
        title=_title(site) if site else "",
        confidence=match.confidence,
        position=match.waypoint.position,
        others=tuple(_title(book.sites[key]) for key in match.others),
    )


def _state(site: SiteNow | None, match: WaypointMatch) -> str:
    if site is None:
        return "nobody"
    if site.lat_deg is not None and site.lon_deg is not None:
        if _same(match.waypoint, site.lat_deg, site.lon_deg):
            return "same"
        if site.position_source not in (PositionSource.GUESSED, PositionSource.ADDRESS):
            return "kept" if match.sure else "unsure"
    return "set" if match.sure else "unsure"


def _same(waypoint: Waypoint, lat_deg: float, lon_deg: float) -> bool:
    place = waypoint.position
    return (
        abs(place.lat_deg - lat_deg) < SAME_PLACE_DEG
        and abs(place.lon_deg - lon_deg) < SAME_PLACE_DEG
    )


def _once(plans: list[PlacePlan]) -> tuple[PlacePlan, ...]:
    """Two different places for one site are both unsure."""
    from dataclasses import replace

    claims: dict[int, set[Position]] = {}
    for plan in plans:
        if plan.site_id is not None and plan.state in ("set", "kept"):
            claims.setdefault(plan.site_id, set()).add(plan.position)
    return tuple(
        replace(plan, state="unsure")
        if plan.state in ("set", "kept") and len(claims.get(plan.site_id or 0, ())) > 1
        else plan
        for plan in plans
    )


def _title(site: SiteNow) -> str:
    return ", ".join(part for part in (site.address, site.locality) if part)
