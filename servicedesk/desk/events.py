"""A storm, an outage, a flood: many calls in one night that belong together.

Calls of an event raise no repeat alerts and count apart in rates: the fact is `call.event_id`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from difflib import get_close_matches
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.records import event_rows
from servicedesk.records.calls import Call, Event
from servicedesk.records.event_rows import EventRow
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import events as words
from servicedesk.words import say, say_n

KINDS = ("storm", "outage", "flood")
# a site that calls again later than this has a trouble of its own; common practice, no source
DAY_LATER = timedelta(hours=24)


@dataclass(frozen=True, slots=True, kw_only=True)
class EventLine:
    """An event in words. `title`: "Storm"; `area`: "everywhere" or its villages."""

    id: int
    revision: int
    what: str
    title: str
    area: str
    localities: tuple[str, ...]
    from_at: datetime
    until_at: datetime | None
    n_calls: int


def running_event(desk: Desk) -> EventLine | None:
    """The event that runs, the latest begun if there are several; None if none does."""
    with desk.store.read() as session:
        found = event_rows.running(session)
        return _line(session, found[0]) if found else None


def the_event(desk: Desk, event_id: int) -> EventLine:
    """One event, running or closed. Raises Trouble if it is not in the store."""
    with desk.store.read() as session:
        found = event_rows.event(session, event_id)
        if found is None:
            raise Trouble(
                say("That event is not in the store any more."),
                do=say("Look under All changes; it can be done again there."),
                exit_code=3,
            )
        return _line(session, found)


def _line(session: Any, event: EventRow) -> EventLine:
    return EventLine(
        id=event.id,
        revision=event.revision,
        what=event.what,
        title=event.name or words.event(event.what),
        area=", ".join(event.localities) or say("everywhere"),
        localities=event.localities,
        from_at=event.from_at,
        until_at=event.until_at,
        n_calls=event_rows.count_of_calls(session, event.id),
    )


def villages(desk: Desk) -> tuple[str, ...]:
    """The villages an event may lie over, by name."""
    with desk.store.read() as session:
        return tuple(event_rows.localities(session))


# --- opened, changed, closed


def open_event(
    desk: Desk,
    what: str,
    *,
    localities: Iterable[str] = (),
    from_at: datetime | None = None,
    name: str = "",
) -> Changed:
    """Open a storm, outage or flood; open calls of its area since `from_at` join it at once.

    No `localities` is everywhere, no `from_at` now. Raises WrongEntry for an unknown village or an
    instant to come, Trouble where an event runs over the same area already.
    """
    if what not in KINDS:
        raise ValueError(f"{what!r} is none of {KINDS}")
    from_at = from_at or desk.clock.now()
    area, wrong = _area(villages(desk), localities)
    if from_at > desk.clock.now():
        wrong.append(Wrong("from_at", say("An event begins now or has begun.")))
    checking.refuse(wrong)
    opened = say("Opened an event: {event}", event=name.strip() or words.event(what))
    with desk.store.change(desk.who, opened) as work:
        _refuse_second(work.session, area)
        event = work.add(
            Event(what=what, name=name.strip(), localities=list(area), from_at=from_at)
        )
        row = event_rows.event(work.session, event.id)
        for call_id, locality in event_rows.calls_without_event(work.session, from_at):
            if row is not None and _covers(row, locality):
                work.get(Call, call_id).event_id = event.id
    return work.changed


def change_area(
    desk: Desk, event_id: int, localities: Iterable[str], *, seen: int | None = None
) -> Changed:
    """Let an event lie over other villages from now on; calls that belong to it stay with it.

    Raises WrongEntry for an unknown village, StaleEdit, Trouble if the event is closed.
    """
    area, wrong = _area(villages(desk), localities)
    checking.refuse(wrong)
    event = the_event(desk, event_id)
    what = say("Changed the area of the event: {event}", event=event.title)
    with desk.store.change(desk.who, what) as work:
        _running(work.fresh(Event, event_id, seen=seen)).localities = list(area)
    return work.changed


def close_event(desk: Desk, event_id: int, *, seen: int | None = None) -> Changed:
    """The event is over: later calls do not belong to it. Its calls stay with it.

    Raises StaleEdit, Trouble if it is closed already.
    """
    event = the_event(desk, event_id)
    with desk.store.change(desk.who, say("Closed the event: {event}", event=event.title)) as work:
        _running(work.fresh(Event, event_id, seen=seen)).until_at = desk.clock.now()
    return work.changed


def _running(event: Event) -> Event:
    if event.until_at is not None:
        raise Trouble(
            say("That event is over already."),
            do=say("Take back the change that closed it, or open a new one."),
        )
    return event


def _area(known: Sequence[str], named: Iterable[str]) -> tuple[tuple[str, ...], list[Wrong]]:
    """The villages meant, as they are written in the book: whole names or beginnings of one."""
    area: dict[str, None] = {}
    wrong = []
    for name in named:
        text = name.strip().casefold()
        if not text:
            continue
        same = [one for one in known if one.casefold() == text]
        found = same or [one for one in known if one.casefold().startswith(text)]
        if len(found) == 1:
            area[found[0]] = None
            continue
        near = found or get_close_matches(name.strip(), known, n=1)
        says = say("No site lies in {village}.", village=name.strip())
        if len(found) > 1:
            says = say("{village} may be {names}.", village=name.strip(), names=", ".join(found))
        wrong.append(Wrong("localities", says, near[0] if near else None))
    return tuple(area), wrong


def _refuse_second(session: Any, area: Sequence[str]) -> None:
    for other in event_rows.running(session):
        if not area or not other.localities or any(other.covers(one) for one in area):
            title = other.name or words.event(other.what)
            raise Trouble(
                say("An event runs there already: {event}.", event=title),
                do=say("Change its area, or close it first."),
            )


# --- which calls belong to it


def event_of_call(session: Any, call: Call) -> int | None:
    """The event that a new call belongs to, None if none runs where and when it comes from.

    A site that first called in the event more than a day ago has left it: its call stands apart.
    A caller in no book belongs to an event over everywhere only.
    """
    locality = None
    if call.site_id is not None:
        locality = event_rows.locality_of(session, call.site_id)
    for event in event_rows.running(session):
        if call.called_at < event.from_at or not _covers(event, locality):
            continue
        if call.site_id is not None:
            first_at = event_rows.first_call_in(session, event.id, call.site_id)
            if first_at is not None and call.called_at - first_at > DAY_LATER:
                continue
        return event.id
    return None


def event_for(desk: Desk, site_id: int | None, called_at: datetime) -> EventLine | None:
    """The event that a call of this site and instant would belong to (reads only)."""
    with desk.store.read() as session:
        event_id = event_of_call(session, Call(site_id=site_id, called_at=called_at))
        event = None if event_id is None else event_rows.event(session, event_id)
        return None if event is None else _line(session, event)


def _covers(event: EventRow, locality: str | None) -> bool:
    return not event.localities if locality is None else event.covers(locality)


@dataclass(frozen=True, slots=True, kw_only=True)
class StillCalling:
    """A site that called again more than a day after its first call in an event."""

    site_id: int
    address: str
    first_at: datetime
    again_at: datetime
    call_ids: tuple[int, ...]  # those that still belong to the event


def still_calling(desk: Desk, event_id: int) -> tuple[StillCalling, ...]:
    """Sites with calls in the event that called again a day later, the latest call last."""
    with desk.store.read() as session:
        found = event_rows.calls_of_sites_in(session, event_id)
    by_site: dict[int, list[event_rows.SiteCall]] = {}
    for call in found:
        by_site.setdefault(call.site_id, []).append(call)
    still = []
    for site_id, calls in by_site.items():
        mine = [call for call in calls if call.event_id == event_id]
        first_at = mine[0].called_at
        again = [call for call in calls if call.called_at - first_at > DAY_LATER]
        if again:
            still.append(
                StillCalling(
                    site_id=site_id,
                    address=mine[0].address,
                    first_at=first_at,
                    again_at=again[-1].called_at,
                    call_ids=tuple(call.call_id for call in mine),
                )
            )
    return tuple(sorted(still, key=lambda one: (one.again_at, one.site_id)))


def leave_event(desk: Desk, event_id: int, call_ids: Iterable[int]) -> Changed:
    """Let calls leave an event: their trouble was not the event's. From then on they count.

    Raises Trouble where one of them does not belong to it any more.
    """
    wanted = list(dict.fromkeys(call_ids))
    event = the_event(desk, event_id)
    what = say_n(
        "Let {n} call leave the event: {event}",
        "Let {n} calls leave the event: {event}",
        len(wanted),
        event=event.title,
    )
    with desk.store.change(desk.who, what) as work:
        for call_id in wanted:
            call = work.get(Call, call_id)
            if call.event_id != event_id:
                raise Trouble(
                    say("That call does not belong to the event any more."),
                    do=say("Look at the list again; nothing was changed."),
                )
            call.event_id = None
    return work.changed


def join_event(desk: Desk, event_id: int, call_id: int) -> Changed:
    """Let a call belong to an event, whatever its area. Raises Trouble if it is not there."""
    event = the_event(desk, event_id)
    what = say("Took a call into the event: {event}", event=event.title)
    with desk.store.change(desk.who, what) as work:
        work.get(Call, call_id).event_id = event_id
    return work.changed
