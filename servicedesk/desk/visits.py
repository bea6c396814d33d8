"""A plain visit: a site, what to do there, on a day or as soon as a day is found."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.sites import address_of
from servicedesk.desk.skills import Staff, abilities, licenses_asked, staff_on
from servicedesk.desk.usual import VISIT_KINDS
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.duties.closings import ClosedDays, usable_spans
from servicedesk.records import company_rows, site_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.records.rounds import Round
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import Job, Visit
from servicedesk.values.span import Span
from servicedesk.words import say
from servicedesk.words.abilities import one_lacks
from servicedesk.words.jobs import kind_text


@dataclass(frozen=True, slots=True, kw_only=True)
class NewVisit:
    """A visit to plan. Without a day (`on`) it waits until one is found.

    `technician_id`: on a day it is held with them, otherwise a wish that the planner weighs;
    `held_at_min`: begins exactly then (minutes after midnight). `apart`: a stop of its own beside
    what is planned there that day. A callback stands on a call and owed work on what is owed;
    both are written where they belong, never here.
    """

    site_id: int
    on: date | None = None
    kind: str = "inspection"
    system_id: int | None = None
    technician_id: int | None = None
    held_at_min: int | None = None
    note: str = ""
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedVisit:
    """What was planned. `joined`: it went to a stop that was there. `notes`: worth knowing."""

    changed: Changed
    visit_id: int
    address: str
    joined: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Facts:
    """What is known of the site and the day."""

    site: site_rows.SiteHead
    systems: tuple[site_rows.SystemRow, ...]
    closed: Sequence[rows.ClosedRow]
    there: tuple[rows.VisitRow, ...]  # planned there that day
    windows: tuple[SiteWindow, ...]
    staff: Staff
    off: dict[int, str]


def plan_visit(desk: Desk, entry: NewVisit) -> PlannedVisit:
    """Plan a visit as one change that can be taken back.

    What is due the same day at the same site becomes one stop unless it is to stand apart.
    Raises WrongEntry for what cannot be (a day that has passed, nobody at work, the site closed,
    an inspection planned already), Trouble for a site that is not there.
    """
    facts = _facts(desk, entry)
    refuse(_wrong(desk, entry, facts))
    stop = None if entry.apart else next((v for v in facts.there if _takes_more(v)), None)
    address = facts.site.address
    with desk.store.change(desk.who, _words(desk, entry, address)) as work:
        visit = _visit(work, entry, stop)
        for job in _jobs(entry, facts):
            work.add(Job(visit_id=visit.id, **job))
    return PlannedVisit(
        changed=work.changed,
        visit_id=visit.id,
        address=address,
        joined=stop is not None,
        notes=tuple(_notes(desk, entry, facts)),
    )


def systems_there(desk: Desk, site_id: int) -> dict[int, tuple[str, ...]]:
    """The systems that stand at a site, each with the names that people know it by."""
    with desk.store.read() as session:
        systems = site_rows.systems(session, [site_id])
    return {
        s.id: tuple(name for name in (s.label, s.permit, str(s.id)) if name)
        for s in systems
        if s.ended_on is None
    }


def _facts(desk: Desk, entry: NewVisit) -> _Facts:
    with desk.store.read() as session:
        heads = site_rows.heads(session, [entry.site_id])
        address_of(heads, entry.site_id)
        systems = [s for s in site_rows.systems(session, [entry.site_id]) if s.ended_on is None]
        closed = rows.closed_spans(session, entry.site_id).get(entry.site_id, [])
        visits = [] if entry.on is None else rows.visits_of_day(session, entry.on)
        off = {} if entry.on is None else company_rows.days_off(session, entry.on)
    return _Facts(
        site=heads[entry.site_id],
        systems=tuple(systems),
        closed=closed,
        there=tuple(v for v in visits if v.site_id == entry.site_id),
        windows=current_windows(desk, site_id=entry.site_id),
        staff=staff_on(desk, entry.on or desk.today),
        off=off,
    )


def _takes_more(visit: rows.VisitRow) -> bool:
    return visit.state == "planned" and visit.arrived_at is None and not visit.kept_apart


# what is written


def _visit(work: Work, entry: NewVisit, stop: rows.VisitRow | None) -> Visit:
    """The stop that is there already, or a new one; a round handed out counts as changed."""
    if stop is None:
        visit = work.add(Visit(site_id=entry.site_id, planned_on=entry.on, kept_apart=entry.apart))
    else:
        visit = work.fresh(Visit, stop.id, seen=stop.revision)
        if visit.round_id is not None:
            round_ = work.get(Round, visit.round_id)
            round_.changed_since = round_.changed_since or round_.state == "handed out"
    if entry.note.strip():
        visit.note = "\n".join(line for line in (visit.note, entry.note.strip()) if line)
    if entry.technician_id is not None and entry.on is None:
        visit.wishes = {**(visit.wishes or {}), "technician_id": entry.technician_id}
    elif entry.technician_id is not None:
        visit.held = True
        visit.held_crew_id = entry.technician_id
        visit.held_at_min = entry.held_at_min
    return visit


def _jobs(entry: NewVisit, facts: _Facts) -> Iterable[dict[str, object]]:
    """An inspection looks at every system unless one is named; other work is done at one."""
    systems = [s.id for s in facts.systems if entry.system_id in {None, s.id}]
    if entry.kind != "inspection" or not systems:
        yield {"kind_of": entry.kind, "system_id": systems[0] if systems else None}
        return
    for system_id in systems:
        one = _window_of(entry, facts, system_id)
        window = one.window if one is not None else None
        yield {
            "kind_of": "inspection",
            "system_id": system_id,
            "contract_id": one.contract_id if one is not None else None,
            "ordinal": window.ordinal if window is not None else None,
            "window_from": window.opens_on if window is not None else None,
            "window_until": window.closes_on if window is not None else None,
        }


def _window_of(entry: NewVisit, facts: _Facts, system_id: int) -> SiteWindow | None:
    """The window that an inspection of this system would fill: the first open one that takes it."""
    for one in facts.windows:
        if one.system_id == system_id and not one.window.is_filled and _takes(one, entry.on):
            return one
    return None


def _takes(one: SiteWindow, on: date | None) -> bool:
    return on is None or one.window.accepts_from_on <= on < one.window.book_closes_on


# what stands in the way


def _wrong(desk: Desk, entry: NewVisit, facts: _Facts) -> list[Wrong]:
    wrong = [*_wrong_work(entry, facts), *_planned_already(desk, entry, facts)]
    if facts.site.ended_on is not None:
        wrong.append(Wrong("site_id", say("We no longer look after this site.")))
    elif facts.site.on_hold:
        wrong.append(Wrong("site_id", say("The site is on hold: nothing is planned there.")))
    if entry.on is not None:
        wrong += _wrong_day(desk, entry.on, facts)
    wrong += _wrong_person(desk, entry, facts)
    return wrong


def _wrong_work(entry: NewVisit, facts: _Facts) -> Iterable[Wrong]:
    if entry.kind not in VISIT_KINDS:
        kinds = ", ".join(kind_text(kind) for kind in VISIT_KINDS)
        yield Wrong("kind", say("Say what to do there: one of {kinds}.", kinds=kinds))
    if entry.system_id is None and entry.kind != "inspection" and len(facts.systems) > 1:
        names = ", ".join(s.label or s.permit or str(s.id) for s in facts.systems)
        yield Wrong(
            "system_id", say("Several systems stand there; say which: {names}.", names=names)
        )
    if entry.system_id is not None and entry.system_id not in {s.id for s in facts.systems}:
        yield Wrong("system_id", say("That system does not stand there."))


def _planned_already(desk: Desk, entry: NewVisit, facts: _Facts) -> Iterable[Wrong]:
    """Two inspections for one window are a slip: the one there can be moved."""
    if entry.kind != "inspection":
        return
    for one in facts.windows:
        named = entry.system_id in {None, one.system_id}
        if named and one.planned_visit_id is not None and _takes(one, entry.on):
            day = say("without a day")
            if one.planned_on is not None:
                day = desk.formats.day(one.planned_on, near=desk.today)
            yield Wrong(
                "kind", say("That inspection is planned already, {day}: move it there.", day=day)
            )
            return


def _wrong_day(desk: Desk, day: date, facts: _Facts) -> Iterable[Wrong]:
    shown = desk.formats.weekday(day)
    spans = [ClosedDays(Span(c.from_on, c.until_on), c.every_year) for c in facts.closed]
    days = facts.site.visiting_days
    if day < desk.today:
        yield Wrong("on", say("{day} has passed.", day=shown))
    elif not desk.works_on(day):
        name = desk.company.holidays.get(day) or say("not a working day")
        yield Wrong("on", say("Nobody works on {day}: {name}.", day=shown, name=name))
    elif spans and not usable_spans(day, day, spans):
        yield Wrong("on", say("The site is closed on {day}.", day=shown))
    elif days is not None and day.weekday() not in days:
        yield Wrong("on", say("The site may not be visited on that weekday."))


def _wrong_person(desk: Desk, entry: NewVisit, facts: _Facts) -> Iterable[Wrong]:
    if entry.held_at_min is not None and (entry.technician_id is None or entry.on is None):
        yield Wrong("held_at_min", say("A time is held with a technician on a day: name both."))
    if entry.technician_id is None:
        return
    who = next((t for t in facts.staff.team if t.id == entry.technician_id), None)
    if who is None:
        yield Wrong("technician_id", say("That technician is not with the company then."))
    elif entry.on is not None:
        yield from _wrong_for(desk, who, entry.on, entry.kind, facts)


def _wrong_for(desk: Desk, who: Technician, day: date, kind: str, facts: _Facts) -> Iterable[Wrong]:
    """A person on a day: at work, and with a license where the work needs one."""
    name, shown = who.short_name or who.name, desk.formats.weekday(day)
    if who.id in facts.off or day.weekday() not in who.working_days:
        yield Wrong("technician_id", say("{who} does not work on {day}.", who=name, day=shown))
        return
    lacks = licenses_asked([kind], facts.staff) - abilities(who, facts.staff, day)
    if lacks:
        yield Wrong("technician_id", one_lacks(name, lacks) + ".")


# words


def _words(desk: Desk, entry: NewVisit, address: str) -> str:
    if entry.on is None:
        return say("Planned a visit at {address}, no day yet", address=address)
    day = desk.formats.weekday(entry.on)
    return say("Planned a visit at {address}, {day}", address=address, day=day)


def _notes(desk: Desk, entry: NewVisit, facts: _Facts) -> Iterable[str]:
    """What one would want to know: an inspection that counts for nothing, a stop not on a round."""
    if entry.kind == "inspection" and facts.windows and entry.on is not None:
        systems = [s.id for s in facts.systems if entry.system_id in {None, s.id}]
        if any(_window_of(entry, facts, one) is None for one in systems):
            yield say("It counts for no inspection of the contract on that day.")
    if entry.on is not None:
        with desk.store.read() as session:
            planned = bool(rows.rounds_on(session, entry.on))
        if planned and not any(v.round_id is not None for v in facts.there):
            yield say("The rounds of that day stand already: give it a place there.")
