"""Speed for the straight-line estimate, from drives that were made and written down."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

ENOUGH = 100  # drives; with 10 the median detour scatters by 0.08-0.25, with 100 by 0.03-0.07
_SHORT_M = 500.0  # below, whole minutes are mostly rounding
_SLOWEST_KMH, _FASTEST_KMH = 10.0, 110.0


@dataclass(frozen=True, slots=True)
class Drive:
    """A drive as recorded: the straight line between its ends, and the minutes it took."""

    straight_m: float
    minutes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """Mean speed on the road, and from how many drives; half of them lie within `half_between`."""

    speed_kmh: float
    n: int
    half_between: tuple[float, float]


def fitted_speed(drives: Sequence[Drive], *, detour: float) -> Fitted | None:
    """The speed at which half of the drives took longer; None from fewer than `ENOUGH`.

    Drives shorter than half a kilometre do not count. Minutes alone cannot tell a longer road from
    a slower one: the `detour` is taken as given. Raises ValueError for a detour below 1.
    """
    if detour < 1:
        raise ValueError(f"a detour of {detour} would make roads shorter than straight lines")
    speeds = sorted(
        d.straight_m * detour / 1000 / d.minutes * 60
        for d in drives
        if d.straight_m >= _SHORT_M and d.minutes > 0
    )
    if len(speeds) < ENOUGH:
        return None
    speed = min(_FASTEST_KMH, max(_SLOWEST_KMH, median(speeds)))
    n = len(speeds)
    return Fitted(speed_kmh=speed, n=n, half_between=(speeds[n // 4], speeds[(3 * n) // 4]))
