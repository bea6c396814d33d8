"""Hours placed of the hours there are, by technician and week, usual callbacks set aside."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.demand import learned_times
from servicedesk.desk.office import Desk
from servicedesk.desk.period_draft import short_name
from servicedesk.desk.period_problem import CALL_ROAD_MIN, calls_a_day
from servicedesk.records import company_rows, period_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.words import say

WEEK = timedelta(days=7)
SHORT_CLASS = 3  # letters; a longer one is a word that says itself what it is


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekLoad:
    """One technician's week in minutes, work and road together.

    `there`: working hours less days off. `usual`: callbacks as usual, beyond those placed
    already; of days gone by none is set aside. `n_off`: working days off.
    """

    monday: date
    there: int
    inspections: int = 0
    repairs: int = 0
    callbacks: int = 0
    usual: int = 0
    n_off: int = 0

    @property
    def placed(self) -> int:
        """Everything that has its place, callbacks as usual left out."""
        return self.inspections + self.repairs + self.callbacks

    @property
    def free(self) -> int:
        """What is left of the week, never below 0."""
        return max(0, self.there - self.placed - self.usual)

    @property
    def share(self) -> float | None:
        """Placed and set aside, of the hours there are; None in a week away."""
        return (self.placed + self.usual) / self.there if self.there else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonWeeks:
    """A technician's weeks. `usual_week`: minutes of a week without days off."""

    technician_id: int
    name: str
    second: str
    usual_week: int
    weeks: tuple[WeekLoad, ...]


@dataclass(slots=True)
class _Sums:
    there: int = 0
    inspections: int = 0
    repairs: int = 0
    callbacks: int = 0
    usual: float = 0.0
    n_off: int = 0


_Key = tuple[int, date]


@dataclass(frozen=True, slots=True, kw_only=True)
class Staff:
    """What the hours rest on, so that a plan in the making can be shown in the same way.

    `placed` are the visits on rounds with the road of their round spread over them: technician,
    day, kinds of jobs, minutes.
    """

    first: date
    n_weeks: int
    today: date
    team: tuple[Technician, ...]
    licenses: Mapping[int, str]
    off: tuple[period_rows.OffRow, ...]
    shifts: Mapping[str, tuple[date, Technician]]
    days_of_week: Mapping[_Key, int]
    usual: Mapping[date, float]
    placed: tuple["PlacedVisit", ...]


@dataclass(frozen=True, slots=True)
class PlacedVisit:
    """A visit on a round: whose, when, what for, and its minutes with its share of the road."""

    technician_id: int
    day: date
    kinds: tuple[str, ...]
    minutes: float
    visit_id: int | None = None


def monday_of(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def staff_of(desk: Desk, first: date, n_weeks: int) -> Staff:
    """Who works when in `n_weeks` from the Monday `first`, and what is placed. Reads only."""
    until = first + n_weeks * WEEK
    with desk.store.read() as session:
        team = period_rows.everybody(session)
        off = period_rows.days_off_between(session, first, until)
        visits = period_rows.visits_on_rounds(session, first, until)
        rounds = period_rows.rounds_between(session, first, until)
        licenses = company_rows.licenses(session)
    shifts, days = _shifts(desk, first, until, team, off)
    here = [t for t in team if any(lead.id == t.id for _, lead in shifts.values())]
    times = learned_times(desk.store)
    return Staff(
        first=first,
        n_weeks=n_weeks,
        today=desk.today,
        team=tuple(here),
        licenses=_classes(licenses, desk.today),
        off=tuple(off),
        shifts=shifts,
        days_of_week=days,
        usual=_usual(shifts, calls_a_day(desk) * (times.minutes("callback", 0) + CALL_ROAD_MIN)),
        placed=tuple(_placed(visits, rounds)),
    )


def people_weeks(staff: Staff, placed: Iterable[PlacedVisit] | None = None) -> tuple[
    PersonWeeks, ...
]:  # fmt: skip
    """The weeks of everybody who works in them; `placed` instead of what is written."""
    sums: dict[_Key, _Sums] = {}
    for day, lead in staff.shifts.values():
        one = sums.setdefault((lead.id, monday_of(day)), _Sums())
        length = lead.day_until_min - lead.day_from_min - lead.break_min
        one.there += length
        if day > staff.today:
            one.usual += staff.usual.get(day, 0.0)
    for visit in staff.placed if placed is None else placed:
        one = sums.setdefault((visit.technician_id, monday_of(visit.day)), _Sums())
        _add(one, visit)
    return tuple(_person(staff, lead, sums) for lead in staff.team)


def _add(sums: _Sums, visit: PlacedVisit) -> None:
    minutes = round(visit.minutes)
    if "callback" in visit.kinds:
        sums.callbacks += minutes
    elif "inspection" in visit.kinds or not visit.kinds:
        sums.inspections += minutes
    else:
        sums.repairs += minutes


def _person(staff: Staff, lead: Technician, sums: Mapping[_Key, _Sums]) -> PersonWeeks:
    weeks = []
    length = lead.day_until_min - lead.day_from_min - lead.break_min
    for n in range(staff.n_weeks):
        monday = staff.first + n * WEEK
        one = sums.get((lead.id, monday), _Sums())
        working = staff.days_of_week.get((lead.id, monday), 0)
        weeks.append(
            WeekLoad(
                monday=monday,
                there=one.there,
                inspections=one.inspections,
                repairs=one.repairs,
                callbacks=one.callbacks,
                usual=max(0, round(one.usual) - one.callbacks),
                n_off=max(0, working - round(one.there / length)) if length > 0 else 0,
            )
        )
    usual = length * len(lead.working_days)
    hours = say("{n} h a week", n=round(usual / 60))
    license_class = staff.licenses.get(lead.id, "")
    if 0 < len(license_class) <= SHORT_CLASS:
        license_class = say("license {class_}", class_=license_class)
    parts = [hours, license_class]
    return PersonWeeks(
        technician_id=lead.id,
        name=short_name(lead),
        second=", ".join(part for part in parts if part),
        usual_week=usual,
        weeks=tuple(weeks),
    )


def _shifts(
    desk: Desk,
    first: date,
    until: date,
    team: Sequence[Technician],
    off: Sequence[period_rows.OffRow],
) -> tuple[dict[str, tuple[date, Technician]], dict[_Key, int]]:
    """Every day that somebody works, and by person and week the days they would without any off."""
    found: dict[str, tuple[date, Technician]] = {}
    days: dict[_Key, int] = {}
    for n in range((until - first).days):
        day = first + timedelta(days=n)
        for one in team:
            here = (one.from_on is None or one.from_on <= day) and (
                one.until_on is None or day < one.until_on
            )
            if not here or day.weekday() not in one.working_days:
                continue
            key = (one.id, monday_of(day))
            days[key] = days.get(key, 0) + 1
            away = any(o.technician_id == one.id and o.from_on <= day < o.until_on for o in off)
            if desk.works_on(day) and not away:
                found[f"{day.isoformat()}/{one.id}"] = (day, one)
    return found, days


def _usual(
    shifts: Mapping[str, tuple[date, Technician]], minutes_a_day: float
) -> dict[date, float]:
    """Minutes of callbacks to expect of each technician, by day: even shares of those at work."""
    n_at_work: dict[date, int] = {}
    for day, _ in shifts.values():
        n_at_work[day] = n_at_work.get(day, 0) + 1
    return {day: minutes_a_day / n for day, n in n_at_work.items()}


def _placed(
    visits: Iterable[rows.VisitRow], rounds: Iterable[rows.RoundRow]
) -> Iterable[PlacedVisit]:
    """Each visit with its work and an even share of the road of its round."""
    on_round: dict[int, list[rows.VisitRow]] = {}
    for visit in visits:
        if visit.round_id is not None:
            on_round.setdefault(visit.round_id, []).append(visit)
    for round_ in rounds:
        made = on_round.get(round_.id, [])
        for visit in made:
            work = (visit.leave_min or 0) - (visit.begin_min or 0)
            share = (round_.road_min or 0) / len(made)
            kinds = tuple(job.kind for job in visit.jobs)
            yield PlacedVisit(round_.lead_id, round_.day, kinds, work + share, visit.id)


def _classes(licenses: Iterable[company_rows.LicenseRow], today: date) -> dict[int, str]:
    """The license class that each technician holds today."""
    found: dict[int, str] = {}
    for one in licenses:
        if one.technician_id is not None and (one.valid_until is None or today < one.valid_until):
            found.setdefault(one.technician_id, one.license_class)
    return found
