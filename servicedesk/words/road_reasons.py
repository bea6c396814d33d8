"""Why a place does not stand on the roads of the extract in use."""

from collections.abc import Callable, Mapping

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say

ROAD_TELLERS: dict[str, Callable[[Reason, Formats, Mapping[str, str]], str]] = {
    "no_road_near": lambda r, f, _n: say(
        "the nearest road is {far} away; is the place right?", far=_far(f, r["nearest_m"])
    ),
    "no_road_here": lambda _r, _f, _n: say("the extract has no road that leads there"),
    "at_the_edge": lambda _r, _f, _n: say(
        "at the edge of the extract: roads may be missing, times may be too long"
    ),
}


def _far(formats: Formats, metres: int) -> str:
    """Whole metres up to a kilometre, then kilometres."""
    if metres < 1000:
        return say("{n} m", n=formats.number(metres))
    return say("{n} km", n=formats.number(round(metres / 1000)))
