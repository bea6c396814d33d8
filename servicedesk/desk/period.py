"""The weeks ahead: proposed as a draft, taken as one change."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.period_case import PeriodCase, period_case
from servicedesk.desk.period_draft import DraftPage, draft_page, is_changed
from servicedesk.desk.period_problem import USUAL, PeriodSettings
from servicedesk.desk.planning import write_jobs, write_left_out, write_visit
from servicedesk.desk.usual import PLAN_SECONDS, PLAN_WEEKS
from servicedesk.records import period_rows
from servicedesk.records.rounds import Round, RoundCrew
from servicedesk.records.store import Changed, Work
from servicedesk.records.undo import latest_change_id
from servicedesk.routes.period import Glimpse, Tried, plan_weeks
from servicedesk.routes.period_apart import plan_weeks_apart
from servicedesk.routes.period_plan import PeriodPlan, timed
from servicedesk.routes.plan import CrewDay
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, kw_only=True)
class Draft:
    """A plan of some weeks that nobody has taken yet. `page` is all that is shown of it."""

    page: DraftPage
    case: PeriodCase
    plan: PeriodPlan

    @property
    def changes(self) -> bool:
        """Is anything other than what is written?"""
        return any(is_changed(self.case, i, day) for i, day in self.plan.days.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class BestSoFar:
    """The best while the search still runs: `orders` are stop ids in order by shift id."""

    road_min: int
    n_placed: int
    n_not_placed: int
    cost: int
    orders: dict[str, tuple[str, ...]]


def first_day(desk: Desk) -> date:
    """The first day that weeks may begin with: tomorrow."""
    return desk.today + timedelta(days=1)


def named_technicians(desk: Desk, names: Sequence[str]) -> tuple[int, ...]:
    """The keys of technicians by name or short name. Raises Trouble for one nobody knows."""
    with desk.store.read() as session:
        team = period_rows.everybody(session)
    found = []
    for name in names:
        folded = name.casefold()
        match = [t for t in team if folded in {t.name.casefold(), t.short_name.casefold()}]
        if not match:
            raise Trouble(
                say("There is no technician called {name}.", name=name),
                do=say("Known are: {names}.", names=", ".join(t.name for t in team)),
            )
        found += [t.id for t in match]
    return tuple(found)


def propose(
    desk: Desk,
    weeks: int = PLAN_WEEKS,
    *,
    from_day: date | None = None,
    technicians: Sequence[int] | None = None,
    seconds: float = PLAN_SECONDS,
    iterations: int | None = None,
    settings: PeriodSettings = USUAL,
    progress: Progress = quiet,
    better: Callable[[BestSoFar], None] | None = None,
) -> Draft:
    """A draft for `weeks` from `from_day` (tomorrow) for these technicians (None: all).

    What is held, handed out or told stays; the rest moves as little as it may. Writes nothing.
    `progress` may raise Stopped: answered with the best so far (*take it as it is*); `better`
    hears it meanwhile, in the thread of the search. With `iterations` instead of time the same
    store gives the same draft. Raises Trouble where nobody works, or for days that have begun.
    """
    first = from_day or first_day(desk)
    case = period_case(desk, first, first + timedelta(days=7 * weeks - 1), technicians, settings)
    return propose_for(
        desk, case, seconds=seconds, iterations=iterations, progress=progress, better=better
    )


def propose_for(
    desk: Desk,
    case: PeriodCase,
    *,
    seconds: float = PLAN_SECONDS,
    iterations: int | None = None,
    progress: Progress = quiet,
    better: Callable[[BestSoFar], None] | None = None,
    apart: bool = False,
) -> Draft:
    """As `propose`, for weeks that were read already: it touches no store.

    `apart`: in a process of its own, for callers beside a window. Raises Trouble where nobody
    works.
    """
    if not case.problem.shifts:
        raise Trouble(
            say("Nobody works in these weeks."),
            do=say("Look at the technicians and their days off in Set up."),
        )
    has_rounds = any(case.stand.values())
    plan = (plan_weeks_apart if apart else plan_weeks)(
        case.problem,
        Tried(seconds=None if iterations else seconds, iterations=iterations),
        start=case.stand if has_rounds else None,
        progress=progress,
        better=None if better is None else _telling(better),
    )
    stand = PeriodPlan(  # its left out stops are asked for by nobody, and take a second to explain
        problem=case.problem, days=timed(case.problem, _possible(case)), left_out=(), planner="hand"
    )
    return Draft(page=draft_page(desk, case, plan, stand), case=case, plan=plan)


def _telling(better: Callable[[BestSoFar], None]) -> Callable[[Glimpse], None]:
    def tell(glimpse: Glimpse) -> None:
        orders = {shift: tuple(order) for shift, order in glimpse.orders.items()}
        better(
            BestSoFar(
                road_min=glimpse.cost.road,
                n_placed=sum(len(order) for order in orders.values()),
                n_not_placed=glimpse.n_left_out,
                cost=glimpse.cost.total,
                orders=orders,
            )
        )

    return tell


def _possible(case: PeriodCase) -> dict[str, tuple[str, ...]]:
    """The written rounds without stops that have no chance there at all (a closed site)."""
    return {
        shift_id: tuple(
            i for i in order
            if case.problem.stop_of[i].chances_on(case.problem.shift_of[shift_id].day)
        )
        for shift_id, order in case.stand.items()
    }  # fmt: skip


def take(desk: Desk, draft: Draft) -> Changed:
    """Write a draft: rounds, visits, jobs, in one change that can be taken back.

    Raises Trouble if what it was made from has changed since.
    """
    case, plan = draft.case, draft.plan
    refuse_stale(desk, case)
    what = say(
        "Planned {first} to {last}",
        first=desk.formats.weekday(case.first),
        last=desk.formats.weekday(case.last),
    )
    with desk.store.change(desk.who, what) as work:
        for shift_id in sorted(plan.days):
            if is_changed(case, shift_id, plan.days[shift_id]):
                write_round(work, case, plan.days[shift_id], shift_id, planner=plan.planner)
        for left in plan.left_out:
            if not case.facts[left.stop_id].held:
                write_left_out(work, case.wanted[left.stop_id])
    return work.changed


def refuse_stale(desk: Desk, case: PeriodCase) -> None:
    """Raise Trouble if what a case was read from has changed since."""
    with desk.store.read() as session:
        stamp = latest_change_id(session)
    if stamp == case.stamp:
        return
    leads = sorted({lead.id for lead in case.shift_lead.values()})
    now = period_case(desk, case.first, case.last, leads)
    if _print_of(now) != _print_of(case):
        raise Trouble(
            say("The weeks have changed since this draft was made."),
            means=say("Nothing was written."),
            do=say("Plan again: what is held, handed out or told stays."),
            exit_code=3,
        )


def _print_of(case: PeriodCase) -> object:
    """What a draft was made from, as far as taking it would write over it."""
    stops = {
        (i, w.visit.revision if w.visit else 0, tuple((j.kind, j.system_id) for j in w.jobs))
        for i, w in case.wanted.items()
    }
    rounds = {(i, r.revision) for i, r in case.rounds.items()}
    return (stops, rounds, frozenset(case.shift_day))


def write_round(work: Work, case: PeriodCase, day: CrewDay, shift_id: str, *, planner: str) -> None:
    """Write one technician's day of the weeks with its visits and their jobs."""
    lead = case.shift_lead[shift_id]
    known = case.rounds.get(shift_id)
    if known is None and not day.stops:
        return
    values = {
        "leave_min": day.leave_home_min,
        "home_min": day.home_min,
        "road_min": day.road_min,
        "break_at_min": day.pause.begin_min if day.pause else None,
        "planner": planner,
    }
    if known is None:
        on = case.shift_day[shift_id]
        round_ = work.add(Round(day=on, lead_id=lead.id, truck_id=lead.truck_id, **values))
        work.add(RoundCrew(round_id=round_.id, technician_id=lead.id))
    else:
        round_ = work.fresh(Round, known.id, seen=known.revision)
        for name, value in values.items():
            setattr(round_, name, value)
    _write_stops(work, case, day, round_)


def _write_stops(work: Work, case: PeriodCase, day: CrewDay, round_: Round) -> None:
    for n, stop in enumerate(day.stops, start=1):
        wanted = case.wanted[stop.stop_id]
        was_told_another = (
            wanted.visit is not None and wanted.visit.told and wanted.visit.planned_on != round_.day
        )
        visit = write_visit(
            work, wanted, planned_on=round_.day, round_id=round_.id, place=n,
            arrive_min=stop.arrival_min, begin_min=stop.begin_min, leave_min=stop.leave_min,
            drive_min=stop.drive_min,
        )  # fmt: skip
        if was_told_another:  # what they know is no longer so
            visit.told = False
            visit.promise_from_min = visit.promise_until_min = None
        write_jobs(work, visit, wanted)
