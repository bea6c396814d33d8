"""Road minutes of each visit of the last year: a fair share of its round's driving.

A round's driving is what was written, stop by stop, and the way home; it is shared in the
proportion of the Shapley value over straight lines (`renewals.share`).
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from itertools import groupby

from servicedesk.desk.drives import speed_in_use_kmh
from servicedesk.desk.office import Desk
from servicedesk.records.renewal_rows import BaseRow, DoneVisitRow, PlaceRow
from servicedesk.renewals.share import shares, shares_of
from servicedesk.travel.flat import flat_distances_m
from servicedesk.values.position import Position
from servicedesk.values.progress import Progress, quiet


class RoadShares:
    """Shares the road of rounds; knows where days begin and how fast the company drives."""

    def __init__(
        self,
        desk: Desk,
        places: Mapping[int, PlaceRow],
        bases: Mapping[int, BaseRow],
        leads: Mapping[int, int],
    ) -> None:
        self.office = desk.company.position
        self.min_a_m = desk.company.road_detour * 60 / 1000 / speed_in_use_kmh(desk)
        self.places, self.bases, self.leads = places, bases, leads

    def of(self, visits: Iterable[DoneVisitRow], progress: Progress = quiet) -> dict[int, float]:
        """Minutes by visit; a visit nobody can say anything of is left out."""
        rounds: dict[tuple[object, ...], list[DoneVisitRow]] = {}
        for visit in visits:
            rounds.setdefault(_round_of(visit), []).append(visit)
        found: dict[int, float] = {}
        for number, stops in enumerate(rounds.values()):
            if number % 200 == 0:
                progress(number, len(rounds))
            found |= self._shared(stops)
        return found

    def _shared(self, stops: Sequence[DoneVisitRow]) -> dict[int, float]:
        base = self._base(stops[0])
        # two visits at one site one after the other are one stop
        runs = [list(run) for _, run in groupby(stops, key=lambda v: v.site_id)]
        positions = [self._position(run[0].site_id) for run in runs]
        if base is None or any(p is None for p in positions):
            return {v.id: float(v.travel_min) for v in stops if v.travel_min is not None}
        metres = flat_distances_m([base, *(p for p in positions if p is not None)])
        legs = (metres * self.min_a_m).tolist()
        fair = shares(legs)
        driven = [_driven(run) for run in runs]
        written = [minutes for minutes in driven if minutes is not None]
        total = sum(fair) if len(written) < len(runs) else sum(written) + legs[len(runs)][0]
        found: dict[int, float] = {}
        for run, minutes in zip(runs, shares_of(total, fair), strict=True):
            found |= {v.id: minutes / len(run) for v in run}
        return found

    def _base(self, visit: DoneVisitRow) -> Position | None:
        who = visit.technician_id
        if visit.round_id is not None:
            who = self.leads.get(visit.round_id, who)
        home = self.bases.get(who) if who is not None else None
        if home is not None and home.lat_deg is not None and home.lon_deg is not None:
            return Position(home.lat_deg, home.lon_deg)
        return self.office

    def _position(self, site_id: int) -> Position | None:
        place = self.places.get(site_id)
        if place is None or place.lat_deg is None or place.lon_deg is None:
            return None
        return Position(place.lat_deg, place.lon_deg)


def _round_of(visit: DoneVisitRow) -> tuple[int | date | str, ...]:
    if visit.round_id is not None:
        return ("round", visit.round_id)
    if visit.technician_id is not None:
        return ("day", visit.technician_id, visit.on)
    return ("alone", visit.id)


def _driven(run: Sequence[DoneVisitRow]) -> float | None:
    known = [v.travel_min for v in run if v.travel_min is not None]
    return float(sum(known)) if known else None
