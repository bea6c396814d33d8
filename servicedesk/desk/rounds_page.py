"""The page of one day's rounds: the case, its stops in words, the week around it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean

from babel.dates import format_date

from servicedesk.desk.cached import cached
from servicedesk.desk.demand import Wanted, WantedJob
from servicedesk.desk.office import Desk
from servicedesk.desk.places import office_position
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.desk.planning import DayCase, day_case, nobody_works, places_for_stop
from servicedesk.desk.road_times import screen_credit
from servicedesk.desk.roads import roads_in_use
from servicedesk.records import company_rows
from servicedesk.records import planning_rows as rows
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.squeeze import SqueezePlace
from servicedesk.values.position import Position
from servicedesk.values.reason import Reason
from servicedesk.words import jobs as job_words
from servicedesk.words import say
from servicedesk.words.calls import symptoms
from servicedesk.words.reasons import reasons_text

N_OFFERS = 4
DAYS_KEPT = 2  # the one looked at, and the one it is held against
Kind = str  # "callback", "repair" or "inspection": what the left edge of a block tells


@dataclass(frozen=True, slots=True, kw_only=True)
class StopWords:
    """A stop as it is shown. `icon` and `tone` are of the look; `why` tells what waits there."""

    stop_id: str
    site_id: int
    address: str
    number: str  # house number, "" where the address has none
    street: str
    kind: Kind
    what: str
    why: str
    minutes: int
    icon: str
    tone: str
    position: Position
    is_guessed: bool
    is_made: bool
    is_held: bool


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A day of the week shown: stops placed, and the share of the shifts that is used (0..)."""

    day: date
    name: str  # "Thu"
    n_stops: int
    used: float


@dataclass(frozen=True, slots=True)
class Village:
    """A name for the map."""

    name: str
    position: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundsPage:
    """All that the page of a day shows.

    `state`: "none" (no rounds), "draft", "handed out", "changed" or "done".
    `names` are the words for crew and stop ids.
    """

    case: DayCase
    home: Position
    starts: Mapping[str, Position]  # crews that do not start at the office
    stops: Mapping[str, StopWords]
    names: Mapping[str, str]
    week: tuple[WeekDay, ...]
    villages: tuple[Village, ...]
    state: str
    nobody: str
    map_credit: str  # which driving times are in use, and whose roads they are


def rounds_page(desk: Desk, day: date) -> RoundsPage:
    """The page of a day, kept until something changes in the store or the roads. Reads only."""
    roads = roads_in_use(desk)
    key = ("rounds pages", desk.today, roads.about.key if roads else None)
    kept = cached(desk, key, dict[date, RoundsPage])
    if day not in kept:
        page = _page(desk, day)
        while len(kept) >= DAYS_KEPT:
            kept.pop(next(iter(kept)))
        kept[day] = page
    return kept[day]


def _page(desk: Desk, day: date) -> RoundsPage:
    case = day_case(desk, day)
    stops = {stop_id: _stop_words(desk, case, wanted) for stop_id, wanted in case.wanted.items()}
    names = {crew: t.short_name or t.name.split()[0] for crew, t in case.technicians.items()}
    return RoundsPage(
        case=case,
        home=office_position(desk, case.located),
        starts=_starts(case),
        stops=stops,
        names={**names, **{stop_id: words.address for stop_id, words in stops.items()}},
        week=_week(desk, day),
        villages=_villages(case),
        state=_state(case.rounds.values()),
        map_credit=screen_credit(desk),
        nobody="" if case.problem.crews else nobody_works(desk, day, case.off),
    )


def offers(page: RoundsPage, stop_id: str, plan: DayPlan | None = None) -> tuple[SqueezePlace, ...]:
    """At most four places for a stop: the cheapest that keep every promise, then, as a choice
    and not as a surprise, the best one that breaks a promise.
    """
    found = places_for_stop(page.case, stop_id, plan=plan)
    clean = [place for place in found if not place.promises_broken]
    broken = [place for place in found if place.promises_broken]
    kept = clean[: N_OFFERS - 1] if broken else clean[:N_OFFERS]
    return (*kept, *broken[: N_OFFERS - len(kept)])


def why_no_place(desk: Desk, page: RoundsPage, reasons: Iterable[Reason]) -> str:
    """Why a stop found no place, as one sentence; empty if nothing is known."""
    text = reasons_text(reasons, desk.formats, page.names)
    return text[:1].upper() + text[1:] + "." if text else ""


def write_day_papers(desk: Desk, day: date) -> tuple[str, tuple[str, ...]]:
    """Write the papers of a day beside the store: the folder and the names of the files.

    Raises Trouble if the folder cannot be written.
    """
    # papers are only needed when somebody prints: reportlab stays out of the start
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.sheets import day_papers

    folder = papers_folder(desk.store.place)
    papers = day_papers(desk, day, secrets=desk.company.secrets_on_paper)
    written = write_papers(papers, folder)
    return str(folder), tuple(path.name for path in written)


def _dated(desk: Desk, day: date, pattern: str) -> str:
    return str(format_date(day, pattern, locale=desk.formats.locale_name))


def split_address(address: str) -> tuple[str, str]:
    """House number and street: ("31", "Quarry Spur"); ("", "Pinder Chapel") without a number."""
    head, _, rest = address.strip().partition(" ")
    if rest and any(c.isdigit() for c in head):
        return head, rest
    return "", address.strip()


def _stop_words(desk: Desk, case: DayCase, wanted: Wanted) -> StopWords:
    site = case.demand.sites.get(wanted.site_id)
    address = site.address if site else say("unknown")
    number, street = split_address(address)
    lead = min(wanted.jobs, key=_pressing, default=None)
    kind = _kind(lead)
    spot = case.located[wanted.site_id]
    visit = wanted.visit
    return StopWords(
        stop_id=wanted.id,
        site_id=wanted.site_id,
        address=address,
        number=number,
        street=street,
        kind=kind,
        what=", ".join(dict.fromkeys(job_words.kind_text(job.kind) for job in wanted.jobs)),
        why=_why(desk, case, lead),
        minutes=wanted.service_min,
        icon={"callback": "bell", "repair": "owed", "inspection": "ahead"}[kind],
        tone={"callback": "plum", "repair": "moss", "inspection": "ochre"}[kind],
        position=spot.position,
        is_guessed=spot.is_guessed,
        is_made=visit is not None and visit.arrived_at is not None,
        is_held=visit is not None and visit.held,
    )


def _pressing(job: WantedJob) -> int:
    return {"callback": 0, "inspection": 2}.get(job.kind, 1)


def _kind(job: WantedJob | None) -> Kind:
    if job is None or job.kind == "inspection":
        return "inspection"
    return "callback" if job.kind == "callback" else "repair"


def _why(desk: Desk, case: DayCase, job: WantedJob | None) -> str:
    """The second line in *No day yet*: what waits, and until when."""
    if job is None:
        return ""
    if job.call is not None and job.call.promised_by_at is not None:
        by = job.call.promised_by_at
        return say(
            "callback, answer by {day} {time}",
            day=desk.formats.weekday(desk.clock.day_of(by)),
            time=desk.formats.time(desk.clock.minute_of(by)),
        )
    if job.call is not None:
        return say("callback, {what}", what=symptoms(job.call.symptoms).lower())
    if job.owed is not None:
        return say("owed: {what}", what=job.owed.what)
    if job.window is not None:
        return job_words.closes_text(job.window.window.closes_on, case.day, desk.formats)
    return job_words.job_title(job.kind, job.ordinal)


def _starts(case: DayCase) -> dict[str, Position]:
    return {
        crew: Position(t.home_lat_deg, t.home_lon_deg or 0.0)
        for crew, t in case.technicians.items()
        if t.base == "home" and t.home_lat_deg is not None
    }


def _state(rounds: Iterable[rows.RoundRow]) -> str:
    states = [row.state for row in rounds]
    if not states:
        return "none"
    if any(row.changed_since for row in rounds):
        return "changed"
    if all(state == "done" for state in states):
        return "done"
    return "draft" if "draft" in states else "handed out"


def _week(desk: Desk, day: date) -> tuple[WeekDay, ...]:
    """The working days of the week around `day`, and those with rounds, Monday first."""
    monday = day - timedelta(days=day.weekday())
    found = []
    with desk.store.read() as session:
        for one in (monday + timedelta(days=n) for n in range(7)):
            rounds = rows.rounds_on(session, one)
            if not desk.works_on(one) and not rounds and one != day:
                continue
            off = company_rows.days_off(session, one)
            people = company_rows.technicians(session, one)
            shifts = sum(
                t.day_until_min - t.day_from_min
                for t in people
                if t.id not in off and one.weekday() in t.working_days
            )
            ids = {row.id for row in rounds}
            visits = [v for v in rows.visits_of_day(session, one) if v.round_id in ids]
            out = sum(max(0, (r.home_min or 0) - (r.leave_min or 0)) for r in rounds)
            found.append(
                WeekDay(one, _dated(desk, one, "EEE"), len(visits), out / shifts if shifts else 0.0)
            )
    return tuple(found)


def _villages(case: DayCase) -> tuple[Village, ...]:
    """Villages with at least two located sites, at the middle of these."""
    groups: dict[str, list[Position]] = {}
    for site_id, site in case.demand.sites.items():
        spot = case.located[site_id]
        if site.locality and not spot.is_guessed:
            groups.setdefault(site.locality, []).append(spot.position)
    return tuple(
        Village(name, Position(fmean(p.lat_deg for p in at), fmean(p.lon_deg for p in at)))
        for name, at in sorted(groups.items())
        if len(at) >= 2
    )
