"""Trouble threads for people: which calls are one trouble, what was tried, does the fix hold?

`trouble.threads` decides; a person's word (`join_calls`, `split_call`) is a stored fact it reads.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import product

from servicedesk.desk.office import Desk
from servicedesk.desk.thread_facts import Facts, Place, facts_of, fleet_facts, quiet_model
from servicedesk.desk.visit_words import visit_line
from servicedesk.records import thread_rows
from servicedesk.records.calls import ThreadMark
from servicedesk.records.store import Changed
from servicedesk.trouble.quiet import QuietModel
from servicedesk.trouble.threads import Thread, ThreadCall, threads
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.calls import symptom, symptoms
from servicedesk.words.threads import chance_text, quiet_text, span_text


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedLine:
    """What one visit tried: its day, who went, what came of it in words."""

    visit_id: int
    on: date
    day: str
    who: str
    did: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadCallLine:
    """A call of a thread. `quiet_days`: from the last visit for it to the thread's next call.

    To today where none came (`still_quiet`); None where nobody went.
    """

    call_id: int
    on: date
    day: str
    symptom_text: str
    own_words: str
    tried: tuple[TriedLine, ...]
    quiet_days: int | None
    still_quiet: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TroubleThread:
    """A thread with everything in words; the figures stand in `thread`, calls oldest first.

    `name`: the leading symptom. `span`: "5 calls in 23 months". `quiet`: "quiet 59 days since it
    was reset". `chance`: "45% that it holds; 90% on Feb 3, 2028 if it stays quiet". `by_hand`: ""
    where no person said anything. `last_fix`: the last visit that did anything since the last call.
    """

    site_id: int
    system_id: int | None
    address: str
    thread: Thread
    name: str
    span: str
    quiet: str
    chance: str
    by_hand: str
    calls: tuple[ThreadCallLine, ...]
    last_fix: TriedLine | None


def threads_of_site(desk: Desk, site_id: int) -> tuple[TroubleThread, ...]:
    """Threads of a site, the one that called last first (a fixed number of queries)."""
    facts, model = facts_of(desk, [site_id]), quiet_model(desk)
    found = [
        _view(desk, facts, place, thread)
        for place in facts.calls
        for thread in facts.threads_at(place, desk.today, model)
    ]
    return tuple(sorted(found, key=_latest, reverse=True))


def threads_of_system(desk: Desk, site_id: int, system_id: int) -> tuple[TroubleThread, ...]:
    """Threads of one system of a site, the one that called last first."""
    return tuple(t for t in threads_of_site(desk, site_id) if t.system_id == system_id)


def thread_of_call(desk: Desk, call_id: int) -> TroubleThread | None:
    """The thread of a call; None for one under an event, dropped, or in no book."""
    site_id = _site_of(desk, call_id)
    if site_id is None:
        return None
    return next((t for t in threads_of_site(desk, site_id) if t.thread.has(call_id)), None)


def open_threads(desk: Desk, *, least_calls: int = 2) -> tuple[TroubleThread, ...]:
    """Threads of the whole fleet that have not ended, most calls first, then the latest.

    A fixed number of queries, whatever the fleet.
    """
    facts, model = fleet_facts(desk), quiet_model(desk)
    wanted = [
        place
        for place, calls in facts.calls.items()
        if len(calls) >= least_calls
        and any(t.n >= least_calls for t in _open_at(desk, facts, place, model))
    ]
    told = facts_of(desk, {site_id for site_id, _ in wanted})
    found = [
        _view(desk, told, place, thread)
        for place in wanted
        for thread in _open_at(desk, told, place, model)
        if thread.n >= least_calls
    ]
    return tuple(sorted(found, key=lambda t: (t.thread.n, *_latest(t)), reverse=True))


def _open_at(desk: Desk, facts: Facts, place: Place, model: QuietModel) -> list[Thread]:
    return [t for t in facts.threads_at(place, desk.today, model) if t.is_open]


def thread_of_new_call(
    desk: Desk, site_id: int, symptoms: Iterable[str], *, but: int | None = None
) -> TroubleThread | None:
    """The thread that a call of today with these symptoms would belong to, as it stands without it.

    `but`: the call that is being written, where it is in the store already. None: it would be new.
    """
    facts, model = facts_of(desk, [site_id]), quiet_model(desk)
    new = ThreadCall(call_id=but or 0, on=desk.today, symptoms=tuple(symptoms), is_waiting=True)
    found: list[TroubleThread] = []
    for place, every in facts.calls.items():
        calls = tuple(call for call in every if call.call_id != but)
        marks = facts.marks_of(every)
        with_it = threads((*calls, new), marks, facts.knowledge, on=desk.today, model=model)
        mine = next(t for t in with_it if t.has(new.call_id))
        before = threads(calls, marks, facts.knowledge, on=desk.today, model=model)
        found += (
            _view(desk, facts, place, thread)
            for thread in before
            if any(mine.has(call.call_id) for call in thread.calls)
        )
    return max(found, key=_latest, default=None)


def _latest(one: TroubleThread) -> tuple[date, int]:
    return one.thread.last_on, one.thread.calls[-1].call_id


def _site_of(desk: Desk, call_id: int) -> int | None:
    with desk.store.read() as session:
        return thread_rows.site_of_call(session, call_id)


# --- in words


def _view(desk: Desk, facts: Facts, place: Place, thread: Thread) -> TroubleThread:
    lines = tuple(_call_line(desk, facts, thread, n) for n in range(thread.n))
    since = thread.quiet.since
    last = [t for line in lines for t in line.tried if t.on == since]
    return TroubleThread(
        site_id=place[0],
        system_id=place[1],
        address=facts.rows[thread.calls[0].call_id].address,
        thread=thread,
        name=symptom(thread.lead) if thread.lead else say("no symptom noted"),
        span=span_text(thread.n, (thread.last_on - thread.started_on).days),
        quiet=quiet_text(thread.quiet, desk.formats),
        chance=chance_text(thread.quiet, desk.formats, desk.today),
        by_hand=_by_hand(thread),
        calls=lines,
        last_fix=last[-1] if last and thread.quiet.fix != "nobody" else None,
    )


def _call_line(desk: Desk, facts: Facts, thread: Thread, n: int) -> ThreadCallLine:
    call = thread.calls[n]
    row = facts.rows[call.call_id]
    told = {visit.visit_id: visit for visit in facts.visits.get(call.call_id, ())}
    tried = tuple(
        TriedLine(
            visit_id=one.visit_id,
            on=one.on,
            day=desk.formats.day(one.on, near=desk.today),
            who=told[one.visit_id].technician,
            did=visit_line(told[one.visit_id]),
        )
        for one in call.visits
    )
    later = thread.calls[n + 1].on if n + 1 < thread.n else None
    seen = max((one.on for one in tried), default=None)
    return ThreadCallLine(
        call_id=call.call_id,
        on=call.on,
        day=desk.formats.day(call.on, near=desk.today),
        symptom_text=symptoms(call.symptoms),
        own_words=row.own_words,
        tried=tried,
        quiet_days=None if seen is None else max(0, ((later or desk.today) - seen).days),
        still_quiet=later is None,
    )


def _by_hand(thread: Thread) -> str:
    said = [
        say("joined by hand") if thread.is_joined else "",
        say("split by hand") if thread.is_split else "",
    ]
    return ", ".join(one for one in said if one)


# --- a person's word


def join_calls(desk: Desk, call_id: int, other_id: int, why: str = "") -> Changed:
    """Write that two calls are about the same trouble; their threads become one.

    Raises Trouble for calls of two sites or systems, of an event, or of one thread already.
    """
    facts, place, mine = _found(desk, call_id)
    _, other_place, theirs = _found(desk, other_id)
    if place != other_place:
        raise Trouble(
            say("These calls are about two systems, and a trouble has one."),
            do=say("Write in the call which system it is about."),
        )
    if mine.has(other_id):
        raise Trouble(say("These calls are one trouble already."))
    apart = {
        frozenset((mark.call_id, mark.other_id)): not mark.joined
        for mark in facts.marks_of(mine.calls)
    }
    pairs = [(call_id, other_id)]
    for one, other in product(mine.calls, theirs.calls):
        pair = (one.call_id, other.call_id)
        if pair != pairs[0] and apart.get(frozenset(pair)):
            pairs.append(pair)
    what = say(
        "{place}: the calls of {day} and {other} are one trouble",
        place=facts.rows[call_id].address,
        day=_day(desk, mine, call_id),
        other=_day(desk, theirs, other_id),
    )
    return _write(desk, what, pairs, joined=True, why=why)


def split_call(desk: Desk, call_id: int, why: str = "") -> Changed:
    """Write that a call is another trouble than the other calls of its thread.

    Raises Trouble for a call that stands alone, or is of an event.
    """
    facts, _, mine = _found(desk, call_id)
    others = [call.call_id for call in mine.calls if call.call_id != call_id]
    if not others:
        raise Trouble(say("This call stands alone already."))
    what = say(
        "{place}: the call of {day} is another trouble",
        place=facts.rows[call_id].address,
        day=_day(desk, mine, call_id),
    )
    return _write(desk, what, [(call_id, other) for other in others], joined=False, why=why)


def _write(
    desk: Desk, what: str, pairs: Iterable[tuple[int, int]], *, joined: bool, why: str
) -> Changed:
    with desk.store.change(desk.who, what) as work:
        for call_id, other_id in pairs:
            work.add(
                ThreadMark(call_id=call_id, other_call_id=other_id, joined=joined, why=why.strip())
            )
    return work.changed


def _found(desk: Desk, call_id: int) -> tuple[Facts, Place, Thread]:
    """A call's thread with what it was made of. Raises Trouble where it has none."""
    site_id = _site_of(desk, call_id)
    if site_id is not None:
        facts, model = facts_of(desk, [site_id]), quiet_model(desk)
        for place in facts.calls:
            for thread in facts.threads_at(place, desk.today, model):
                if thread.has(call_id):
                    return facts, place, thread
    raise Trouble(
        say("This call belongs to no trouble of a site: it was dropped, has no site, or is one "
            "of a storm."),
        do=say("Look at it in Phone."),
    )  # fmt: skip


def _day(desk: Desk, thread: Thread, call_id: int) -> str:
    on = next(call.on for call in thread.calls if call.call_id == call_id)
    return desk.formats.day(on, near=desk.today)
