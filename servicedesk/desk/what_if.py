"""*What if*: more sites in an area, or a technician less, over a year with the company's own rates.

Everything that was assumed comes along in words; the answer is as good as they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import sqrt
from random import Random
from statistics import fmean

from servicedesk.desk.office import Desk
from servicedesk.desk.places import located, office_position
from servicedesk.desk.road_times import travel_between
from servicedesk.desk.windows import current_windows
from servicedesk.records import company_rows, period_rows, what_if_rows
from servicedesk.records import planning_rows as rows
from servicedesk.routes.service_time import DEFAULT_MIN
from servicedesk.routes.what_if import (
    MonthRange,
    Sites,
    Year,
    many_years,
    road_a_stop,
    spacing_with,
)
from servicedesk.values.position import Position
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

LOOK_BACK_DAYS = 365
N_YEARS = 30
SEED = 1
LEAST_SPACING_MIN = 3.0  # next door still means lids, a gate, a truck turned
# common practice, no source: where the company's own past says nothing
USUAL_ROAD_MIN, USUAL_STOPS, USUAL_CALLS, USUAL_WINDOW_DAYS = 15.0, 7.0, 0.35, 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """`more_sites` near a village ("": spread as those there are), without these technicians."""

    more_sites: int = 0
    near: str = ""
    without: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Twelve months as they would be now and then; `names` of the months from the first one.

    `assumed` are sentences; `hours_there_are` of a month with nobody off.
    """

    names: tuple[str, ...]
    now: tuple[MonthRange, ...]
    then: tuple[MonthRange, ...]
    hours_now: tuple[float, ...]
    hours_then: tuple[float, ...]
    n_years: int
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rates:
    year: Year
    spacing_min: float
    stops: float
    sites: dict[int, rows.SitePlace]
    n_covered: int
    names: tuple[str, ...]
    assumed: tuple[str, ...]


def what_if(
    desk: Desk,
    question: Question,
    *,
    n_years: int = N_YEARS,
    seed: int = SEED,
    progress: Progress = quiet,
) -> Answer:
    """A year from now, as the company is and as it would be. Reads only; equal seed, equal answer.

    Raises Trouble for a village nobody lives in, or if no technician would be left.
    """
    progress(0, 3)
    rates = _rates(desk)
    then, told = _changed(desk, rates, question)
    progress(1, 3)
    now_months = many_years(rates.year, n_years=n_years, chance=Random(seed))
    progress(2, 3)
    then_months = many_years(then, n_years=n_years, chance=Random(seed))
    progress(3, 3)
    order = list(dict.fromkeys(rates.year.month_of_day))  # as they come, the first one first
    return Answer(
        names=tuple(rates.names[n] for n in order),
        now=tuple(now_months[n] for n in order),
        then=tuple(then_months[n] for n in order),
        hours_now=tuple(_hours(rates.year)[n] for n in order),
        hours_then=tuple(_hours(then)[n] for n in order),
        n_years=n_years,
        assumed=(*rates.assumed, *told),
    )


def _hours(year: Year) -> tuple[float, ...]:
    days = [year.month_of_day.count(month) for month in range(12)]
    return tuple(n * year.day_min * year.n_technicians / 60 for n in days)


def _rates(desk: Desk) -> _Rates:
    since = desk.today - timedelta(days=LOOK_BACK_DAYS)
    with desk.store.read() as session:
        covered = rows.covered_systems(session, day=desk.today)
        sites = rows.site_places(session)
        team = company_rows.technicians(session, desk.today)
        inspection = what_if_rows.job_minutes(session, "inspection", since)
        callback = what_if_rows.job_minutes(session, "callback", since)
        n_drives, drive = what_if_rows.mean_drive_min(session, since)
        stops = what_if_rows.stops_a_day(session, since, desk.today)
        n_calls = period_rows.n_calls_since(session, desk.clock.instant(since, 0))
        first = period_rows.first_call_at(session)
        off = what_if_rows.days_off_since(session, since, desk.today)
    if not team:
        raise Trouble(say("There is no technician yet."), do=say("Write them in Set up."))
    n_sites = max(1, len({one.site_id for one in covered}))
    visits = sum(one.visits_a_year for one in covered) / n_sites if covered else 0.0
    days = _working_days(desk)
    windows = [
        (w.window.closes_on - w.window.opens_on).days for w in current_windows(desk)
        if w.window.closes_on > w.window.opens_on
    ]  # fmt: skip
    share = len(days) / 365
    window_days = round((fmean(windows) if windows else USUAL_WINDOW_DAYS) * share)
    past = min(LOOK_BACK_DAYS, (desk.today - desk.clock.day_of(first)).days) if first else 0
    calls = n_calls / n_sites * LOOK_BACK_DAYS / past if past >= 90 else USUAL_CALLS
    day_min = fmean(t.day_until_min - t.day_from_min - t.break_min for t in team)
    road = drive if n_drives >= 30 else USUAL_ROAD_MIN
    stops = stops or USUAL_STOPS
    far = _mean_far(desk, sites, {one.site_id for one in covered})
    spacing = max(LEAST_SPACING_MIN, road - 2 * far[0] / stops)
    # a longer or shorter way home from the last stop is part of the day, too
    a_stop = road + far[0] / stops
    km = a_stop * desk.company.road_speed_kmh / 60
    year = Year(
        month_of_day=tuple(day.month - 1 for day in days),
        day_min=day_min,
        n_technicians=len(team),
        sites=(Sites(n=n_sites, road_min=a_stop, road_km=km),),
        visits_a_year=visits,
        window_days=max(1, window_days),
        inspection_min=_mean_sd(inspection, "inspection"),
        calls_a_year=calls,
        answer_days=max(0.5, desk.company.response_hours / 24),
        call_min=_mean_sd(callback, "callback"),
        days_off=off * share / len(team),
    )
    return _Rates(
        year=year, spacing_min=spacing, stops=stops, sites=sites, n_covered=n_sites,
        names=_month_names(desk), assumed=_assumed(desk, year, road, n_drives, past),
    )  # fmt: skip


def _working_days(desk: Desk) -> list[date]:
    """The working days of the year that begins with the next month."""
    first = (desk.today.replace(day=1) + timedelta(days=32)).replace(day=1)
    until = first.replace(year=first.year + 1)
    n = (until - first).days
    return [d for d in (first + timedelta(days=k) for k in range(n)) if desk.works_on(d)]


def _month_names(desk: Desk) -> tuple[str, ...]:
    """January to December as they come in that year: "Nov 2026"."""
    days = _working_days(desk)
    first = {day.month: day for day in reversed(days)}
    return tuple(desk.formats.month(first.get(n)) for n in range(1, 13))


def _mean_sd(found: what_if_rows.JobMinutes, kind: str) -> tuple[float, float]:
    if found.n < 10:
        return float(DEFAULT_MIN[kind]), DEFAULT_MIN[kind] / 3
    mean = found.total / found.n
    return mean, sqrt(max(0.0, found.squares / found.n - mean * mean))


def _mean_far(desk: Desk, sites: dict[int, rows.SitePlace], of: set[int]) -> tuple[float, int]:
    """Mean minutes from the office to these sites, and how many were measured."""
    spots = located(desk, sites)
    positions = [spots[i].position for i in sorted(of) if i in spots][:400]
    return _far(desk, office_position(desk, spots), positions)


def _far(desk: Desk, home: Position, positions: Sequence[Position]) -> tuple[float, int]:
    if not positions:
        return 0.0, 0
    minutes = travel_between(desk, [home, *positions]).minutes[0][1:]
    return fmean(minutes), len(minutes)


def _changed(desk: Desk, rates: _Rates, question: Question) -> tuple[Year, list[str]]:
    """The year that is asked about, and what was assumed for it."""
    year, told = rates.year, []
    if question.without:
        left = year.n_technicians - len(set(question.without))
        if left < 1:
            raise Trouble(say("No technician would be left."), exit_code=2)
        year = replace(year, n_technicians=left)
        told.append(say_n("{n} technician less; the others do not work longer.",
                          "{n} technicians less; the others do not work longer.",
                          len(set(question.without))))  # fmt: skip
    if question.more_sites > 0:
        more, words = _more(desk, rates, question)
        year = replace(year, sites=(*year.sites, more))
        told.append(words)
    return year, told


def _more(desk: Desk, rates: _Rates, question: Question) -> tuple[Sites, str]:
    speed = desk.company.road_speed_kmh / 60
    if not question.near:
        old = rates.year.sites[0]
        return replace(old, n=question.more_sites), say(
            "{n} more sites, spread like those there are.", n=question.more_sites
        )
    there = [s for s in rates.sites.values()
             if s.locality.casefold() == question.near.strip().casefold()]  # fmt: skip
    if not there:
        names = sorted({s.locality for s in rates.sites.values() if s.locality})
        raise Trouble(
            say("No site lies in “{name}”.", name=question.near),
            do=say("Choose one of: {names}.", names=", ".join(names)),
            exit_code=2,
        )
    spots = located(desk, rates.sites)
    far, _ = _far(desk, office_position(desk, spots), [spots[s.id].position for s in there])
    spacing = max(LEAST_SPACING_MIN, spacing_with(
        rates.spacing_min, n_there=len(there), n_more=question.more_sites
    ))  # fmt: skip
    road = road_a_stop(far, stops_a_day=rates.stops, spacing_min=spacing)
    words = say(
        "{n} more sites near {name}, {far} from the office: {road} of road for each stop there.",
        n=question.more_sites, name=there[0].locality, far=desk.formats.minutes(round(far)),
        road=desk.formats.minutes(round(road)),
    )  # fmt: skip
    return Sites(n=question.more_sites, road_min=road, road_km=road * speed), words


def _assumed(desk: Desk, year: Year, road: float, n_drives: int, past: int) -> tuple[str, ...]:
    f = desk.formats
    own_road = say("from {n} drives of the last year", n=n_drives)
    own_calls = say("from the calls of the last {n} days", n=past)
    usual = say("a usual figure: too little of your own is known")
    return (
        say("{n} sites with {visits} inspections a year each, windows of {days} working days.",
            n=year.sites[0].n, visits=round(year.visits_a_year, 1), days=year.window_days),
        say("An inspection takes {a} in the mean, a callback {b}.",
            a=f.minutes(round(year.inspection_min[0])), b=f.minutes(round(year.call_min[0]))),
        say("{calls} callbacks a site and year ({source}), answered within {days} working days,"
            " before any inspection.", calls=round(year.calls_a_year, 2),
            source=own_calls if past >= 90 else usual, days=round(year.answer_days, 1)),
        say("{road} of road before each stop ({source}), and the way home.",
            road=f.minutes(round(road)), source=own_road if n_drives >= 30 else usual),
        say("{n} technicians, {hours} a day each, {off} working days off a year; nobody works"
            " longer.", n=year.n_technicians, hours=f.minutes(round(year.day_min)),
            off=round(year.days_off, 1)),
        say("Whoever is free takes what closes first; a stop may be finished the next morning."
            " Repairs, other work, storms, seasons and skills are not looked at."),
    )  # fmt: skip
