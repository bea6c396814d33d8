"""Whom to tell what: new days, days that moved, times that will not be kept, visits called off.

Everything is ready to be said in the way and the language a customer wants; nothing is sent from
here. Ticking a line writes that they were told.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from servicedesk.desk.changes import when_text
from servicedesk.desk.office import Desk
from servicedesk.desk.tell_words import TellFacts, Voices, Why, natural_name, why_text
from servicedesk.desk.told import About, tell
from servicedesk.exchange.csvtext import csv_bytes
from servicedesk.exchange.links import mail_link, sms_link, tel_link
from servicedesk.records import calendar_rows, tell_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

_WAYS = ("phone", "text", "email", "letter")
ABOUT_MIN = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class ToTell:
    """One line. `day` is the day of the visit now (None: it has none), `before_on` the day they
    know, where it is another. `arrives_text` is the time planned, for the office alone.

    `links` by way ("phone", "text", "email"), only those that can be opened; `way` is the one to
    take, `note` says why it is not the one they prefer. `between_min` are wall minutes that the
    words promise. `told_at` is written for today.
    """

    visit_id: int
    revision: int
    site_id: int
    customer_id: int | None
    address: str
    whom: str
    why: Why
    why_text: str
    day: date | None
    day_text: str
    arrives_text: str
    before_on: date | None
    between_min: tuple[int, int] | None
    preferred: str
    way: str
    note: str
    language: str
    number: str
    email: str
    links: Mapping[str, str]
    subject: str
    text: str
    is_told: bool
    told_at: str

    @property
    def link(self) -> str:
        """The link of the way to take, "" where nothing can be opened."""
        return self.links.get(self.way, "")


@dataclass(frozen=True, slots=True)
class TellList:
    """All lines: what is still to be told first, in the order of days and rounds."""

    lines: tuple[ToTell, ...]

    @property
    def n_open(self) -> int:
        """How many are still to be told."""
        return sum(not line.is_told for line in self.lines)


def tell_list(desk: Desk, first: date, until: date) -> TellList:
    """Everybody with a visit from `first` until `until` (excluded), and who was told such a day
    and has it no more. Days that have passed tell nobody anything. Raises Trouble if the
    company's own texts cannot be used.
    """
    start = max(first, desk.today)
    with desk.store.read() as session:
        days = [start + timedelta(days=n) for n in range(max(0, (until - start).days))]
        here = [v for day in days for v in rows.visits_of_day(session, day)]
        gone = tell_rows.visits_told_for(session, start, until) if days else []
    return _listed(desk, here, gone, start, until)


def tell_changed(desk: Desk) -> TellList:
    """After planning again: only those who were told something that is no longer so, any day."""
    with desk.store.read() as session:
        known = tell_rows.visits_told_for(session, desk.today, None)
    lines = _listed(desk, known, (), desk.today, date.max).lines
    return TellList(tuple(line for line in lines if line.why != "new" and not line.is_told))


def mark_told(desk: Desk, line: ToTell, *, way: str = "", text: str = "") -> Changed:
    """Write that this line was told: in `way` (else the line's own), in these words.

    A day told is a promise: the visit counts as told for it. Raises StaleEdit if the visit changed
    since the line was made, Trouble as `told.tell` does.
    """
    how = way or line.way
    if how not in _WAYS:
        raise ValueError(f"{how!r} is none of {_WAYS}")
    if line.is_told:
        raise Trouble(
            say("{whom} was told already.", whom=line.whom),
            do=say("Take it back under All changes if it is not so."),
        )
    about = About(visit_id=line.visit_id, site_id=line.site_id, customer_id=line.customer_id)
    return tell(
        desk,
        about,
        whom=line.whom,
        what=text or line.text,
        how=how,
        promised_on=line.day,
        between_min=line.between_min,
        seen=line.revision,
    )


def tell_csv(found: TellList) -> bytes:
    """The list for a spreadsheet: one line a customer, nothing in it becomes a formula."""
    head = (say("told"), say("whom"), say("way"), say("phone"), say("e-mail"), say("language"),
            say("day"), say("address"), say("why"), say("text"), say("link"))  # fmt: skip
    lines = [
        (say("yes") if one.is_told else say("no"), one.whom, way_text(one.way), one.number,
         one.email, one.language, one.day.isoformat() if one.day else "", one.address,
         one.why_text, one.text, one.link)
        for one in found.lines
    ]  # fmt: skip
    return csv_bytes([head, *lines])


def way_text(way: str) -> str:
    """A way of telling in words."""
    return {
        "phone": say("phone"),
        "text": say("text message"),
        "email": say("e-mail"),
        "letter": say("letter"),
    }[way]


def _listed(
    desk: Desk,
    here: Iterable[rows.VisitRow],
    gone: Iterable[rows.VisitRow],
    start: date,
    until: date,
) -> TellList:
    visits = {v.id: v for v in (*here, *gone) if v.arrived_at is None and v.state != "done"}
    with desk.store.read() as session:
        places = rows.site_places(session, {v.site_id for v in visits.values()})
        people = tell_rows.people_to_tell(session, places, desk.today)
        known = tell_rows.last_told(session, visits)
        changed = calendar_rows.last_changes(session, known)
    voices = Voices(desk)
    found = []
    for visit in visits.values():
        facts = _facts(visit, known.get(visit.id), changed.get(visit.id))
        days = (facts.day, facts.before_on)
        if any(one is not None and start <= one < until for one in days):
            person = people.get(visit.site_id)
            line = _line(desk, facts, places[visit.site_id], person, voices)
            order = (line.is_told, line.day or line.before_on or until, visit.begin_min or 0)
            found.append((*order, visit.id, line))
    return TellList(tuple(line for *_, line in sorted(found, key=lambda one: one[:4])))


def _facts(
    visit: rows.VisitRow, told: tell_rows.LastTold | None, changed_at: datetime | None
) -> TellFacts:
    """What is to be told about a visit: what is so now beside what they know."""
    before = told.promised_on if told is not None else None
    day = visit.planned_on if visit.state == "planned" else None
    arrives = visit.begin_min if visit.begin_min is not None else visit.arrive_min
    why: Why = "new"
    is_told = visit.told
    if day is None:
        why = "called_off"
        # what was said before the day fell away did not tell them that it did
        is_told = told is not None and told.is_after_day and not _changed_since(told, changed_at)
    elif before is not None and before != day:
        why, is_told = "moved", False
    elif visit.told and arrives is not None and arrives > (visit.promise_until_min or 1440):
        why, is_told = "late", False
    return TellFacts(
        visit=visit,
        why=why,
        day=day,
        before_on=before if before != day else None,
        arrives_min=arrives,
        is_told=is_told,
        told_at=told.told_at if told is not None and is_told else None,
    )


def _changed_since(told: tell_rows.LastTold, changed_at: datetime | None) -> bool:
    return changed_at is not None and changed_at > told.told_at


def _line(
    desk: Desk,
    facts: TellFacts,
    site: rows.SitePlace,
    person: tell_rows.PersonRow | None,
    voices: Voices,
) -> ToTell:
    visit = facts.visit
    whom = natural_name(person.name) if person is not None else site.address
    voice = voices.of(person.language if person is not None else "")
    subject, text = voice.words(facts, whom=whom, address=site.address)
    links = _links(person, subject, text)
    preferred = person.preferred_way if person and person.preferred_way in _WAYS else "phone"
    way, note = _way(preferred, links, is_known=person is not None)
    return ToTell(
        visit_id=visit.id,
        revision=visit.revision,
        site_id=visit.site_id,
        customer_id=person.customer_id if person is not None else None,
        address=site.address,
        whom=whom,
        why=facts.why,
        why_text=why_text(desk, facts),
        day=facts.day,
        day_text=desk.formats.weekday(facts.day) if facts.day is not None else say("no day"),
        arrives_text=_arrives(desk, facts),
        before_on=facts.before_on,
        between_min=_about(facts) if facts.why == "late" else None,
        preferred=preferred,
        way=way,
        note=". ".join(one for one in (note, voice.note) if one),
        language=voice.language,
        number=person.typed if person is not None else "",
        email=person.email if person is not None else "",
        links=links,
        subject=subject,
        text=text,
        is_told=facts.is_told,
        told_at=when_text(desk, facts.told_at) if facts.told_at is not None else "",
    )


def _arrives(desk: Desk, facts: TellFacts) -> str:
    if facts.day is None or facts.arrives_min is None:
        return ""
    return say("planned {time}", time=desk.formats.time(facts.arrives_min))


def _links(person: tell_rows.PersonRow | None, subject: str, text: str) -> dict[str, str]:
    if person is None:
        return {}
    links = {
        "phone": tel_link(person.e164),
        "text": sms_link(person.e164, text),
        "email": mail_link(person.email, subject, text),
    }
    return {way: link for way, link in links.items() if link}


def _way(preferred: str, links: Mapping[str, str], *, is_known: bool) -> tuple[str, str]:
    """The way to take, and why it is not the one they prefer."""
    if not is_known:
        return preferred, say("Nobody is known at this site")
    if preferred == "letter" or preferred in links:
        return preferred, ""
    other = next(iter(links), "")
    if not other:
        return preferred, say("Prefers {way}, but no number or address is known that works",
                              way=way_text(preferred))  # fmt: skip
    return other, say("Prefers {way}, but nothing for that is known", way=way_text(preferred))


def _about(facts: TellFacts) -> tuple[int, int]:
    """The times that "at about" promises, a half hour around it (common practice, no source)."""
    at = facts.arrives_min or 0
    return max(0, at - ABOUT_MIN), min(1440, at + ABOUT_MIN)
