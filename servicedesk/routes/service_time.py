"""How long a job takes at a site: learned from its past, drawn toward all other sites.

Mean of the site's own times, shrunken to the fleet's mean by the ratio of the variances
(the Bühlmann credibility factor n / (n + k), k = variance within over variance between;
H. Bühlmann, "Experience rating and credibility", ASTIN Bulletin 4, 1967; formula from memory).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import fmean

# common practice, no source: minutes on site where nothing has been learned yet
DEFAULT_MIN: Mapping[str, int] = {
    "inspection": 40,
    "callback": 50,
    "owed": 60,
    "repair": 75,
    "installation": 180,
    "start-up": 90,
    "pump-out": 60,
    "sale": 75,
    "estimate": 30,
}
FEW = 5  # fewer past jobs of a kind than this, and the default counts as so many more
JOINED_LESS_MIN = 8  # a second job at one stop: gate, lids and hands are done already


@dataclass(frozen=True, slots=True)
class PastTimes:
    """Past minutes of one kind of job: `n` jobs, their mean, their sum of squares about it."""

    n: int
    mean_min: float
    squares: float

    @classmethod
    def of(cls, minutes: Iterable[float]) -> "PastTimes":
        """From the minutes themselves."""
        times = list(minutes)
        mean = fmean(times) if times else 0.0
        return cls(len(times), mean, sum((t - mean) ** 2 for t in times))


@dataclass(frozen=True, slots=True)
class KindTimes:
    """What is known of one kind of job: the fleet's mean, and the weight k of a site's own past."""

    fleet_mean_min: float
    k: float

    def at_site(self, past: PastTimes | None) -> int:
        """Minutes to plan at a site with this past, rounded to whole minutes."""
        if past is None or past.n == 0:
            return round(self.fleet_mean_min)
        own = past.n / (past.n + self.k)
        return round(own * past.mean_min + (1 - own) * self.fleet_mean_min)


def kind_times(kind: str, sites: Iterable[PastTimes]) -> KindTimes:
    """The fleet's mean and credibility weight from every site's past of one kind of job.

    The mean counts the default as `FEW` further jobs, so that a new company starts from common
    practice. k is infinite (the site's own past says nothing) where sites do not differ.
    """
    pasts = [past for past in sites if past.n > 0]
    n = sum(past.n for past in pasts)
    default = DEFAULT_MIN.get(kind, 45)
    fleet = (sum(past.n * past.mean_min for past in pasts) + FEW * default) / (n + FEW)
    within_freedom = n - len(pasts)
    if len(pasts) < 2 or within_freedom < 1:
        return KindTimes(fleet, float(FEW))
    within = sum(past.squares for past in pasts) / within_freedom
    grand = sum(past.n * past.mean_min for past in pasts) / n
    spread = sum(past.n * (past.mean_min - grand) ** 2 for past in pasts)
    scale = n - sum(past.n**2 for past in pasts) / n
    between = (spread - (len(pasts) - 1) * within) / scale
    return KindTimes(fleet, within / between if between > 0 else float("inf"))


def stop_min(job_minutes: Iterable[int]) -> int:
    """Minutes at a stop with several jobs: their sum, less what is not done twice."""
    minutes = list(job_minutes)
    return max(10, sum(minutes) - JOINED_LESS_MIN * max(0, len(minutes) - 1))
