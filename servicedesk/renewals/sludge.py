"""When a tank will want pumping: a line through its own readings since it was last emptied.

A reading is scum and sludge together as percent of the liquid depth. Where the day of emptying is
known the line goes through zero on it; the worked case of the trade: 18 % after 26 months gives
30 % at 26 x 30 / 18 = 43 months. Where it is not known it is a plain line, and wants two readings.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import inf, sqrt

MONTH_DAYS = 365.25 / 12
RANGE_CHANCE = 0.8
# the middle 80 % of a normal law: tables of the normal distribution, 0.9 quantile
Z = 1.2816
# a fall by so much between two readings is a pump-out nobody wrote down; no source
FALL_POINTS = 8.0
# scatter of one reading, percent points, where no tank has enough readings to tell; no source
SCATTER_POINTS = 2.0


@dataclass(frozen=True, slots=True, order=True)
class SolidsReading:
    """Scum and sludge together on a day, as percent of the liquid depth."""

    on: date
    percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """The readings since a tank was last emptied. `emptied_on` None: nobody knows when."""

    emptied_on: date | None
    readings: tuple[SolidsReading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpForecast:
    """When the line reaches the limit, and between which days with `RANGE_CHANCE`.

    `late_on` None: it may never. `a_year` are percent points; `last` is the newest reading.
    """

    on: date
    early_on: date
    late_on: date | None
    a_year: float
    n: int
    last: SolidsReading


def since_emptied(readings: Iterable[SolidsReading], emptied: Iterable[date] = ()) -> Since:
    """The readings that belong to the filling now: those after the last day of emptying.

    A fall by `FALL_POINTS` or more without one is taken for a pump-out nobody wrote down.
    """
    known = sorted(readings)
    last = max((day for day in emptied), default=None)
    if last is not None:
        known = [one for one in known if one.on > last]
    begin = 0
    for n in range(1, len(known)):
        if known[n - 1].percent - known[n].percent >= FALL_POINTS:
            begin, last = n, None
    return Since(emptied_on=last, readings=tuple(known[begin:]))


def scatter(fillings: Iterable[Since]) -> float:
    """How far a reading strays from its tank's line, percent points, over all tanks together.

    Root of the sum of squares over the degrees of freedom: readings less what each line took.
    """
    squares, free = 0.0, 0
    for one in fillings:
        line = _line(one)
        if line is None:
            continue
        left = len(one.readings) - (1 if one.emptied_on is not None else 2)
        if left > 0:
            squares += sum((line.at(r.on) - r.percent) ** 2 for r in one.readings)
            free += left
    return sqrt(squares / free) if free >= 3 else SCATTER_POINTS


def pump_forecast(filling: Since, *, limit: float, scatter_points: float) -> PumpForecast | None:
    """When a tank reaches `limit` percent; None without a line that rises.

    The range is that of the line: days on which a line one could draw through the same readings
    with `scatter_points` reaches the limit. Raises ValueError for a limit that is not above zero.
    """
    if limit <= 0 or scatter_points < 0:
        raise ValueError("a limit is above zero, scatter is not below it")
    line = _line(filling)
    if line is None or line.a_day <= 0:
        return None
    days = (limit - line.base) / line.a_day
    early, late = _range(line, limit, scatter_points)
    return PumpForecast(
        on=_day(line.zero_on, days),
        early_on=_day(line.zero_on, early),
        late_on=None if late == inf else _day(line.zero_on, late),
        a_year=line.a_day * 365.25,
        n=len(filling.readings),
        last=filling.readings[-1],
    )


@dataclass(frozen=True, slots=True)
class _Fit:
    """percent = base + a_day x days since `zero_on`; variance of it per squared scatter."""

    zero_on: date
    base: float
    a_day: float
    n: int  # 0: the line goes through zero, nothing is known of a base
    mean_day: float
    spread: float  # sum of squared days around their mean (around zero where n is 0)

    def at(self, day: date) -> float:
        """The percent on a day."""
        return self.base + self.a_day * (day - self.zero_on).days

    def variance(self, days: float) -> float:
        """Of the line at so many days, in units of the scatter squared."""
        if self.n == 0:
            return days**2 / self.spread
        return 1 / self.n + (days - self.mean_day) ** 2 / self.spread


def _line(filling: Since) -> _Fit | None:
    readings, zero_on = filling.readings, filling.emptied_on
    if zero_on is not None:
        days = [float((one.on - zero_on).days) for one in readings]
        squares = sum(day**2 for day in days)
        if squares <= 0:
            return None
        slope = sum(d * r.percent for d, r in zip(days, readings, strict=True)) / squares
        return _Fit(zero_on, 0.0, slope, 0, 0.0, squares)
    if len(readings) < 2:
        return None
    return _plain_line(readings)


def _plain_line(readings: Sequence[SolidsReading]) -> _Fit | None:
    """Least squares; None where all readings are of one day."""
    zero_on, n = readings[0].on, len(readings)
    days = [float((one.on - zero_on).days) for one in readings]
    mean_day, mean = sum(days) / n, sum(one.percent for one in readings) / n
    spread = sum((day - mean_day) ** 2 for day in days)
    if spread <= 0:
        return None
    cross = sum((d - mean_day) * (r.percent - mean) for d, r in zip(days, readings, strict=True))
    slope = cross / spread
    return _Fit(zero_on, mean - slope * mean_day, slope, n, mean_day, spread)


def _range(line: _Fit, limit: float, scatter_points: float) -> tuple[float, float]:
    """Days at which the upper and the lower edge of the line's band reach the limit.

    Found by halving: both edges rise beyond the readings, or the lower one never gets there.
    """
    reach = Z * scatter_points

    def edge(days: float, sign: int) -> float:
        return line.base + line.a_day * days + sign * reach * sqrt(line.variance(days))

    middle = (limit - line.base) / line.a_day
    far = max(abs(middle), 1.0) * 64
    low = _crossing(lambda d: edge(d, 1) - limit, -far if line.n else 0.0, middle)
    if edge(middle + far, -1) < limit:
        return low, inf
    return low, _crossing(lambda d: edge(d, -1) - limit, middle, middle + far)


def _crossing(over: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that is above zero at `high` begins to be so; `low` if it is there too."""
    if over(low) >= 0:
        return low
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if over(middle) >= 0 else (middle, high)
    return high


def _day(zero_on: date, days: float) -> date:
    """A day so many days on; what lies beyond the calendar's end is its end."""
    try:
        return zero_on + timedelta(days=round(days))
    except OverflowError:
        return date.max if days > 0 else date.min
