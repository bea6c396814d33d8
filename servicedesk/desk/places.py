"""Where a site is for the planner: surveyed, or guessed from its neighbors."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import fmean

from servicedesk.desk.office import Desk
from servicedesk.records.planning_rows import SitePlace
from servicedesk.values.position import Position, PositionSource

# an island nobody has put on a map yet: only differences between places count then
NOWHERE = Position(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Located:
    """A position to plan with; `guessed_from` is "" for a known place, else what it came from.

    "village", "postcode", "office", or "nothing" where not even the office has a position.
    """

    position: Position
    guessed_from: str = ""

    @property
    def is_guessed(self) -> bool:
        """Was the place guessed?"""
        return bool(self.guessed_from)


def located(desk: Desk, places: Mapping[int, SitePlace]) -> dict[int, Located]:
    """A position for every site: its own, else the middle of its village's or postcode's sites.

    Without those the office. `places` should hold all sites, so that there are neighbors.
    """
    known = {
        site.id: Position(site.lat_deg, site.lon_deg)
        for site in places.values()
        if site.lat_deg is not None and site.lon_deg is not None
    }
    villages = _middles(
        (p.locality.casefold(), known[p.id]) for p in places.values() if p.id in known
    )
    codes = _middles((p.postcode.casefold(), known[p.id]) for p in places.values() if p.id in known)
    found: dict[int, Located] = {}
    for site in places.values():
        if site.id in known:
            own_guess = site.position_source == PositionSource.GUESSED
            found[site.id] = Located(known[site.id], "village" if own_guess else "")
        elif site.locality and site.locality.casefold() in villages:
            found[site.id] = Located(villages[site.locality.casefold()], "village")
        elif site.postcode and site.postcode.casefold() in codes:
            found[site.id] = Located(codes[site.postcode.casefold()], "postcode")
        elif desk.company.position is not None:
            found[site.id] = Located(desk.company.position, "office")
        else:
            found[site.id] = Located(_middle(known.values()) or NOWHERE, "nothing")
    return found


def office_position(desk: Desk, located_sites: Mapping[int, Located]) -> Position:
    """Where rounds start: the office, else the middle of all known sites."""
    if desk.company.position is not None:
        return desk.company.position
    known = [one.position for one in located_sites.values() if not one.is_guessed]
    return _middle(known) or NOWHERE


def _middles(named: Iterable[tuple[str, Position]]) -> dict[str, Position]:
    groups: dict[str, list[Position]] = {}
    for name, position in named:
        if name:
            groups.setdefault(name, []).append(position)
    return {name: _middle(group) or NOWHERE for name, group in groups.items()}


def _middle(positions: Iterable[Position]) -> Position | None:
    points = list(positions)
    if not points:
        return None
    return Position(fmean(p.lat_deg for p in points), fmean(p.lon_deg for p in points))
