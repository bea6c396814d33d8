"""The page of patterns in values: rows with ranges, patterns with what they would save, curves."""

from dataclasses import dataclass
from datetime import date

from servicedesk.desk.pattern_exposed import Exposed
from servicedesk.desk.pattern_lives import LifeCurve
from servicedesk.desk.pattern_money import Assumptions
from servicedesk.trouble.patterns import Flag, Stratified
from servicedesk.trouble.rates import Range
from servicedesk.trouble.recurrent import Mean
from servicedesk.trouble.survival import LogRank
from servicedesk.trouble.trend import Trend
from servicedesk.values.reason import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """A group as one row: units (or systems) now, events over years, rates per 100 years.

    `best` with 95 % range is drawn toward the fleet's rate; `raw` is as seen. `times`: as often as
    all others. None where the group could not be compared (no exposure).
    """

    id: str
    label: str
    n_now: int
    events: int
    years: float
    best: Range | None
    raw: Range | None
    times: Range | None
    q: float | None
    flag: Flag
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorRows:
    """Groups that differ in one thing. `reference`: all of them, per 100 years."""

    id: str
    kind: str
    component: str
    title: str
    measure: str
    measure_text: str
    reference: float
    spread: float
    rows: tuple[GroupRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A group that stands out (clearly above, or maybe), and what could be done about it.

    `reference`: the fleet's rate per 100 years. `at_equal_age`: against others of the same age,
    None where it cannot be told. `lasting`: do its units last alike?
    `n_called_twice`: exposed systems with two or more calls of this within two years;
    `n_never_looked` of them had the unit never looked at. `mean_calls`: mean callbacks
    of a system by years watched, here and elsewhere. `exposed`: best saving first; `n_worth`,
    `saving_minor`: over those where it saves more than 5 % of its cost. `pays_back`: years
    until the work at those has paid out of `saving_minor`, None where it never does and for a
    model, which saves over the life to come. `cautions`: uncut.
    """

    factor_id: str
    group_id: str
    kind: str
    component: str
    title: str
    what: str
    reference: float
    row: GroupRow
    at_equal_age: Stratified | None
    lasting: LogRank | None
    reasons: tuple[Reason, ...]
    n_called_twice: int
    n_never_looked: int
    trend: Trend | Reason
    mean_calls: tuple[Mean, ...]
    mean_calls_others: tuple[Mean, ...]
    exposed: tuple[Exposed, ...]
    n_worth: int
    saving_minor: int | None
    pays_back: float | None
    do_minor: int | None
    call_minor: int | None
    minutes: int
    cautions: tuple[str, ...]

    @property
    def key(self) -> tuple[str, str]:
        """Of which factor and group."""
        return self.factor_id, self.group_id


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternPage:
    """Everything the page shows. `n_compared`: comparisons made at once, which flags allow for."""

    today: date
    begins_on: date
    n_systems: int
    system_years: float
    n_compared: int
    factors: tuple[FactorRows, ...]
    patterns: tuple[Pattern, ...]
    curves: tuple[LifeCurve, ...]
    mean_calls: tuple[Mean, ...]
    assumed: Assumptions

    @property
    def n_clear(self) -> int:
        """Patterns that are clearly above."""
        return sum(pattern.row.flag == "clearly above" for pattern in self.patterns)
