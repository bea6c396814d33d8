"""Named places brought in after the list: a GPX file or a table of names and positions.

GPX 1.1: ``wpt`` with ``lat`` and ``lon`` in WGS84 degrees and a ``name``; latitude -90..90,
longitude -180 up to, not including, 180. Every waypoint is matched to a site by number or name; the
matches are proposals for a person.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rapidfuzz import fuzz, process, utils

from servicedesk.exchange import guard
from servicedesk.exchange.addresses import address_key, folded_text
from servicedesk.exchange.columns import propose
from servicedesk.exchange.positions import Pair, Writing, read_angle, read_pair
from servicedesk.exchange.sheetfile import MAX_ROWS, read_sheet_file
from servicedesk.exchange.understand import layout_for, likeliest_table
from servicedesk.values.position import Position
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

SURE = 0.9
POSSIBLE = 0.72
PART = 0.82


@dataclass(frozen=True, slots=True, kw_only=True)
class Waypoint:
    """A named place. `note` is its comment or description; `where` says where it stood."""

    name: str
    position: Position
    note: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceName:
    """What one site goes by, for matching: `key` is handed back, `names` are its owners."""

    key: int
    number: str = ""
    names: tuple[str, ...] = ()
    address: str = ""
    locality: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaypointMatch:
    """The site a waypoint probably is. `key` is None where none is likely enough.

    `confidence` 0..1, `by` is "number", "name" or "address". `others`: further possible sites,
    best first. `sure`: confident, and no other site comes near.
    """

    waypoint: Waypoint
    key: int | None
    confidence: float
    by: str = ""
    others: tuple[int, ...] = ()

    @property
    def sure(self) -> bool:
        """May it be ticked already?"""
        return self.key is not None and self.confidence >= SURE and not self.others


def read_waypoints(source: Path | bytes, *, name: str = "") -> tuple[Waypoint, ...]:
    """The named places of a GPX file, CSV or XLSX, in their order.

    Raises Trouble for a file without any, for XML that is no GPX, and for all that
    `read_sheet_file` refuses. Places outside the globe are left out only if others remain.
    """
    content = guard.content_of(source)
    shown = name or (source.name if isinstance(source, Path) else "")
    head = content.removeprefix(b"\xef\xbb\xbf").lstrip()[:200]
    if head.startswith(b"<") or shown.lower().endswith(".gpx"):
        found = _from_gpx(content, shown)
    else:
        found = _from_table(content, shown)
    if not found:
        raise Trouble(
            say("{name} holds no named places.", name=guard.shown(shown)),
            do=say("Export the waypoints from your device as GPX, or as a table with a name."),
        )
    return tuple(found)


def _from_gpx(content: bytes, name: str) -> list[Waypoint]:
    from io import BytesIO
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import iterparse

    found: list[Waypoint] = []
    is_gpx = False
    try:
        for _event, element in iterparse(BytesIO(content), forbid_dtd=True):
            kind = _local(element)
            is_gpx = is_gpx or kind == "gpx"
            if kind == "wpt":
                waypoint = _waypoint(element, len(found) + 1)
                if waypoint is not None:
                    found.append(waypoint)
                element.clear()
            if len(found) > MAX_ROWS:
                raise Trouble(say("{name} holds too many waypoints.", name=guard.shown(name)))
    except (ParseError, DefusedXmlException, ValueError, LookupError) as error:
        raise Trouble(
            say("{name} is not a GPX file that can be read.", name=guard.shown(name)),
            do=say("Export the waypoints from your device again."),
        ) from error
    if not is_gpx:
        raise Trouble(say("{name} is XML, but not GPX.", name=guard.shown(name)))
    return found


def _local(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _waypoint(element: Any, number: int) -> Waypoint | None:
    children = {_local(child): (child.text or "").strip() for child in element}
    try:
        position = Position(float(element.get("lat")), float(element.get("lon")))
    except (TypeError, ValueError):
        return None  # outside the globe, or without figures
    title = children.get("name") or children.get("desc") or children.get("cmt") or ""
    note = next(
        (children[k] for k in ("desc", "cmt") if children.get(k) not in (None, "", title)), ""
    )
    return Waypoint(name=title, position=position, note=note, where=say("waypoint {n}", n=number))


_NAME_FIELDS = (
    "own_number", "owner_name", "organization", "address", "permit", "locality", "notes",
)  # fmt: skip


def _from_table(content: bytes, name: str) -> list[Waypoint]:
    layout = layout_for(likeliest_table(read_sheet_file(content, name=name)))
    mapping = propose(layout)
    found = []
    for data in layout.rows:
        texts = {c.field: data.row.text(c.col) for c in reversed(mapping.choices)}
        pair = read_pair(texts.get("position", ""))
        if pair is None:
            lat, lon = read_angle(texts.get("latitude", "")), read_angle(texts.get("longitude", ""))
            pair = None if lat is None or lon is None else Pair(lat, lon, Writing.DECIMAL)
        place = pair.position() if pair else None
        title = next((texts[field] for field in _NAME_FIELDS if texts.get(field)), "")
        title = title or texts.get("extra", "")
        if place is not None and title:
            where = say("row {n}", n=data.row.number)
            found.append(Waypoint(name=title, position=place, where=where))
    return found


def match_waypoints(
    waypoints: Iterable[Waypoint], places: Sequence[PlaceName]
) -> tuple[WaypointMatch, ...]:
    """The likeliest site of every waypoint, by own number first, then by name or address.

    Linear in waypoints times sites, in rapidfuzz; each site may be proposed more than once, and
    the person sees it. Order of the places does not matter: ties go to the smaller key.
    """
    by_number = _numbers(places)
    texts = [(place.key, by, text) for place in places for by, text in _texts(place)]
    plain = [text for _key, _by, text in texts]
    return tuple(_match(waypoint, by_number, texts, plain) for waypoint in waypoints)


def _numbers(places: Sequence[PlaceName]) -> dict[str, list[int]]:
    numbers: dict[str, list[int]] = {}
    for place in sorted(places, key=lambda place: place.key):
        if place.number:
            numbers.setdefault(_bare(place.number), []).append(place.key)
    return numbers


def _bare(text: str) -> str:
    """A number without what people put around it: "#0142", "SF-142" stays apart from "142"."""
    return re.sub(r"[^a-z0-9]", "", folded_text(text)).lstrip("0")


def _texts(place: PlaceName) -> list[tuple[str, str]]:
    texts = [("name", utils.default_process(name)) for name in place.names]
    if place.address:
        texts.append(("address", address_key(place.address).rstrip("|")))
        texts += [
            ("name", f"{utils.default_process(name)} {address_key(place.address).rstrip('|')}")
            for name in place.names
        ]
    return [(by, text) for by, text in texts if text]


def _match(
    waypoint: Waypoint,
    by_number: dict[str, list[int]],
    texts: list[tuple[int, str, str]],
    plain: list[str],
) -> WaypointMatch:
    words = re.findall(r"[\w\-]*\d[\w\-]*", waypoint.name)
    for word in [waypoint.name, *words[:1]]:
        keys = by_number.get(_bare(word), [])
        if keys:
            whole = word == waypoint.name or len(words) == 1
            confidence = 1.0 if whole and len(keys) == 1 else 0.8
            return WaypointMatch(
                waypoint=waypoint,
                key=keys[0],
                confidence=confidence,
                by="number",
                others=tuple(keys[1:]),
            )
    wanted = address_key(waypoint.name).rstrip("|")
    hits: dict[int, tuple[float, str]] = {}
    for score, index in _alike(wanted, plain):
        key, by, _ = texts[index]
        if score > hits.get(key, (0.0, ""))[0]:
            hits[key] = (score, by)
    ranked = sorted(hits.items(), key=lambda item: (-item[1][0], item[0]))
    if not ranked:
        return WaypointMatch(waypoint=waypoint, key=None, confidence=0.0)
    key, (confidence, by) = ranked[0]
    others = tuple(k for k, (score, _by) in ranked[1:] if score > confidence - 0.08)
    return WaypointMatch(
        waypoint=waypoint, key=key, confidence=round(confidence, 2), by=by, others=others
    )


def _alike(wanted: str, plain: list[str]) -> list[tuple[float, int]]:
    """How like each text is to the one wanted, 0..1, with its index; only what is possible.

    A part of a name ("tamsett") counts less than all of it. Numbers must be equal: 5 Vetch Close is
    not 2 Vetch Close.
    """
    found = []
    numbers = set(re.findall(r"\d+", wanted))
    whole = process.extract(
        wanted, plain, scorer=fuzz.token_sort_ratio, score_cutoff=POSSIBLE * 100, limit=12
    )
    found += [(score / 100, index) for _text, score, index in whole]
    if re.search(r"[^\W\d_]{4,}", wanted):
        part = process.extract(
            wanted, plain, scorer=fuzz.token_set_ratio, score_cutoff=95, limit=12
        )
        found += [(PART * score / 100, index) for _text, score, index in part]
    return [
        (score, index)
        for score, index in found
        if not numbers or numbers <= set(re.findall(r"\d+", plain[index]))
    ]
