"""Rounds and sites as open files: GPX, GeoJSON, a list of stops, one calendar a technician."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.places import located
from servicedesk.desk.road_times import legs_along, map_credit
from servicedesk.desk.span_rounds import SpanRound, SpanStop, rounds_of_span
from servicedesk.exchange.csvtext import csv_bytes
from servicedesk.exchange.geojson import Feature, PointFeature, WayFeature, write_geojson
from servicedesk.exchange.gpx import GpxFile, GpxPlace, GpxRound, write_gpx
from servicedesk.records import out_rows, planning_rows
from servicedesk.values.position import Position
from servicedesk.words import say

Way = tuple[tuple[Position, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Which rounds: from `first` until `until` (excluded), of all or only some who lead them.

    `with_sites`: all sites that are known on the map go out beside them.
    """

    first: date
    until: date
    lead_ids: Collection[int] | None = None
    with_sites: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OutFile:
    """A file and what is in it. `off_map`: addresses whose place is only guessed, left out."""

    data: bytes
    n_rounds: int
    n_stops: int
    n_sites: int
    off_map: tuple[str, ...]


def rounds_gpx(desk: Desk, span: Span) -> OutFile:
    """The rounds as routes, with roads as tracks too; the sites as waypoints.

    A place that is only guessed is no place to be led to: it is left out and named.
    """
    rounds = rounds_of_span(desk, span.first, span.until, lead_ids=span.lead_ids)
    ways = [_way(desk, one) for one in rounds]
    sites = _sites(desk) if span.with_sites else ()
    file = GpxFile(
        name=_title(desk, span),
        written_at=desk.clock.now(),
        note=desk.company.invented_note,
        credit=map_credit(desk) if any(ways) else "",
        sites=tuple(
            GpxPlace(name=s.address, position=s.position, note=s.note, kind=say("site"))
            for s in sites
        ),
        rounds=tuple(_gpx_round(desk, one, way) for one, way in zip(rounds, ways, strict=True)),
    )
    return _out(write_gpx(file), rounds, len(sites))


def rounds_geojson(desk: Desk, span: Span) -> OutFile:
    """The same as GeoJSON: a point a stop and a site, a line a round along its way.

    Without roads the line is straight from stop to stop; `line` says which of both it is.
    """
    rounds = rounds_of_span(desk, span.first, span.until, lead_ids=span.lead_ids)
    ways = {one.id: _way(desk, one) for one in rounds}
    sites = _sites(desk) if span.with_sites else ()
    features: list[Feature] = [
        PointFeature(
            uid=s.uid,
            position=s.position,
            properties={"kind": "site", "address": s.address, "locality": s.locality,
                        "note": s.note},
        )
        for s in sites
    ]  # fmt: skip
    for one in rounds:
        features += _features(desk, one, ways[one.id])
    data = write_geojson(
        features,
        name=_title(desk, span),
        written_at=desk.clock.now(),
        credit=map_credit(desk) if any(ways.values()) else "",
    )
    return _out(data, rounds, len(sites))


def rounds_csv(desk: Desk, span: Span) -> OutFile:
    """One line a stop, in the order of the rounds; nothing in it can become a formula.

    A stop whose place is only guessed has its line too, without latitude and longitude.
    """
    rounds = rounds_of_span(desk, span.first, span.until, lead_ids=span.lead_ids)
    head = (say("day"), say("technician"), say("stop"), say("arrive"), say("leave"), say("address"),
            say("place"), say("what"), say("told"), say("latitude"), say("longitude"))  # fmt: skip
    lines = [
        (
            one.day.isoformat(), one.technician, stop.order, clock_time(stop.arrive_min),
            clock_time(stop.leave_min), stop.address, stop.locality, stop.what,
            say("yes") if stop.is_told else say("no"),
            f"{stop.position.lat_deg:.6f}" if stop.position else "",
            f"{stop.position.lon_deg:.6f}" if stop.position else "",
        )
        for one in rounds for stop in one.stops
    ]  # fmt: skip
    return replace(_out(csv_bytes([head, *lines]), rounds, 0), off_map=())


def clock_time(minute: int | None) -> str:
    """Minutes after midnight as programs read them: "07:05"; unknown is empty."""
    return "" if minute is None else f"{minute % 1440 // 60:02d}:{minute % 60:02d}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Site:
    uid: str
    address: str
    locality: str
    note: str
    position: Position


def _sites(desk: Desk) -> tuple[_Site, ...]:
    """All sites that somebody has put on the map, by number; the note is number and permits."""
    with desk.store.read() as session:
        places = planning_rows.site_places(session)
        spots = located(desk, places)
        marks = out_rows.site_marks(session)
    return tuple(
        _Site(
            uid=marks[site.id].uid,
            address=site.address,
            locality=site.locality,
            note=", ".join((say("site {n}", n=site.number), *marks[site.id].permits)),
            position=spots[site.id].position,
        )
        for site in sorted(places.values(), key=lambda one: one.number)
        if not spots[site.id].is_guessed and site.id in marks
    )


def _way(desk: Desk, one: SpanRound) -> Way:
    known = [stop.position for stop in one.stops if stop.position is not None]
    return legs_along(desk, [one.start, *known, one.start]) if known else ()


def _title(desk: Desk, span: Span) -> str:
    first, last = span.first, span.until - timedelta(days=1)
    days = (
        desk.formats.weekday(first)
        if first == last
        else f"{desk.formats.weekday(first)} – {desk.formats.weekday(last)}"
    )
    return say("Rounds of {company}, {days}", company=desk.company.name, days=days)


def _name(desk: Desk, one: SpanRound) -> str:
    return f"{one.technician}, {desk.formats.weekday(one.day)}"


def _gpx_round(desk: Desk, one: SpanRound, way: Way) -> GpxRound:
    stops = tuple(
        GpxPlace(
            name=f"{stop.order} {stop.address}",
            position=stop.position,
            note=_stop_note(desk, stop),
            kind=say("stop"),
            at=_instant(desk, one.day, stop.arrive_min),
        )
        for stop in one.stops
        if stop.position is not None
    )
    return GpxRound(name=_name(desk, one), stops=stops, way=way, note=_missing(one))


def _missing(one: SpanRound) -> str:
    names = [f"{stop.order} {stop.address}" for stop in one.stops if stop.position is None]
    return say("Not on the map yet: {names}", names=", ".join(names)) if names else ""


def _stop_note(desk: Desk, stop: SpanStop) -> str:
    at = say("at {time}", time=desk.formats.time(stop.arrive_min)) if stop.arrive_min else ""
    return " · ".join(part for part in (at, stop.what, stop.locality) if part)


def _features(desk: Desk, one: SpanRound, way: Way) -> list[Feature]:
    shared = {"day": one.day.isoformat(), "technician": one.technician}
    found: list[Feature] = []
    known = [stop.position for stop in one.stops if stop.position is not None]
    points = [point for leg in way for point in leg] or [one.start, *known, one.start]
    line = say("roads") if way else say("straight lines")
    if known:
        about = {"kind": "round", **shared, "state": one.state, "line": line,
                 "left_out": _missing(one), "road_min": one.road_min}  # fmt: skip
        found.append(WayFeature(uid=one.uid, points=_once(points), properties=about))
    for stop in one.stops:
        if stop.position is None:
            continue
        at = _instant(desk, one.day, stop.arrive_min)
        about = {"kind": "stop", **shared, "order": stop.order, "address": stop.address,
                 "locality": stop.locality, "what": stop.what, "told": stop.is_told,
                 "arrive": at.isoformat() if at else None}  # fmt: skip
        found.append(PointFeature(uid=stop.uid, position=stop.position, properties=about))
    return found


def _once(points: Sequence[Position]) -> tuple[Position, ...]:
    """The points without one that stands where the one before it stood; two at least."""
    kept = [p for n, p in enumerate(points) if n == 0 or p != points[n - 1]]
    return tuple(kept if len(kept) > 1 else points[:2])


def _instant(desk: Desk, day: date, minute: int | None) -> datetime | None:
    if minute is None:
        return None
    days, rest = divmod(minute, 1440)
    return desk.clock.instant(day + timedelta(days=days), rest)


def _out(data: bytes, rounds: Sequence[SpanRound], n_sites: int) -> OutFile:
    stops = [stop for one in rounds for stop in one.stops]
    return OutFile(
        data=data,
        n_rounds=len(rounds),
        n_stops=len(stops),
        n_sites=n_sites,
        off_map=tuple(dict.fromkeys(s.address for s in stops if s.position is None)),
    )
