"""Windows that are still open: which sites have no day yet, and the day that costs least road."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.period_case import PeriodCase
from servicedesk.desk.period_draft import short_name
from servicedesk.routes.period_problem import PeriodStop, Shift
from servicedesk.routes.period_room import best_gap, extra_road
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say
from servicedesk.words.jobs import job_title, kind_text

CLOSING_DAYS = 14  # a window that ends so soon is closing
_TIMED = 6  # days looked at exactly, the least road first
State = Literal["late", "closing", "open"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BestDay:
    """The day that costs least road: on whose round, before which stop (0 first)."""

    shift_id: str
    day: date
    technician: str
    position: int
    extra_road_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenWindow:
    """A site that must be visited, and until when. Days include both ends.

    `opens_on` is None where nothing says when it may begin, `closes_on` where nothing says until
    when. `planned_on`, `planned_with`: the day it has already.
    """

    stop_id: str
    site_id: int
    address: str
    locality: str
    what: str
    opens_on: date | None
    closes_on: date | None
    state: State
    planned_on: date | None
    planned_with: str

    @property
    def has_day(self) -> bool:
        """Has it a day already?"""
        return self.planned_on is not None


def open_windows(desk: Desk, case: PeriodCase) -> tuple[OpenWindow, ...]:
    """What the weeks ask for, closest to closing first; without a last day at the end."""
    found = [_window(desk, case, one) for one in case.wanted.values()]
    return tuple(sorted(found, key=lambda w: (w.closes_on or date.max, w.address, w.stop_id)))


def _window(desk: Desk, case: PeriodCase, wanted: Wanted) -> OpenWindow:
    site, facts = case.sites[wanted.site_id], case.facts[wanted.id]
    opens = [j.window.window.opens_on for j in wanted.jobs if j.window is not None]
    visit = wanted.visit
    planned_on = visit.planned_on if visit is not None and visit.round_id is not None else None
    if planned_on is not None and planned_on < desk.today:
        planned_on = None  # nobody came: it needs a new day
    lead = case.shift_lead.get(facts.now_at or "")
    return OpenWindow(
        stop_id=wanted.id,
        site_id=wanted.site_id,
        address=site.address,
        locality=site.locality,
        what=", ".join(dict.fromkeys(_job_text(j.kind, j.ordinal) for j in wanted.jobs)),
        opens_on=_before(min(opens, default=None), facts.closes_on),
        closes_on=facts.closes_on,
        state=_state(desk.today, facts.closes_on),
        planned_on=planned_on,
        planned_with=short_name(lead) if planned_on is not None and lead is not None else "",
    )


def _before(opens_on: date | None, closes_on: date | None) -> date | None:
    """None where something else closes before the window opens: an owed day, a promise."""
    if opens_on is None or (closes_on is not None and closes_on < opens_on):
        return None
    return opens_on


def _job_text(kind: str, ordinal: int | None) -> str:
    return job_title(kind, ordinal) if kind == "inspection" else kind_text(kind)


def _state(today: date, closes_on: date | None) -> State:
    if closes_on is None:
        return "open"
    if closes_on < today:
        return "late"
    return "closing" if closes_on <= today + timedelta(days=CLOSING_DAYS) else "open"


def best_days(
    case: PeriodCase, stop_ids: Iterable[str], progress: Progress = quiet
) -> dict[str, BestDay | None]:
    """The day that costs least road for each of these stops on the rounds as they are written.

    None where no day has room for it. Touches no store.
    """
    rounds = {
        shift_id: [case.problem.stop_of[i] for i in order] for shift_id, order in case.stand.items()
    }
    wanted = list(stop_ids)
    found: dict[str, BestDay | None] = {}
    for n, stop_id in enumerate(wanted):
        progress(n, len(wanted))
        found[stop_id] = _best(case, rounds, case.problem.stop_of[stop_id])
    return found


def _best(
    case: PeriodCase, rounds: Mapping[str, Sequence[PeriodStop]], stop: PeriodStop
) -> BestDay | None:
    able = [shift for shift in case.problem.shifts if shift.may_serve(stop)]
    cheap = sorted((_least(case, shift, rounds[shift.id], stop), n) for n, shift in enumerate(able))
    for tried, (_, n) in enumerate(cheap):
        shift = able[n]
        order = rounds[shift.id]
        if tried >= _TIMED and order:
            continue  # by now it is dear or full everywhere: only days still empty are left
        room = best_gap(case.problem, shift, order, stop)
        if room.fits:
            return BestDay(
                shift_id=shift.id,
                day=case.shift_day[shift.id],
                technician=short_name(case.shift_lead[shift.id]),
                position=room.position,
                extra_road_min=room.extra_road_min,
            )
    return None


def _least(
    case: PeriodCase, shift: Shift, order: Sequence[PeriodStop], stop: PeriodStop
) -> tuple[int, int]:
    """The road a day costs at least, with the price of coming so late; then the day."""
    road = min(extra_road(case.problem, shift, order, at, stop) for at in range(len(order) + 1))
    price = min(one.price_min for one in stop.chances_on(shift.day))
    return road + price, shift.day


def why_no_day(case: PeriodCase, window: OpenWindow) -> str:
    """Why a window has no day to take, in a few words."""
    if not case.problem.stop_of[window.stop_id].chances:
        return say("the site is shut on all its days")
    return say("no day of its window has room")
