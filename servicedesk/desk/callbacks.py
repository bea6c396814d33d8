"""Calls after they were written: which wait, which came before, how they are answered."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.earlier import EarlierCall, earlier_calls
from servicedesk.desk.office import Desk
from servicedesk.desk.phones_said import phone_of
from servicedesk.records import call_rows, owed_rows, people_rows
from servicedesk.records.calls import Call
from servicedesk.records.rounds import Round
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from servicedesk.words import calls as words
from servicedesk.words import say

# forms find what came before a call beside the verbs that answer it
__all__ = [
    "CallLine",
    "EarlierCall",
    "answer_call",
    "drop_call",
    "earlier_calls",
    "open_calls",
    "place_call",
    "place_in",
    "recent_calls",
    "refuse_homeless",
    "reopen_call",
    "title_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallLine:
    """A call in the list of Phone. Instants are UTC; `minutes_left` is below zero when late.

    `visit`: the latest visit made or planned for it. `owed`: what we owe at the site.
    `n_earlier`: calls of this site ever, without this one.
    """

    id: int
    revision: int
    uid: str
    site_id: int | None
    title: str
    locality: str
    caller: str
    phone: str
    called_at: datetime
    symptoms: tuple[str, ...]
    symptom_text: str
    own_words: str
    priority: str
    promised_by_at: datetime | None
    minutes_left: int | None
    state: str
    taken_by: str
    visit: call_rows.CallVisit | None
    owed: tuple[str, ...]
    n_earlier: int
    event_id: int | None = None

    @property
    def is_late(self) -> bool:
        """Has the promise passed?"""
        return self.minutes_left is not None and self.minutes_left < 0


def open_calls(desk: Desk) -> tuple[CallLine, ...]:
    """Calls that wait, the oldest promise first (a fixed number of queries)."""
    with desk.store.read() as session:
        return _lines(desk, session, call_rows.waiting(session))


def recent_calls(desk: Desk, *, limit: int = 100) -> tuple[CallLine, ...]:
    """The latest calls that were answered or dropped, newest first."""
    with desk.store.read() as session:
        found = call_rows.calls(session, states=("answered", "dropped"), limit=limit)
        return _lines(desk, session, found)


def _lines(desk: Desk, session: Any, found: list[call_rows.CallRow]) -> tuple[CallLine, ...]:
    sites = {call.site_id for call in found if call.site_id is not None}
    visits = call_rows.visits_for(session, [call.id for call in found])
    owed: dict[int, tuple[str, ...]] = {}
    for one in owed_rows.owed(session, site_ids=sites):
        owed[one.site_id] = (*owed.get(one.site_id, ()), one.what)
    counts = call_rows.counts(session, sites)
    owners = people_rows.owners(session, sites, desk.today)
    now = desk.clock.now()
    lines = []
    for call in found:
        site = call.site_id or 0
        owner = owners.get(site)
        lines.append(
            CallLine(
                id=call.id,
                revision=call.revision,
                uid=call.uid,
                site_id=call.site_id,
                title=title_of(call),
                locality=call.locality or "",
                caller=call.caller or (owner.name if owner else ""),
                phone=call.caller_phone or phone_of(owner),
                called_at=call.called_at,
                symptoms=call.symptoms,
                symptom_text=words.symptoms(call.symptoms),
                own_words=call.own_words or "",
                priority=call.priority,
                promised_by_at=call.promised_by_at,
                minutes_left=_minutes(call.promised_by_at, now),
                state=call.state,
                taken_by=call.taken_by,
                visit=visits.get(call.id, (None,))[-1],
                owed=owed.get(site, ()),
                n_earlier=max(0, counts.get(site, 0) - (call.state != "dropped")),
                event_id=call.event_id,
            )
        )
    return tuple(lines)


def title_of(call: call_rows.CallRow) -> str:
    """How a call is named in a list: by its address, else as the caller said it."""
    texts = (call.address, call.where_said, call.caller, call.caller_phone)
    return next((text for text in texts if text), say("somebody"))


def _minutes(by_at: datetime | None, now: datetime) -> int | None:
    return None if by_at is None else int((by_at - now) / timedelta(minutes=1) // 1)


# --- answered, dropped, placed


def answer_call(desk: Desk, call_id: int, *, seen: int | None = None, how: str = "") -> Changed:
    """Close a call that was answered without a visit: helped on the phone, called back.

    `how` says what helped and stands with the call. Raises StaleEdit, or Trouble if it is closed.
    """
    place = _place(desk, call_id)
    with desk.store.change(desk.who, say("Answered the call from {place}", place=place)) as work:
        call = _open_call(work, call_id, seen)
        call.state = "answered"
        call.answered_at = desk.clock.now()
        if how.strip():
            call.answers = {**call.answers, "answered how": how.strip()}
    return work.changed


def drop_call(desk: Desk, call_id: int, *, why: str, seen: int | None = None) -> Changed:
    """Close a call that needs no answer, with the reason. A visit made only for it is dropped too.

    Raises WrongEntry without a reason, StaleEdit, or Trouble if the call is closed already.
    """
    if not why.strip():
        checking.refuse([Wrong("why", say("Say why the call is dropped."))])
    place = _place(desk, call_id)
    with desk.store.change(desk.who, say("Dropped the call from {place}", place=place)) as work:
        call = _open_call(work, call_id, seen)
        call.state = "dropped"
        call.answered_at = desk.clock.now()
        call.answers = {**call.answers, "dropped why": why.strip()}
        for visit, job, alone in _planned(work, call_id):
            _mark_round(work, visit)
            if alone:
                visit.state = "dropped"
            else:
                job.outcome = "could not"
                job.could_not = "no longer wanted"
    return work.changed


def reopen_call(desk: Desk, call_id: int, *, seen: int | None = None) -> Changed:
    """Open a closed call again."""
    place = _place(desk, call_id)
    with desk.store.change(
        desk.who, say("Opened the call from {place} again", place=place)
    ) as work:
        call = work.fresh(Call, call_id, seen=seen)
        call.state = "open"
        call.answered_at = None
    return work.changed


def place_call(desk: Desk, call_id: int, day: date | None, *, seen: int | None = None) -> Changed:
    """Give an open call a day (None: a visit without a day yet); rounds are the planner's.

    The callback joins a stop that is planned at the site that day, unless that one is kept apart;
    otherwise it becomes a stop of its own. A call that has a day already moves.

    Raises Trouble for a call without a site, a day that has passed or on which nobody works.
    """
    place = _place(desk, call_id)
    _refuse_day(desk, day)
    what = (
        say("Put {place} on the list without a day", place=place)
        if day is None
        else say("Placed {place} on {day}", place=place, day=desk.formats.weekday(day))
    )
    with desk.store.change(desk.who, what) as work:
        call = _open_call(work, call_id, seen)
        refuse_homeless(call)
        place_in(work, call, day)
    return work.changed


def place_in(work: Work, call: Call, day: date | None) -> Visit:
    """Inside a change: the stop that answers an open call on `day`, made or moved if need be."""
    planned = _planned(work, call.id)
    if not planned:
        visit = _stop_at(work, call, day)
        _mark_round(work, visit)
        work.add(
            Job(visit_id=visit.id, kind_of="callback", system_id=call.system_id, call_id=call.id)
        )
        return visit
    visit, job, alone = planned[0]
    if visit.planned_on == day:
        return visit
    _mark_round(work, visit)
    if alone:
        _to_day(visit, day)
        return visit
    other = _stop_at(work, call, day)
    job.visit_id = other.id
    return other


def _to_day(visit: Visit, day: date | None) -> None:
    """Another day: what was planned and promised for the old one does not hold any more."""
    visit.planned_on = day
    visit.round_id = None
    visit.place = None
    visit.arrive_min = None
    visit.begin_min = None
    visit.leave_min = None
    visit.drive_min = None
    visit.held = False
    visit.held_at_min = None
    visit.told = False
    visit.promise_from_min = None
    visit.promise_until_min = None


def _stop_at(work: Work, call: Call, day: date | None) -> Visit:
    """The stop at the site of a call on `day` that may take one more job, else a new one."""
    if day is not None:
        stop = call_rows.stop_to_join(work.session, call.site_id or 0, day)
        if stop is not None:
            return work.get(Visit, stop)
    return work.add(Visit(site_id=call.site_id, planned_on=day))


def _planned(work: Work, call_id: int) -> list[tuple[Visit, Job, bool]]:
    """Planned stops with a callback for this call; True: nothing else is to be done there."""
    return [
        (work.get(Visit, visit_id), work.get(Job, job_id), alone)
        for visit_id, job_id, alone in call_rows.planned_jobs(work.session, call_id)
    ]


def _mark_round(work: Work, visit: Visit) -> None:
    """A sheet that was handed out is no longer true."""
    if visit.round_id is None:
        return
    round_ = work.get(Round, visit.round_id)
    if round_.state == "handed out":
        round_.changed_since = True


def _open_call(work: Work, call_id: int, seen: int | None) -> Call:
    call = work.fresh(Call, call_id, seen=seen)
    if call.state != "open":
        raise Trouble(
            say("That call is closed already."),
            do=say("Open it again in Phone if it still waits."),
        )
    return call


def _place(desk: Desk, call_id: int) -> str:
    with desk.store.read() as session:
        found = call_rows.calls(session, call_ids=[call_id])
    if not found:
        raise Trouble(
            say("That call is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    return title_of(found[0])


def refuse_homeless(call: Call) -> None:
    """Raise Trouble for a call that nobody can drive to."""
    if call.site_id is None:
        raise Trouble(
            say("This caller is in no book yet, so nobody can drive there."),
            do=say("Make a site of the call first: an address is enough."),
        )


def _refuse_day(desk: Desk, day: date | None) -> None:
    """Raise Trouble for a day on which nobody can go."""
    if day is None:
        return
    if day < desk.today:
        raise Trouble(
            say("{day} has passed.", day=desk.formats.weekday(day)),
            do=say("Choose today or a later day."),
        )
    with desk.store.read() as session:
        on_call = call_rows.somebody_on_call(session, day)
    if not desk.works_on(day) and not on_call:
        holiday = desk.company.holidays.get(day)
        raise Trouble(
            say("Nobody works on {day}.", day=desk.formats.weekday(day)),
            means=holiday or "",
            do=say("Choose another day, or put somebody on call in Set up."),
        )
