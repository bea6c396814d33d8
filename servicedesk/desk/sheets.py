"""The papers of a day: one route sheet a crew, one calendar file a technician."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from statistics import fmean
from typing import TYPE_CHECKING

from servicedesk.desk.day_wishes import day_wishes, wish_words
from servicedesk.desk.map_ground import map_ground
from servicedesk.desk.office import Desk
from servicedesk.desk.places import Located, located, office_position
from servicedesk.desk.road_times import legs_along, map_credit
from servicedesk.desk.sheet_cautions import cautions_of_the_day, parts_to_bring, stop_cautions
from servicedesk.desk.sheet_load import sheet_loads, with_picks
from servicedesk.desk.stop_digest import StopDigest, digests
from servicedesk.papers.route_sheet import SheetOptions, route_sheet, route_sheets
from servicedesk.papers.rows import (
    LoadItem,
    MapPlace,
    OwedWork,
    PastThing,
    RouteSheet,
    SheetJob,
    SheetStop,
)
from servicedesk.records import company_rows, sheet_rows
from servicedesk.records import planning_rows as rows
from servicedesk.trade.cautions import standing_cautions
from servicedesk.trade.symptoms import symptom_name
from servicedesk.values.position import Position
from servicedesk.words import jobs as job_words
from servicedesk.words import say
from servicedesk.words.calls import phone_text
from servicedesk.words.formats import Formats

if TYPE_CHECKING:
    from servicedesk.travel.map_ground import Ground

N_PAST = 3
LONGEST_NAME = 40  # letters of a name in a file's name: file systems end at 255 bytes


@dataclass(frozen=True, slots=True)
class Paper:
    """A file to write: its name and its bytes."""

    name: str
    data: bytes


@dataclass(frozen=True, kw_only=True)
class DayFacts:
    """What all papers of a day share: read once."""

    day: date
    visits: list[rows.VisitRow]
    sites: Mapping[int, rows.SitePlace]
    spots: Mapping[int, Located]
    home: Position
    notes: Mapping[int, sheet_rows.SiteSheet]
    past: Mapping[int, list[sheet_rows.PastJob]]
    owed: Mapping[int, list[sheet_rows.OwedRow]]
    calls: Mapping[int, sheet_rows.CallRow]
    secrets: Mapping[int, list[tuple[str, str]]]
    trucks: Mapping[int, str]
    names: Mapping[int, str]
    ordinals: Mapping[int, int]
    digests: Mapping[int, StopDigest]


def day_route_sheets(
    desk: Desk, day: date, lead_ids: Collection[int] | None = None, *, secrets: bool = False
) -> bytes:
    """The route sheets of a day (only of `lead_ids` if given) as one PDF."""
    sheets = day_sheets(desk, day, secrets=secrets, lead_ids=lead_ids)
    return route_sheets(sheets, desk.formats, _options(desk, secrets=secrets))


def _options(desk: Desk, *, secrets: bool) -> SheetOptions:
    is_a4 = desk.company.page_size == "a4"
    return SheetOptions(page="a4" if is_a4 else "letter", secrets=secrets)


def day_papers(desk: Desk, day: date, *, secrets: bool = False) -> list[Paper]:
    """All papers of a day: each crew's route sheet, all of them in one file, the calendars."""
    # it reads the day with what stands below
    from servicedesk.desk.calendars import day_calendars

    sheets = day_sheets(desk, day, secrets=secrets)
    options = _options(desk, secrets=secrets)
    papers = [
        Paper(
            f"route-{day}-{file_name(sheet.technician)}.pdf",
            route_sheet(sheet, desk.formats, options),
        )
        for sheet in sheets
    ]
    if len(sheets) > 1:
        papers.append(Paper(f"routes-{day}.pdf", route_sheets(sheets, desk.formats, options)))
    papers += day_calendars(desk, day)
    return named_apart(papers)


def named_apart(papers: Iterable[Paper]) -> list[Paper]:
    """The papers; where two technicians bear one name, the second one's file gets a number."""
    times: dict[str, int] = {}
    named = []
    for paper in papers:
        n = times[paper.name] = times.get(paper.name, 0) + 1
        stem, _, ending = paper.name.rpartition(".")
        named.append(paper if n == 1 else replace(paper, name=f"{stem}-{n}.{ending}"))
    return named


def file_name(name: str) -> str:
    """A name of a person or place as a piece of a file's name: "Lena Hobb" is "lena-hobb"."""
    kept = "".join(c if c.isalnum() else "-" for c in name.casefold()[:LONGEST_NAME])
    return "-".join(part for part in kept.split("-") if part) or "round"


def day_sheets(
    desk: Desk, day: date, *, secrets: bool = False, lead_ids: Collection[int] | None = None
) -> list[RouteSheet]:
    """The route sheets of a day's rounds that have stops, in the order of the rounds.

    Only of `lead_ids` if given.
    """
    with desk.store.read() as session:
        rounds = rows.rounds_on(session, day)
    shared = read_day(desk, day, with_secrets=secrets, with_digests=True)
    loads = sheet_loads(desk, day, lead_ids)
    sheets = []
    for round_ in rounds:
        if lead_ids is not None and round_.lead_id not in lead_ids:
            continue
        stops = [v for v in shared.visits if v.round_id == round_.id]
        if stops:
            sheet = _sheet(desk, shared, round_, stops, with_secrets=secrets)
            load = loads.get(round_.lead_id)
            sheets.append(with_picks(sheet, load) if load is not None else sheet)
    return sheets


def read_day(
    desk: Desk, day: date, *, with_secrets: bool = False, with_digests: bool = False
) -> DayFacts:
    """All that the papers of a day tell, each kind of record read once."""
    with desk.store.read() as session:
        visits = rows.visits_of_day(session, day)
        sites = rows.site_places(session)
        ids = {v.site_id for v in visits}
        call_ids = [j.call_id for v in visits for j in v.jobs if j.call_id is not None]
        contracts = rows.covered_systems(session, day=day)
        people = company_rows.technicians(session, day)
        shared = {
            "notes": sheet_rows.site_sheets(session, ids),
            "past": sheet_rows.past_jobs(session, ids, before=day),
            "owed": sheet_rows.owed_at(session, ids),
            "calls": sheet_rows.calls_by_id(session, call_ids),
            "secrets": sheet_rows.secrets_at(session, ids) if with_secrets else {},
            "trucks": company_rows.trucks(session),
        }
    spots = located(desk, sites)
    return DayFacts(
        day=day,
        visits=visits,
        sites=sites,
        spots=spots,
        home=office_position(desk, spots),
        names={t.id: t.name for t in people},
        ordinals={c.system_id: c.visits_a_year for c in contracts},
        digests=digests(desk, visits) if with_digests else {},
        **shared,  # type: ignore[arg-type]
    )


def _sheet(
    desk: Desk,
    shared: DayFacts,
    round_: rows.RoundRow,
    visits: list[rows.VisitRow],
    *,
    with_secrets: bool,
) -> RouteSheet:
    now_min = desk.clock.minute_of_day()
    shared_cautions = cautions_of_the_day(visits)
    others = [shared.names.get(i, "") for i in round_.crew if i != round_.lead_id]
    stops = tuple(
        _stop(desk, shared, n, visit, with_secrets=with_secrets, on_top=shared_cautions)
        for n, visit in enumerate(visits, start=1)
    )
    return RouteSheet(
        technician=shared.names.get(round_.lead_id, say("unknown")),
        day=shared.day,
        company=desk.company.name,
        phone=desk.company.phone,
        printed_on=desk.today,
        printed_min=now_min,
        leave_home_min=round_.leave_min or 0,
        home_min=round_.home_min or 0,
        road_min=round_.road_min or 0,
        stops=stops,
        truck=shared.trucks.get(round_.truck_id or 0, ""),
        with_whom=", ".join(name for name in others if name),
        load=_load(shared, visits),
        cautions=(*standing_cautions(), *shared_cautions),
        start=shared.home,
        places=_villages(shared),
        legs=(legs := _legs(desk, shared, stops)),
        map_credit=map_credit(desk, has_straight=any(len(leg) == 2 for leg in legs)),
        ground=_ground(desk),
        metric=desk.company.units == "si",
        invented=desk.company.invented_note,
        changed=(say("Changed since it was handed out: ask the office."),)
        if round_.changed_since
        else (),
    )


def _ground(desk: Desk) -> "Ground | None":
    found = map_ground(desk)
    return None if found is None else found.ground


def _legs(
    desk: Desk, shared: DayFacts, stops: tuple[SheetStop, ...]
) -> tuple[tuple[Position, ...], ...]:
    """The drives of the day along the roads, from home to home; none without roads."""
    known = [stop.position for stop in stops if stop.position is not None]
    return legs_along(desk, [shared.home, *known, shared.home]) if known else ()


def _stop(
    desk: Desk,
    shared: DayFacts,
    n: int,
    visit: rows.VisitRow,
    *,
    with_secrets: bool,
    on_top: tuple[str, ...],
) -> SheetStop:
    site = shared.sites.get(visit.site_id)
    notes = shared.notes[visit.site_id]
    spot = shared.spots.get(visit.site_id)
    arrive = visit.arrive_min if visit.arrive_min is not None else desk.company.day_from_min
    begin = visit.begin_min if visit.begin_min is not None else arrive
    digest = shared.digests.get(visit.id)
    secrets = tuple(f"{what}: {value}" for what, value in shared.secrets.get(visit.site_id, ()))
    return SheetStop(
        order=n,
        arrival_min=arrive,
        start_min=begin if begin > arrive else None,
        leave_min=visit.leave_min if visit.leave_min is not None else begin,
        promise_from_min=visit.promise_from_min,
        promise_until_min=visit.promise_until_min,
        address=site.address if site else say("unknown"),
        locality=site.locality if site else "",
        customer=site.owner if site else "",
        jobs=tuple(_job(desk, shared, job) for job in visit.jobs),
        access=tuple(
            t for t in (_wish(desk, visit), notes.access_note, notes.gate_note, *_keys(notes)) if t
        ),
        lids=notes.lids_note,
        dogs=notes.dogs_note,
        visiting_hours=_hours(desk.formats, site),
        call_before=say(
            "Ring before you come: {phone}",
            phone=phone_text(notes.phone, notes.phone_e164) or say("no number"),
        )
        if notes.call_before
        else "",
        place_guessed=spot.is_guessed if spot else True,
        position=spot.position if spot else None,
        past=tuple(_past(p) for p in shared.past.get(visit.site_id, ())[:N_PAST]),
        owed=tuple(OwedWork(_owed_text(o), o.since_on) for o in _other_owed(shared, visit)),
        notes=tuple(t for t in (notes.note, _hold_text(notes)) if t),
        came_back=digest.came_back if digest is not None else "",
        untested=digest.first if digest is not None else "",
        cautions=stop_cautions(visit, digest, on_top),
        bring=parts_to_bring((o.needs for o in shared.owed.get(visit.site_id, ())), digest),
        secrets=secrets if with_secrets else None,
    )


def _wish(desk: Desk, visit: rows.VisitRow) -> str:
    """What the customer asked of this visit."""
    words = wish_words(day_wishes(visit.wishes), desk.formats)
    return say("Asked for: {words}", words=words) if words else ""


def _keys(notes: sheet_rows.SiteSheet) -> Iterable[str]:
    return (say("Key: {label}", label=label) for label in notes.keys)


def _hold_text(notes: sheet_rows.SiteSheet) -> str:
    return say("On hold for unpaid work: ask the office first.") if notes.on_hold else ""


def _hours(formats: Formats, site: rows.SitePlace | None) -> str:
    if site is None or (site.visiting_from_min is None and site.visiting_until_min is None):
        return ""
    if site.visiting_until_min is None:
        return say("after {time}", time=formats.time(site.visiting_from_min or 0))
    if site.visiting_from_min is None:
        return say("until {time}", time=formats.time(site.visiting_until_min))
    return say(
        "{a} to {b}",
        a=formats.time(site.visiting_from_min),
        b=formats.time(site.visiting_until_min),
    )


def _other_owed(shared: DayFacts, visit: rows.VisitRow) -> list[sheet_rows.OwedRow]:
    """Owed work that is not itself a job of this visit."""
    own = {job.owed_id for job in visit.jobs}
    return [o for o in shared.owed.get(visit.site_id, ()) if o.id not in own]


def _owed_text(owed: sheet_rows.OwedRow) -> str:
    if owed.waits_for and owed.waits_for != "day":
        return say("{what} (waits for {why})", what=owed.what, why=owed.waits_for)
    return owed.what


def _past(past: sheet_rows.PastJob) -> PastThing:
    head = job_words.kind_text(past.kind)
    if past.outcome != "done":
        head = f"{head}, {job_words.outcome_text(past.outcome, past.could_not)}"
    found = job_words.beyond_reason(past.found, past.could_not)
    said = ". ".join(t.strip().rstrip(".") for t in (found, past.did) if t.strip())
    return PastThing(past.on, f"{head}: {said}" if said else head)


def _job(desk: Desk, shared: DayFacts, job: rows.JobRow) -> SheetJob:
    several = [n for n in shared.notes.values() if any(s == job.system_id for s, _ in n.systems)]
    label = ""
    if several and len(several[0].systems) > 1:
        label = dict(several[0].systems).get(job.system_id or 0, "")
    title = job_words.job_title(job.kind, job.ordinal, shared.ordinals.get(job.system_id or 0))
    if label:
        title = say("{job}, {system}", job=title, system=label)
    return SheetJob(kind=title, why=why_text(desk, shared, job), write_up=job.kind != "inspection")


def why_text(desk: Desk, shared: DayFacts, job: rows.JobRow) -> str:
    """Why a job is on the round: the call, since when it is owed, when its window closes."""
    if job.call_id is not None and job.call_id in shared.calls:
        return _call_text(desk, shared.calls[job.call_id])
    if job.owed_id is not None:
        for owed in (o for found in shared.owed.values() for o in found):
            if owed.id == job.owed_id:
                return say(
                    "{what}, owed since {day}",
                    what=owed.what,
                    day=desk.formats.day(owed.since_on, near=shared.day),
                )
    if job.window_until is not None:
        return job_words.closes_text(job.window_until, shared.day, desk.formats)
    return ""


def _call_text(desk: Desk, call: sheet_rows.CallRow) -> str:
    called = desk.formats.weekday(desk.clock.day_of(call.called_at))
    seen = ", ".join(symptom_name(s) for s in call.symptoms)
    # the sentence around the words has its own period
    said = call.own_words.strip().rstrip(".")
    words = f"“{said}”" if said else ""
    reported = ". ".join(part for part in (seen, words) if part)
    if call.promised_by_at is not None:
        by_day = desk.clock.day_of(call.promised_by_at)
        by_time = desk.formats.time(desk.clock.minute_of(call.promised_by_at))
        return say(
            "Called {day}: {what}. Promised by {by} {time}.",
            day=called,
            what=reported or say("no words"),
            by=desk.formats.weekday(by_day),
            time=by_time,
        )
    return say("Called {day}: {what}.", day=called, what=reported or say("no words"))


def _load(shared: DayFacts, visits: list[rows.VisitRow]) -> tuple[LoadItem, ...]:
    """What owed work and troubles at these stops need, each once with how many stops want it."""
    needs: dict[str, int] = {}
    for visit in visits:
        ready = (
            owed.needs
            for owed in shared.owed.get(visit.site_id, ())
            if owed.waits_for in {"", "day", "part"}
        )
        for part in parts_to_bring(ready, shared.digests.get(visit.id)):
            needs[part] = needs.get(part, 0) + 1
    return tuple(LoadItem(name, str(n) if n > 1 else "") for name, n in needs.items())


def _villages(shared: DayFacts) -> tuple[MapPlace, ...]:
    """Villages with at least two located sites, at the middle of these."""
    groups: dict[str, list[Position]] = {}
    for site_id, site in shared.sites.items():
        spot = shared.spots[site_id]
        if site.locality and not spot.is_guessed:
            groups.setdefault(site.locality, []).append(spot.position)
    return tuple(
        MapPlace(name, Position(fmean(p.lat_deg for p in spots), fmean(p.lon_deg for p in spots)))
        for name, spots in sorted(groups.items())
        if len(spots) >= 2
    )
