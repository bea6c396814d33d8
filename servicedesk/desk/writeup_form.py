"""What the form of a visit shows before a word is written, and the stops of a round to write up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_checks import KINDS, JobTrouble, troubles_of
from servicedesk.desk.writeup_findings import said_of
from servicedesk.desk.writeup_parts import PartsHere, parts_here
from servicedesk.records import (
    finding_rows,
    part_line_rows,
    planning_rows,
    sheet_rows,
    writeup_rows,
)
from servicedesk.trade.cautions import cautions_for_jobs, standing_cautions
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.calls import symptoms
from servicedesk.words.jobs import job_title


@dataclass(frozen=True, kw_only=True)
class VisitForm:
    """Everything the form shows of one visit. `cautions` are whole texts, never shortened.

    `equipment` by system; `earlier` the readings before by (system, number), newest first;
    `troubles` what is asked of the jobs that are about one, `findings` what is stored, by job.
    """

    written: writeup_rows.WrittenVisit
    jobs: tuple[writeup_rows.WrittenJob, ...]
    titles: Mapping[int, str]  # by job
    site: planning_rows.SitePlace
    sheet: sheet_rows.SiteSheet
    owed: tuple[sheet_rows.OwedRow, ...]  # open, or settled by this visit
    begun: tuple[writeup_rows.OwedBegun, ...]  # what an earlier write-up of the visit left owed
    settled: frozenset[int]  # of those: by this visit
    past: tuple[sheet_rows.PastJob, ...]
    calls: Mapping[int, sheet_rows.CallRow]
    earlier: Mapping[tuple[int, str], list[writeup_rows.EarlierReading]]
    technicians: Mapping[int, str]
    equipment: Mapping[int, frozenset[str]]
    parts: PartsHere
    cautions: tuple[str, ...]
    arrived_min: int | None  # as written, else as planned
    left_min: int | None
    day: date
    troubles: Mapping[int, JobTrouble] = field(default_factory=dict)
    findings: Mapping[int, Mapping[str, str]] = field(default_factory=dict)

    @property
    def is_done(self) -> bool:
        """Was it written up before?"""
        return self.written.visit.state == "done"


def visit_form(desk: Desk, visit_id: int) -> VisitForm:
    """The form of one visit. Raises Trouble if it is not there (any more)."""
    with desk.store.read() as session:
        written = writeup_rows.written_visit(session, visit_id)
        if written is None:
            raise Trouble(say("That visit is not in the store any more."))
        visit = written.visit
        jobs = writeup_rows.written_jobs(session, visit_id)
        site_id = visit.site_id
        day = visit.planned_on or desk.today
        systems = [job.system_id for job in jobs if job.system_id is not None]
        calls = sheet_rows.calls_by_id(session, [j.call_id for j in visit.jobs if j.call_id])
        sheet = sheet_rows.site_sheets(session, [site_id])[site_id]
        arrived, left = _times(desk, visit)
        apart = part_line_rows.apart_from_form(session, visit_id)
        rows_begun = writeup_rows.owed_begun_rows(session, visit_id)
        begun = tuple(one for one in rows_begun if one.id not in apart)
        owed = writeup_rows.owed_open_or_settled_by(session, site_id, visit_id)
        own = {one.id for one in begun} | writeup_rows.owed_of_jobs(session, visit_id) | apart
        rows = [r for r in finding_rows.trouble_rows(session, visit_id) if r.kind in KINDS]
        stored = finding_rows.found_at_visit(session, visit_id)
        form = VisitForm(
            written=written,
            jobs=tuple(jobs),
            titles=_titles(visit, calls, dict(sheet.systems)),
            site=planning_rows.site_places(session, [site_id])[site_id],
            sheet=sheet,
            owed=tuple(one for one in owed if one.id not in own),
            begun=begun,
            settled=frozenset(writeup_rows.owed_settled_by(session, visit_id) - apart),
            past=tuple(sheet_rows.past_jobs(session, [site_id], before=day).get(site_id, ())[:5]),
            calls=calls,
            earlier=writeup_rows.earlier_readings(
                session, systems, before=desk.clock.instant(day, 0)
            ),
            technicians=writeup_rows.technician_names(session),
            equipment=writeup_rows.equipment_of(session, systems),
            parts=parts_here(desk, session, visit_id, site_id, day),
            cautions=(*cautions_for_jobs(job.kind for job in jobs), *standing_cautions()),
            arrived_min=arrived,
            left_min=left,
            day=day,
        )
    return _with_troubles(desk, form, rows, stored) if rows else form


def _with_troubles(
    desk: Desk,
    form: VisitForm,
    rows: Sequence[finding_rows.JobTroubleRow],
    stored: Mapping[int | None, Mapping[str, str | None]],
) -> VisitForm:
    known = knowledge_of(desk)
    found = {row.job_id: said_of(stored.get(row.system_id, {}), known) for row in rows}
    return replace(form, troubles=troubles_of(desk, rows, form.day, found), findings=found)


def _times(desk: Desk, visit: planning_rows.VisitRow) -> tuple[int | None, int | None]:
    if visit.arrived_at is not None and visit.left_at is not None:
        return desk.clock.minute_of(visit.arrived_at), desk.clock.minute_of(visit.left_at)
    begin = visit.begin_min if visit.begin_min is not None else visit.arrive_min
    return begin, visit.leave_min


def _titles(
    visit: planning_rows.VisitRow,
    calls: Mapping[int, sheet_rows.CallRow],
    labels: Mapping[int, str],
) -> dict[int, str]:
    found = {}
    for job in visit.jobs:
        title = job_title(job.kind, job.ordinal)
        call = calls.get(job.call_id) if job.call_id is not None else None
        if call is not None and call.symptoms:
            title = f"{title}: {symptoms(call.symptoms)}"
        label = labels.get(job.system_id or 0, "")
        found[job.id] = f"{title} ({label})" if label and len(labels) > 1 else title
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundStop:
    """A stop in the list of a round to write up."""

    visit_id: int
    place: int
    site_id: int
    address: str
    kinds: tuple[str, ...]
    arrive_min: int | None
    leave_min: int | None
    is_done: bool


def stops_of_round(desk: Desk, round_id: int, day: date) -> tuple[RoundStop, ...]:
    """The stops of a round in the order of its sheet."""
    with desk.store.read() as session:
        visits = [v for v in planning_rows.visits_of_day(session, day) if v.round_id == round_id]
        sites = planning_rows.site_places(session, [v.site_id for v in visits])
    return tuple(_stop(v, sites[v.site_id], n) for n, v in enumerate(visits, start=1))


def stop_of_visit(desk: Desk, visit_id: int) -> tuple[RoundStop, ...]:
    """One visit as a list of one stop, for a visit that is on no round."""
    form = visit_form(desk, visit_id)
    return (_stop(form.written.visit, form.site, 1),)


def _stop(visit: planning_rows.VisitRow, site: planning_rows.SitePlace, n: int) -> RoundStop:
    return RoundStop(
        visit_id=visit.id,
        place=visit.place or n,
        site_id=visit.site_id,
        address=site.address,
        kinds=tuple(job.kind for job in visit.jobs),
        arrive_min=visit.begin_min if visit.begin_min is not None else visit.arrive_min,
        leave_min=visit.leave_min,
        is_done=visit.state == "done",
    )
