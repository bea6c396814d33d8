"""The rounds of a span of days, as they leave the house: files, calendars, the week on the wall."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.places import Located, located, office_position
from servicedesk.records import company_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.values.position import Position
from servicedesk.values.trouble import Trouble
from servicedesk.words import jobs as job_words
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanStop:
    """One stop. `position` is None where the place is only guessed; minutes after midnight."""

    visit_id: int
    uid: str
    revision: int
    site_id: int
    order: int
    address: str
    locality: str
    position: Position | None
    arrive_min: int | None
    begin_min: int | None
    leave_min: int | None
    what: str
    jobs: tuple[rows.JobRow, ...]
    is_told: bool
    is_held: bool
    is_done: bool
    promise_from_min: int | None
    promise_until_min: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanRound:
    """One crew's day; it begins and ends at `start`."""

    id: int
    uid: str
    day: date
    lead_id: int
    technician: str
    state: str
    handed_out_at: datetime | None
    leave_min: int | None
    home_min: int | None
    road_min: int | None
    start: Position
    stops: tuple[SpanStop, ...]


def rounds_of_span(
    desk: Desk, first: date, until: date, *, lead_ids: Collection[int] | None = None
) -> tuple[SpanRound, ...]:
    """The rounds from `first` until `until` (excluded), by day and technician's name.

    Only of `lead_ids` if given; a round without stops is one too. Three reads a day at most.
    """
    found: list[SpanRound] = []
    with desk.store.read() as session:
        sites = rows.site_places(session)
        spots = located(desk, sites)
        office = office_position(desk, spots)
        for n in range((until - first).days):
            day = first + timedelta(days=n)
            rounds = [
                one for one in rows.rounds_on(session, day)
                if lead_ids is None or one.lead_id in lead_ids
            ]  # fmt: skip
            if not rounds:
                continue
            people = {t.id: t for t in company_rows.technicians(session, day)}
            visits = rows.visits_of_day(session, day)
            gone = {v.site_id for v in visits} - set(sites)
            places = {**sites, **rows.site_places(session, gone)}
            made = [
                _round(one, people.get(one.lead_id), office, visits, places, spots)
                for one in rounds
            ]
            found += sorted(made, key=lambda one: (one.technician.casefold(), one.id))
    return tuple(found)


def week_of(day: date) -> tuple[date, date]:
    """Monday of the week of `day`, and the Monday after it (excluded)."""
    monday = day - timedelta(days=day.weekday())
    return monday, monday + timedelta(days=7)


def leads_named(desk: Desk, names: Collection[str], day: date) -> frozenset[int]:
    """Technicians by name or short name. Raises Trouble for a name that nobody bears."""
    with desk.store.read() as session:
        people = company_rows.technicians(session, day)
        found = set()
        for name in names:
            wanted = name.strip().casefold()
            these = [t.id for t in people if wanted in (t.name.casefold(), t.short_name.casefold())]
            if not these:
                raise Trouble(
                    say("No technician is called {name}.", name=name),
                    do=say("They are: {names}.", names=", ".join(t.name for t in people)),
                    exit_code=2,
                )
            found |= set(these)
    return frozenset(found)


def _round(
    row: rows.RoundRow,
    lead: Technician | None,
    office: Position,
    visits: list[rows.VisitRow],
    sites: dict[int, rows.SitePlace],
    spots: dict[int, Located],
) -> SpanRound:
    start = office
    if lead is not None and lead.base == "home" and lead.home_lat_deg is not None:
        start = Position(lead.home_lat_deg, lead.home_lon_deg or 0.0)
    own = [visit for visit in visits if visit.round_id == row.id]
    return SpanRound(
        id=row.id,
        uid=row.uid,
        day=row.day,
        lead_id=row.lead_id,
        technician=lead.name if lead is not None else say("unknown"),
        state=row.state,
        handed_out_at=row.handed_out_at,
        leave_min=row.leave_min,
        home_min=row.home_min,
        road_min=row.road_min,
        start=start,
        stops=tuple(
            _stop(n, one, sites.get(one.site_id), spots.get(one.site_id))
            for n, one in enumerate(own, 1)
        ),
    )


def _stop(
    order: int, visit: rows.VisitRow, site: rows.SitePlace | None, spot: Located | None
) -> SpanStop:
    kinds = dict.fromkeys(job_words.kind_text(job.kind) for job in visit.jobs)
    return SpanStop(
        visit_id=visit.id,
        uid=visit.uid,
        revision=visit.revision,
        site_id=visit.site_id,
        order=order,
        address=site.address if site else say("unknown"),
        locality=site.locality if site else "",
        position=spot.position if spot is not None and not spot.is_guessed else None,
        arrive_min=visit.arrive_min,
        begin_min=visit.begin_min,
        leave_min=visit.leave_min,
        what=", ".join(kinds),
        jobs=visit.jobs,
        is_told=visit.told,
        is_held=visit.held,
        is_done=visit.state == "done",
        promise_from_min=visit.promise_from_min,
        promise_until_min=visit.promise_until_min,
    )
