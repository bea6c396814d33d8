"""What the tags of a road in an OpenStreetMap extract mean for a car: class, speed, access.

Keys and values are those of the OpenStreetMap wiki (pages Key:highway, Key:maxspeed, Key:access,
Key:oneway; from memory). Speeds by class are ours: common practice, no source.
"""

import re
from collections.abc import Mapping

KM_PER_MILE = 1.609344  # international yard and pound agreement of 1959
TIME_FACTOR = 1.10  # junctions, bends and other cars; fitted on three extracts against two routers

# km/h on a free road; the links of the large ones about half
SPEED_KMH: dict[str, float] = {
    "motorway": 110,
    "trunk": 90,
    "primary": 75,
    "secondary": 65,
    "tertiary": 55,
    "unclassified": 45,
    "residential": 35,
    "living_street": 12,
    "service": 18,
    "track": 12,
    "motorway_link": 55,
    "trunk_link": 45,
    "primary_link": 40,
    "secondary_link": 35,
    "tertiary_link": 30,
    "road": 35,
}
CLASSES = tuple(SPEED_KMH)  # the number of a class in a road file is its place here
MINOR = {"service", "track"}  # nobody waits at their mouths
_NARROW_SERVICE = {"driveway", "alley", "drive-through"}
_NARROW_KMH, _UNPAVED_KMH, _DIRT_KMH = 12.0, 40.0, 25.0
_MAXSPEED_SHARE = 0.9  # of a posted speed is driven on average
_UNPAVED = {"unpaved", "gravel", "fine_gravel", "compacted", "pebblestone", "grass_paver"}
_DIRT = {"dirt", "earth", "ground", "grass", "mud", "sand", "rock"}

_ACCESS_KEYS = ("motorcar", "motor_vehicle", "vehicle", "access")  # the most exact one rules
_CLOSED = {"no", "agricultural", "forestry", "emergency", "psv", "bus", "hgv", "military"}
_INSIDERS = {"private", "destination", "customers", "delivery", "permit", "residents"}
_BLOCKS = {
    "bollard", "block", "jersey_barrier", "log", "cycle_barrier", "motorcycle_barrier",
    "chain", "debris", "planter", "turnstile", "stile", "kissing_gate", "horse_stile",
}  # fmt: skip
_SPEED = re.compile(r"(\d+(?:\.\d+)?)\s*(mph|km/h|kmh|kph)?")

OPEN, INSIDERS_ONLY, CLOSED = 0, 1, 2
FORWARD, BACKWARD = 1, 2


def access_of(tags: Mapping[str, str]) -> int:
    """OPEN, INSIDERS_ONLY (private, destination: a stop may lie inside) or CLOSED to cars."""
    for key in _ACCESS_KEYS:
        value = tags.get(key)
        if value is None:
            continue
        values = {part.strip() for part in value.split(";")}
        if values & _INSIDERS:
            return INSIDERS_ONLY
        return CLOSED if values <= _CLOSED else OPEN
    return OPEN


def directions_of(tags: Mapping[str, str]) -> int:
    """FORWARD, BACKWARD or both (3): the ways a car may drive along the points."""
    oneway = tags.get("oneway:motor_vehicle") or tags.get("oneway", "")
    if oneway in {"-1", "reverse"}:
        return BACKWARD
    if oneway in {"yes", "true", "1"}:
        return FORWARD
    if oneway in {"no", "false", "0"}:
        return FORWARD | BACKWARD
    if tags.get("junction") in {"roundabout", "circular"} or tags["highway"] == "motorway":
        return FORWARD
    return FORWARD | BACKWARD


def speed_kmh(tags: Mapping[str, str]) -> float:
    """What is driven on a road of one of `CLASSES`, before `TIME_FACTOR`."""
    kind = tags["highway"]
    speed = SPEED_KMH[kind]
    posted = posted_kmh(tags.get("maxspeed", ""))
    if posted is not None:
        speed = posted * _MAXSPEED_SHARE
    if kind == "service" and tags.get("service") in _NARROW_SERVICE:
        speed = min(speed, _NARROW_KMH)
    surface = tags.get("surface", "")
    if surface in _UNPAVED:
        speed = min(speed, _UNPAVED_KMH)
    elif surface in _DIRT:
        speed = min(speed, _DIRT_KMH)
    return speed


def posted_kmh(text: str) -> float | None:
    """The speed on a sign in km/h: "50", "30 mph"; None for "none", "signals" and the like."""
    match = _SPEED.fullmatch(text.strip().lower())
    if match is None:
        return None
    value = float(match[1]) * (KM_PER_MILE if match[2] == "mph" else 1.0)
    return value if value >= 1 else None


def blocks_cars(tags: Mapping[str, str]) -> bool:
    """Whether something at a point of a road lets no car through (a gate does)."""
    kind = tags.get("barrier")
    if kind is None:
        return False
    for key in _ACCESS_KEYS:
        value = tags.get(key)
        if value is not None:
            return value == "no"
    return kind in _BLOCKS


def restriction_of(tags: Mapping[str, str]) -> str | None:
    """The turn rule for cars of a restriction, such as "no_left_turn"; None if it is not theirs."""
    if tags.get("type") != "restriction":
        return None
    kind = tags.get("restriction:motorcar") or tags.get("restriction")
    if kind is None or not kind.startswith(("no_", "only_")):
        return None
    spared = {part.strip() for part in tags.get("except", "").split(";")}
    return None if spared & {"motorcar", "motor_vehicle", "vehicle"} else kind
