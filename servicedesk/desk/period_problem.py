"""The weeks as the route calculations see them: prices of days, shifts, what is kept free."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import fmean

from servicedesk.desk import period_errands as errands
from servicedesk.desk.demand import Times, Wanted, WantedJob
from servicedesk.desk.office import Desk
from servicedesk.desk.period_errands import DayChance, job_prize
from servicedesk.desk.places import Located, office_position
from servicedesk.desk.road_times import travel_between
from servicedesk.desk.skills import needs_of, skills_of, wishes_of
from servicedesk.records import period_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.routes.period_problem import Chance, PeriodProblem, PeriodStop, Shift
from servicedesk.routes.price import LIKED_COST
from servicedesk.routes.problem import Crew
from servicedesk.routes.reserve import kept_for_callbacks
from servicedesk.values.position import Position

LOOK_BACK_DAYS = 365  # calls of so long tell how many to expect
STOP_ROAD_MIN = 15  # road of a planned stop, for the mean day, common practice, no source
CALL_ROAD_MIN = 25  # road of a callback put in between, common practice, no source
MOST_KEPT = 0.25  # of a shift; a company that drowns in callbacks plans by hand
OUT_OF_WINDOW_MIN = 500  # a planned day outside its window may stay, but gladly goes


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodSettings:
    """How the weeks are planned. Minutes are minutes of road.

    `confidence` that the callbacks of a day fit into what is kept for them. Beyond the daily
    target a minute costs `balance_cost`; the target is a tenth more than the mean day, but
    within `least_share`..`most_share` of what may be planned. A visit moved to another
    day must save `change_min`, one that was told `told_min`; another technician than the one
    wanted costs `wanted_min`, another than now `other_min`.
    """

    confidence: float = 0.8
    least_share: float = 0.5
    most_share: float = 0.83
    balance_cost: int = 1
    change_min: int = 15
    told_min: int = 4_000
    wanted_min: int = LIKED_COST
    other_min: int = 10


USUAL = PeriodSettings()


@dataclass(frozen=True, slots=True, kw_only=True)
class StopFacts:
    """A stop of the weeks: the price of every day it may be made on, and what binds it."""

    wanted: Wanted
    days: Mapping[date, DayChance]
    prize_min: int
    closes_on: date | None
    held: bool
    now_at: str | None

    @classmethod
    def of(
        cls,
        desk: Desk,
        wanted: Wanted,
        days: Mapping[date, DayChance],
        first: date,
        last: date,
        settings: PeriodSettings,
        shifts: Mapping[str, tuple[date, Technician]],
    ) -> "StopFacts":
        """From the stop and the days on which its jobs may be done."""
        visit = wanted.visit
        prize = sum(job_prize(job, first, last) for job in wanted.jobs) or errands.PRIZE_OTHER
        closes = [j.window.window.closes_on for j in wanted.jobs if j.window is not None]
        closes += [j.owed.by_on for j in wanted.jobs if j.owed and j.owed.by_on]
        closes += [p for j in wanted.jobs if (p := _promised_on(desk, j)) is not None]
        priced = dict(days)
        now_at, held = None, False
        if visit is not None and visit.planned_on is not None and visit.planned_on >= first:
            priced = _moved_prices(visit, days, settings)
            lead = visit.held_crew_id if visit.held else visit.lead_id
            here = f"{visit.planned_on.isoformat()}/{lead}"
            now_at = here if here in shifts else None
            held = visit.held and now_at is not None
            if visit.told:
                prize = max(prize, errands.PRIZE_TOLD)
            if held:
                prize = errands.PRIZE_HELD
        return cls(
            wanted=wanted, days=priced, prize_min=prize, closes_on=min(closes, default=None),
            held=held, now_at=now_at,
        )  # fmt: skip


def _promised_on(desk: Desk, job: WantedJob) -> date | None:
    promised = job.call.promised_by_at if job.call is not None else None
    return None if promised is None else desk.clock.day_of(promised)


def _moved_prices(
    visit: rows.VisitRow, days: Mapping[date, DayChance], settings: PeriodSettings
) -> dict[date, DayChance]:
    """Every other day costs a change; the day itself keeps what was promised."""
    change = settings.told_min if visit.told else settings.change_min
    priced = {
        day: DayChance(one.from_min, one.until_min, one.price_min + change)
        for day, one in days.items()
    }
    on = visit.planned_on
    if on is None:
        return priced
    here = days.get(on, DayChance(price_min=OUT_OF_WINDOW_MIN if days else 0))
    from_min, until_min = here.from_min, here.until_min
    if visit.told or visit.held:
        from_min = max(from_min, visit.promise_from_min or 0)
        if visit.promise_until_min is not None:
            until_min = max(from_min, min(until_min, visit.promise_until_min))
    priced[on] = DayChance(from_min, until_min, 0 if visit.told or visit.held else here.price_min)
    return priced


def period_problem(
    desk: Desk,
    facts: Mapping[str, StopFacts],
    shifts: Mapping[str, tuple[date, Technician]],
    *,
    team: Sequence[Technician],
    off: Sequence[period_rows.OffRow],
    sites: Mapping[int, rows.SitePlace],
    spots: Mapping[int, Located],
    first: date,
    settings: PeriodSettings,
    times: Times,
) -> tuple[PeriodProblem, int]:
    """The problem of `routes.period`, and the minutes kept free on each shift of a usual day."""
    positions = [office_position(desk, spots)]
    start_of: dict[int, int] = {}
    for lead in {lead.id: lead for _, lead in shifts.values()}.values():
        start_of[lead.id] = 0
        if lead.base == "home" and lead.home_lat_deg is not None:
            positions.append(Position(lead.home_lat_deg, lead.home_lon_deg or 0.0))
            start_of[lead.id] = len(positions) - 1
    place_of: dict[int, int] = {}
    for one in facts.values():
        site_id = one.wanted.site_id
        if site_id not in place_of:
            place_of[site_id] = len(positions)
            positions.append(spots[site_id].position)
    kept = _kept(desk, shifts, team, off, settings, times)
    work_days: dict[int, list[date]] = {}
    for day, lead in shifts.values():
        work_days.setdefault(lead.id, []).append(day)
    days = sorted({day for day, _ in shifts.values()})
    stops = tuple(
        _stop(i, one, place_of[one.wanted.site_id], sites, days, team, first, settings)
        for i, one in facts.items()
    )
    open_shifts = [
        _shift(i, day, lead, start_of[lead.id], team, first, kept[day], settings)
        for i, (day, lead) in shifts.items()
    ]
    problem = PeriodProblem(
        stops=stops,
        shifts=_targeted(open_shifts, stops, settings),
        travel=travel_between(desk, positions),
    )
    return problem, round(fmean(kept.values())) if kept else 0


def _kept(
    desk: Desk,
    shifts: Mapping[str, tuple[date, Technician]],
    team: Sequence[Technician],
    off: Sequence[period_rows.OffRow],
    settings: PeriodSettings,
    times: Times,
) -> dict[date, int]:
    """Minutes that each technician keeps free for callbacks, by day."""
    each = round(times.minutes("callback", 0)) + CALL_ROAD_MIN
    rate = calls_a_day(desk)
    found = {}
    for day in {day for day, _ in shifts.values()}:
        n = sum(
            day.weekday() in t.working_days
            and (t.from_on is None or t.from_on <= day)
            and (t.until_on is None or day < t.until_on)
            and not any(o.technician_id == t.id and o.from_on <= day < o.until_on for o in off)
            for t in team
        )
        found[day] = kept_for_callbacks(
            rate, confidence=settings.confidence, minutes_each=each, n_crews=max(1, n)
        )
    return found


def calls_a_day(desk: Desk) -> float:
    """Callbacks to expect on a working day, from those of the last year (or since the first)."""
    begins = desk.today - timedelta(days=LOOK_BACK_DAYS)
    with desk.store.read() as session:
        first = period_rows.first_call_at(session)
        n = period_rows.n_calls_since(session, desk.clock.instant(begins, 0))
    if first is None:
        return 0.0
    since = max(begins, desk.clock.day_of(first))
    n_days = (desk.today - since).days
    working = sum(desk.works_on(since + timedelta(days=k)) for k in range(n_days))
    return n / max(working, 20)


def _shift(
    shift_id: str,
    day: date,
    lead: Technician,
    start: int,
    team: Sequence[Technician],
    first: date,
    kept: int,
    settings: PeriodSettings,
) -> Shift:
    crew = Crew(
        id=str(lead.id),
        start_place=start,
        end_place=start,
        shift_from_min=lead.day_from_min,
        shift_until_min=lead.day_until_min,
        break_min=lead.break_min,
        break_from_min=lead.break_from_min,
        break_until_min=lead.break_until_min,
        skills=skills_of(lead, team),
    )
    length = lead.day_until_min - lead.day_from_min
    return Shift(
        id=shift_id,
        day=(day - first).days,
        crew=crew,
        kept_min=min(kept, round(MOST_KEPT * length)),
        balance_cost=settings.balance_cost,
    )


def _targeted(
    shifts: Sequence[Shift], stops: Sequence[PeriodStop], settings: PeriodSettings
) -> tuple[Shift, ...]:
    """Shifts with a daily target: a tenth above the mean of work and road over all of them."""
    work = sum(stop.service_min + STOP_ROAD_MIN for stop in stops if stop.chances)
    mean = 1.1 * work / max(1, len(shifts))
    found = []
    for one in shifts:
        length = one.plan_until_min - one.crew.shift_from_min
        target = min(max(mean, settings.least_share * length), settings.most_share * length)
        found.append(replace(one, target_min=round(target)))
    return tuple(found)


def _stop(
    stop_id: str,
    facts: StopFacts,
    place: int,
    sites: Mapping[int, rows.SitePlace],
    work_days: Sequence[date],
    team: Sequence[Technician],
    first: date,
    settings: PeriodSettings,
) -> PeriodStop:
    visit = facts.wanted.visit
    wishes = wishes_of(visit.wishes if visit is not None else {})
    wanted = wishes.technician_id or sites[facts.wanted.site_id].wanted_technician_id
    liked, liked_min = (str(wanted), settings.wanted_min) if wanted is not None else (None, 0)
    if liked is None and visit is not None and facts.now_at is not None:
        liked, liked_min = facts.now_at.split("/")[1], settings.other_min
    held_lead = facts.now_at.split("/")[1] if facts.held and facts.now_at else None
    closes = None if facts.closes_on is None else (facts.closes_on - first).days
    held_day = None
    if held_lead is not None and visit is not None and visit.planned_on is not None:
        held_day = (visit.planned_on - first).days
    return PeriodStop(
        id=stop_id,
        place=place,
        service_min=facts.wanted.service_min,
        chances=_chances(facts.days, work_days, first),
        prize_min=facts.prize_min,
        closes_on_day=closes,
        needs=needs_of((job.kind for job in facts.wanted.jobs), team) | wishes.skills,
        liked_crew=liked,
        liked_min=liked_min,
        held_crew=held_lead,
        held_day=held_day,
        held_position=visit.place if held_lead and visit else None,
        held_at_min=visit.held_at_min if held_lead and visit else None,
        now_at=facts.now_at,
    )  # fmt: skip


def _chances(
    days: Mapping[date, DayChance], work_days: Sequence[date], first: date
) -> tuple[Chance, ...]:
    """Working days in a row at the same price and hours are one chance."""
    found: list[Chance] = []
    row: list[date] = []

    def close() -> None:
        if row:
            one = days[row[0]]
            found.append(
                Chance(
                    first_day=(row[0] - first).days,
                    last_day=(row[-1] - first).days,
                    from_min=one.from_min,
                    until_min=one.until_min,
                    price_min=one.price_min,
                )
            )
            row.clear()

    for day in work_days:
        if day not in days or (row and days[day] != days[row[0]]):
            close()
        if day in days:
            row.append(day)
    close()
    return tuple(found)
