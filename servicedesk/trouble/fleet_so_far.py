"""What the fleet has shown up to a day: exposure, calls by symptom, rates at one site.

A call is judged by the days before it and by itself, never by other calls of its day: so their
order does not matter, and data cut at a day gives the same figures up to it.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from datetime import date
from itertools import accumulate

from servicedesk.trouble.call_facts import CallFact
from servicedesk.trouble.change_odds import YEAR_DAYS, fleet_rate, site_multiplier

SYMPTOMS_EXPECTED = 10  # as many as the phone has keys; more as soon as more are met
SHARE_WEIGHT = 10.0  # calls worth of "all symptoms alike" before this fleet's own shares count


class Exposure:
    """Site-years up to a day. Each site: known from, counts from, ends (None: still there).

    A site may count from a day before it is known, never the other way round.
    """

    def __init__(self, sites: Iterable[tuple[date, date, date | None]]) -> None:
        rows = tuple(sites)
        begun = sorted((known.toordinal(), start.toordinal()) for known, start, _end in rows)
        self._known = [known for known, _start in begun]
        self._starts = list(accumulate((start for _known, start in begun), initial=0))
        self._ends = sorted(max(end, known).toordinal() for known, _start, end in rows if end)
        self._end_sums = list(accumulate(self._ends, initial=0))

    def site_years(self, on: date) -> float:
        """Years under contract of all sites known by `on`, up to `on`."""
        today = on.toordinal()
        n = bisect_right(self._known, today)
        ended = bisect_right(self._ends, today)
        days = n * today - self._starts[n] - (ended * today - self._end_sums[ended])
        return days / YEAR_DAYS


class FleetSoFar:
    """Counts of callbacks, fed day by day; `rates_at` says what is usual at a site."""

    def __init__(self, exposure: Exposure) -> None:
        self._exposure = exposure
        self._by_symptom: Counter[str] = Counter()
        self._by_pair: Counter[tuple[str, str]] = Counter()
        self._by_place: Counter[str] = Counter()
        self._total = 0
        self._met: set[str] = set()

    def meet(self, symptoms: Iterable[str]) -> None:
        """Symptoms that are known to exist from now on."""
        self._met.update(symptoms)

    def add(self, call: CallFact) -> None:
        """Count one callback (returns joined before)."""
        self._by_symptom[call.symptom] += 1
        self._by_pair[call.place, call.symptom] += 1
        self._by_place[call.place] += 1
        self._total += 1

    def share(self, symptom: str) -> float:
        """Part of all calls that `symptom` has, one more call of it included.

        This fleet's own part, drawn toward equal parts.
        """
        n_kinds = max(len(self._met), SYMPTOMS_EXPECTED)
        own = self._by_symptom[symptom] + 1 + SHARE_WEIGHT / n_kinds
        return own / (self._total + 1 + SHARE_WEIGHT)

    def usual(self, place: str, symptom: str, *, on: date, exposure_years: float) -> float:
        """Calls per year of `symptom` to be expected at `place`, where it has called on `on`."""
        site_years = self._exposure.site_years(on)
        of_symptom = fleet_rate(self._by_symptom[symptom] + 1, site_years, self.share(symptom))
        of_all = fleet_rate(self._total + 1, site_years, 1.0)
        others_here = self._by_place[place] - self._by_pair[place, symptom]
        return of_symptom * site_multiplier(others_here, of_all - of_symptom, exposure_years)
