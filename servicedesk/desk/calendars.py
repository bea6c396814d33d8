"""One iCalendar file a technician. A second export updates what the first one brought.

An event is the visit by its uid; its sequence and last change come from the records. What a round
lost after it was handed out stays in its technician's file as called off.
"""

from collections.abc import Collection, Mapping
from datetime import date, datetime, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.sheets import DayFacts, Paper, file_name, named_apart, read_day, why_text
from servicedesk.exchange.calendar import CalendarVisit, VisitCalendar, write_calendar
from servicedesk.records import calendar_rows
from servicedesk.records import planning_rows as rows
from servicedesk.values.position import Position
from servicedesk.words import jobs as job_words
from servicedesk.words import say

DEFAULT_MIN = 30  # of an event whose length nobody knows any more


def day_calendars(desk: Desk, day: date) -> list[Paper]:
    """The calendar files of a day's rounds, in the order of the rounds."""
    return span_calendars(desk, day, day + timedelta(days=1))


def span_calendars(
    desk: Desk, first: date, until: date, *, lead_ids: Collection[int] | None = None
) -> list[Paper]:
    """The same for the days from `first` until `until` (excluded), one file a technician.

    Only of `lead_ids` if given. A technician without any visit has no file.
    """
    days = [first + timedelta(days=n) for n in range((until - first).days)]
    with desk.store.read() as session:
        rounds = [one for day in days for one in rows.rounds_on(session, day)]
        rounds = [one for one in rounds if lead_ids is None or one.lead_id in lead_ids]
        handed_out = {r.id: r.handed_out_at for r in rounds if r.handed_out_at is not None}
        gone = calendar_rows.taken_away(session, handed_out)
    facts = {one.day: read_day(desk, one.day) for one in rounds}
    span = f"{first}" if len(days) == 1 else f"{first}-{days[-1]}"
    papers = []
    for lead_id in dict.fromkeys(one.lead_id for one in rounds):
        own = [one for one in rounds if one.lead_id == lead_id]
        events = _events(desk, own, facts, gone)
        if events:
            name = facts[own[0].day].names.get(lead_id, say("unknown"))
            calendar = VisitCalendar(
                technician=name,
                zone=desk.clock.zone,
                written_at=desk.clock.now(),
                visits=tuple(events),
            )
            papers.append(Paper(f"visits-{span}-{file_name(name)}.ics", write_calendar(calendar)))
    return named_apart(papers)


def _events(
    desk: Desk,
    rounds: list[rows.RoundRow],
    facts: Mapping[date, DayFacts],
    gone: list[calendar_rows.TakenAway],
) -> list[CalendarVisit]:
    """The visits of one technician's rounds, and what these rounds lost."""
    mine = [
        (facts[one.day], visit)
        for one in rounds
        for visit in facts[one.day].visits
        if visit.round_id == one.id and visit.begin_min is not None
    ]
    with desk.store.read() as session:
        changed = calendar_rows.last_changes(session, [visit.id for _, visit in mine])
    events = [_planned(desk, day, visit, changed.get(visit.id)) for day, visit in mine]
    known = {event.uid for event in events}
    round_of = {one.id: one for one in rounds}
    for lost in gone:
        if lost.round_id in round_of and lost.uid not in known:
            known.add(lost.uid)
            events.append(_called_off(desk, facts[round_of[lost.round_id].day], lost))
    return events


def _planned(
    desk: Desk, facts: DayFacts, visit: rows.VisitRow, changed_at: datetime | None
) -> CalendarVisit:
    site = facts.sites.get(visit.site_id)
    begin, leave = visit.begin_min or 0, visit.leave_min or 0
    kinds = ", ".join(
        job_words.job_title(j.kind, j.ordinal, facts.ordinals.get(j.system_id or 0))
        for j in visit.jobs
    )
    return CalendarVisit(
        uid=visit.uid,
        sequence=visit.revision,
        from_at=_instant(desk, facts.day, begin),
        until_at=_instant(desk, facts.day, max(leave, begin + 1)),
        title=f"{site.address if site else ''}: {kinds}",
        place=", ".join(t for t in (site.address, site.locality) if t) if site else "",
        position=_position(facts, visit.site_id),
        text="\n".join(why_text(desk, facts, j) for j in visit.jobs),
        changed_at=changed_at,
    )


def _called_off(desk: Desk, facts: DayFacts, lost: calendar_rows.TakenAway) -> CalendarVisit:
    """The visit on the day it is no more.

    Its sequence is one below the visit's own: above all that this technician got before, and below
    what the file of the one who has it now says (RFC 5546, section 2.1.5: the higher one holds).
    """
    site = facts.sites.get(lost.site_id)
    begin = desk.company.day_from_min if lost.begin_min is None else lost.begin_min
    until = begin + DEFAULT_MIN if lost.leave_min is None else max(lost.leave_min, begin + 1)
    address = site.address if site else say("unknown")
    return CalendarVisit(
        uid=lost.uid,
        sequence=max(0, lost.revision - 1),
        from_at=_instant(desk, facts.day, begin),
        until_at=_instant(desk, facts.day, until),
        title=say("{address}: no longer on this round", address=address),
        called_off=True,
    )


def _position(facts: DayFacts, site_id: int) -> Position | None:
    """Where it is; a place that is only guessed is no place to be led to."""
    spot = facts.spots.get(site_id)
    return None if spot is None or spot.is_guessed else spot.position


def _instant(desk: Desk, day: date, minute: int) -> datetime:
    days, rest = divmod(minute, 1440)
    return desk.clock.instant(day + timedelta(days=days), rest)
