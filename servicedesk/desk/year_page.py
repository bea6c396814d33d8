"""The year in values: contracts that end with what to do, the ladder of all sites, what was sent.

Slow work: the window runs `read_year` off its own thread; `year_page` again after a decision
takes over what a decision cannot change.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.held_work import HeldWork
from servicedesk.desk.office import Desk
from servicedesk.desk.renew_offers import not_offered, unanswered
from servicedesk.desk.renew_sent import OfferState, offers_of
from servicedesk.desk.renewal_facts import DoneWork, done_work
from servicedesk.desk.renewals import Kept, RenewalLine, RenewalPage, kept_of_all, renewals
from servicedesk.renewals.price import RAISE, RENEWED
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say

SOON_DAYS = 90


@dataclass(frozen=True, slots=True)
class YearSpan:
    """Contracts whose last day lies from `first_on` to `last_on` (both included)."""

    first_on: date
    last_on: date

    @property
    def since(self) -> date:
        """The first day on which a next contract would begin."""
        return self.first_on + timedelta(days=1)

    @property
    def until(self) -> date:
        """The day after the last one on which it would."""
        return self.last_on + timedelta(days=2)


def span_of_year(year: int) -> YearSpan:
    """Contracts whose next one begins in that year."""
    return YearSpan(date(year - 1, 12, 31), date(year, 12, 30))


def usual_spans(desk: Desk) -> Mapping[str, YearSpan]:
    """What one usually asks for: "soon", the running year and the next one, by name."""
    today = desk.today
    return {
        "soon": YearSpan(today, today + timedelta(days=SOON_DAYS)),
        str(today.year): span_of_year(today.year),
        str(today.year + 1): span_of_year(today.year + 1),
    }


def span_between(first_on: date | None, last_on: date | None) -> YearSpan:
    """A span as it was entered. Raises WrongEntry for a day missing or an end before its start."""
    wrong = []
    if first_on is None:
        wrong.append(Wrong("first_on", say("Give the first day.")))
    if last_on is None:
        wrong.append(Wrong("last_on", say("Give the last day.")))
    if first_on is not None and last_on is not None and last_on < first_on:
        wrong.append(Wrong("last_on", say("The last day lies before the first one."), first_on))
    refuse(wrong)
    if first_on is None or last_on is None:
        raise ValueError("refused already")
    return YearSpan(first_on, last_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class YearPage:
    """Everything the renewals of the year show. `kept`: every running contract, worst first."""

    span: YearSpan
    page: RenewalPage
    kept: tuple[Kept, ...]
    offers: Mapping[int, OfferState]
    work: HeldWork
    to_offer: tuple[RenewalLine, ...]
    unanswered: tuple[RenewalLine, ...]
    to_remind: tuple[RenewalLine, ...]

    @property
    def kept_minor(self) -> int:
        """What all running contracts kept together."""
        return sum(one.kept_minor for one in self.kept)

    @property
    def losing(self) -> tuple[Kept, ...]:
        """Those that cost more than they bring."""
        return tuple(one for one in self.kept if one.kept_minor < 0)

    @property
    def n_decided(self) -> int:
        """Contracts that somebody decided about, or that are settled."""
        return sum(is_decided(line) for line in self.page.lines)

    def line(self, contract_id: int | None) -> RenewalLine | None:
        """One contract of the page."""
        return next((one for one in self.page.lines if one.contract_id == contract_id), None)


def is_decided(line: RenewalLine) -> bool:
    """Did a person say what is to be done?"""
    return line.is_decided or line.decision in {RENEWED, "not_renew"}


def read_year(desk: Desk, span: YearSpan, *, progress: Progress = quiet) -> YearPage:
    """The page, read and computed from the start. Raises Trouble, Stopped as `renewals` does."""
    progress(0, 5, say("Reading visits"))
    return year_page(desk, span, done_work(desk, progress), progress=progress)


def year_page(
    desk: Desk,
    span: YearSpan,
    work: DoneWork,
    *,
    before: YearPage | None = None,
    progress: Progress = quiet,
) -> YearPage:
    """The page with what was done read already; of the one `before` what stands still."""
    page = renewals(desk, since=span.since, until=span.until, work=work, progress=progress)
    if before is None:
        progress(4, 5, say("The ladder of all sites"))
    offers = offers_of(desk)
    progress(5, 5, "")
    return YearPage(
        span=span,
        page=page,
        kept=before.kept if before else kept_of_all(desk, work),
        offers=offers,
        work=before.work if before else HeldWork.of(work),
        to_offer=tuple(not_offered(page, offers)),
        unanswered=tuple(unanswered(page, offers)),
        to_remind=tuple(unanswered(page, offers, to_remind=True)),
    )


def if_raised_minor(page: YearPage) -> int:
    """What the contracts to raise would bring more if all of them were taken."""
    return sum(
        line.price.next_minor - line.price.now_minor
        for line in page.page.lines
        if line.decision == RAISE and line.price is not None
    )
