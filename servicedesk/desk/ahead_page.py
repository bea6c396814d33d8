"""The weeks ahead as they stand: hours by technician and week, and the windows still open."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.ahead_hours import (
    WEEK,
    PersonWeeks,
    PlacedVisit,
    Staff,
    monday_of,
    people_weeks,
    staff_of,
)
from servicedesk.desk.ahead_windows import BestDay, OpenWindow, open_windows
from servicedesk.desk.office import Desk
from servicedesk.desk.period import first_day, refuse_stale, write_round
from servicedesk.desk.period_case import PeriodCase, period_case
from servicedesk.desk.period_draft import DraftPage
from servicedesk.desk.period_problem import STOP_ROAD_MIN
from servicedesk.desk.road_times import travel_words
from servicedesk.records.store import Changed
from servicedesk.routes.period_plan import stops_of
from servicedesk.routes.timing import time_round
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

WEEKS_SHOWN = 11


@dataclass(frozen=True, kw_only=True)
class AheadPage:
    """All that the page shows. `first` is this week's Monday, `last` the last day shown.

    `n_room`: about how many more visits of the usual length the free hours hold.
    """

    first: date
    last: date
    today: date
    staff: Staff
    people: tuple[PersonWeeks, ...]
    windows: tuple[OpenWindow, ...]
    case: PeriodCase
    n_room: int
    roads: str

    @property
    def n_weeks(self) -> int:
        """How many weeks are shown."""
        return self.staff.n_weeks

    @property
    def n_without_day(self) -> int:
        """Windows that have no day yet."""
        return sum(not one.has_day for one in self.windows)


def ahead_page(desk: Desk, *, n_weeks: int = WEEKS_SHOWN) -> AheadPage:
    """The page from this week on. Reads only."""
    first = monday_of(desk.today)
    last = first + n_weeks * WEEK - timedelta(days=1)
    staff = staff_of(desk, first, n_weeks)
    people = people_weeks(staff)
    case = period_case(desk, first_day(desk), last)
    return AheadPage(
        first=first,
        last=last,
        today=desk.today,
        staff=staff,
        people=people,
        windows=open_windows(desk, case),
        case=case,
        n_room=_room(staff, people, case),
        roads=travel_words(desk),
    )


def _room(staff: Staff, people: Sequence[PersonWeeks], case: PeriodCase) -> int:
    """Free minutes of the days to come over the minutes of a usual stop with its road."""
    if not case.wanted:
        return 0
    each = sum(w.service_min + STOP_ROAD_MIN for w in case.wanted.values()) / len(case.wanted)
    this_week = monday_of(staff.today)
    free = sum(w.free for one in people for w in one.weeks if w.monday > this_week)
    return int(free / each)


def take_day(desk: Desk, case: PeriodCase, stop_id: str, best: BestDay) -> Changed:
    """Give a stop its day on that technician's round, in one change that can be taken back.

    Raises Trouble if what the day was worked out from has changed since.
    """
    refuse_stale(desk, case)
    if stop_id not in case.wanted:
        raise Trouble(
            say("That stop does not wait any more."), do=say("Look at the weeks again."),
            exit_code=3,
        )  # fmt: skip
    order = list(case.stand.get(best.shift_id, ()))
    order.insert(best.position, stop_id)
    shift = case.problem.shift_of[best.shift_id]
    round_ = time_round(shift.crew, stops_of(case.problem, shift.id, order), case.problem.travel)
    what = say(
        "Gave {address} {day} with {who}",
        address=case.address(stop_id),
        day=desk.formats.weekday(best.day),
        who=best.technician,
    )
    known = case.rounds.get(best.shift_id)
    with desk.store.change(desk.who, what) as work:
        write_round(
            work, case, round_, best.shift_id, planner=known.planner if known is not None else ""
        )
    return work.changed


def placed_in_orders(
    staff: Staff, case: PeriodCase, orders: Iterable[tuple[str, Sequence[str]]], road_min: int
) -> list[PlacedVisit]:
    """Hours as they would be with these rounds; the road is spread evenly over all stops."""
    made = [(shift_id, tuple(order)) for shift_id, order in orders]
    n = sum(len(order) for _, order in made)
    share = road_min / n if n else 0.0
    return _instead(
        staff,
        case,
        (
            PlacedVisit(
                case.shift_lead[shift_id].id,
                case.shift_day[shift_id],
                tuple(job.kind for job in case.wanted[i].jobs),
                case.wanted[i].service_min + share,
            )
            for shift_id, order in made
            for i in order
        ),
    )


def placed_in_draft(staff: Staff, case: PeriodCase, page: DraftPage) -> list[PlacedVisit]:
    """Hours as they would be with a draft."""
    return _instead(
        staff,
        case,
        (
            PlacedVisit(
                day.technician_id,
                day.day,
                stop.jobs,
                stop.leave_min - stop.begin_min + day.road_min / len(day.stops),
            )
            for day in page.days
            for stop in day.stops
        ),
    )


def _instead(staff: Staff, case: PeriodCase, planned: Iterable[PlacedVisit]) -> list[PlacedVisit]:
    """What the plan leaves alone, and what it plans."""
    moved = {w.visit.id for w in case.wanted.values() if w.visit is not None}
    return [*(one for one in staff.placed if one.visit_id not in moved), *planned]
