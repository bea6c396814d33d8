"""What a service rule can say: the five shapes of a visit duty, and the forms of a deadline."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class MonthDay:
    """A day of every year. February 29 falls on the 28th where the year has no 29th."""

    month: int
    day: int

    def __post_init__(self) -> None:
        date(2000, self.month, self.day)  # a leap year: ValueError if there is no such day

    def in_year(self, year: int) -> date:
        """The day in `year`."""
        try:
            return date(year, self.month, self.day)
        except ValueError:
            return date(year, 2, 28)

    def next_from(self, day: date) -> date:
        """The first such day on or after `day`."""
        this = self.in_year(day.year)
        return this if this >= day else self.in_year(day.year + 1)


@dataclass(frozen=True, slots=True)
class EveryMonths:
    """Shape 1: a visit at least every `months` months, counted from the visit before."""

    months: int


@dataclass(frozen=True, slots=True)
class PerYear:
    """Shapes 2 and 3: `times` visits in a calendar year.

    `apart_months`: two visits closer than this count as one. `report_by`: the year's report must
    be on file by this day, so the visit of the year comes before it. `counted_as_said` is false
    where the rule says only "annually" or "quarterly" and not how the period is counted; we then
    take calendar years and say so.
    """

    times: int
    apart_months: int | None = None
    report_by: MonthDay | None = None
    counted_as_said: bool = True


@dataclass(frozen=True, slots=True)
class AsPermit:
    """Shape 4: the permit of the system says how often. The system's own record holds it."""


@dataclass(frozen=True, slots=True)
class FirstYears:
    """Shape 5: `first` for `years` years from first use, `after` from then on (None: no duty).

    `last_day_included`: the anniversary itself still belongs to the first years. The rules seen
    do not say; it is a setting.
    """

    years: int
    first: "PlainVisits"
    after: "PlainVisits | None" = None
    last_day_included: bool = False


PlainVisits: TypeAlias = EveryMonths | PerYear | AsPermit
Visits: TypeAlias = PlainVisits | FirstYears


class Form(StrEnum):
    """How a deadline is counted."""

    DAYS = "days"
    MONTHS = "months"
    DAY_OF_NEXT_MONTH = "day_of_next_month"
    FIXED_DATE = "fixed_date"
    WORKING_DAYS = "working_days"
    HOURS = "hours"


@dataclass(frozen=True, slots=True)
class Within:
    """One deadline: `n` days, months, working days or hours, the `n`th of the following month,
    or the next `on` of a year. Counted from the event, or back from it where `before` is set.
    """

    form: Form
    n: int = 0
    on: MonthDay | None = None
    before: bool = False

    def __post_init__(self) -> None:
        if (self.form is Form.FIXED_DATE) != (self.on is not None):
            raise ValueError("a fixed date needs its day, and nothing else does")


class DutyKind(StrEnum):
    """What is to be done by a deadline, and from which event it counts."""

    REPORT = "report"  # from the visit
    PUMP_OUT_REPORT = "pump_out_report"  # from the pump-out
    CONTRACT_COPY = "contract_copy"  # from the end of the running contract
    CONTRACT_ISSUED = "contract_issued"  # from issue or renewal
    CONTRACT_AFTER_SALE = "contract_after_sale"  # from the sale
    CONTRACT_AFTER_STOP = "contract_after_stop"  # from the end of service
    NOT_RENEWED = "not_renewed"  # from the end of the contract
    STOP_NOTICE = "stop_notice"  # from the day service stops
    EXCEEDANCE = "exceedance"  # from the day the result is known
    FAILURE = "failure"  # from the day the failure is known
    REPAIR = "repair"  # from the order to repair
    SALE_INSPECTION = "sale_inspection"  # from the sale
    FIRST_SAMPLE = "first_sample"  # from first use


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """Something owed by a deadline to some receivers.

    `confirmed` is false where the figure is from memory; `text` is the wording of the rule.
    """

    kind: DutyKind
    within: Within
    to: tuple[str, ...] = ()
    confirmed: bool = True
    text: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What a sample or reading must show.

    `low` and `high` are the acceptable ends (None: none printed). `or_else` names the test that
    may take this one's place: one of both within its limit is enough. `only` says where it holds.
    """

    what: str
    every: str
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str | None = None
    or_else: str | None = None
    only: str | None = None
    text: str | None = None

    def is_met_by(self, value: Decimal) -> bool | None:
        """Does `value` lie within the limit? None where the rule prints none."""
        if self.low is None and self.high is None:
            return None
        above = self.low is None or value >= self.low
        return above and (self.high is None or value <= self.high)


@dataclass(frozen=True, slots=True)
class RepairLadder:
    """Days in which a repair begins, shorter with each earlier notice of the last months.

    ``days[0]`` without an earlier notice, ``days[1]`` with one, the last one with more.
    """

    days: tuple[int, ...]
    within_months: int
