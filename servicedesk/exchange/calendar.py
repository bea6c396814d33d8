"""A technician's visits as an iCalendar file (RFC 5545) for any calendar program."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import (
    Calendar,
    Event,
    Timezone,
    TimezoneDaylight,
    TimezoneStandard,
    vDatetime,
    vGeo,
)

from servicedesk.values.position import Position
from servicedesk.words import say

PRODUCT = "-//servicedesk//rounds//EN"


@dataclass(frozen=True, slots=True)
class CalendarVisit:
    """One visit. `from_at` and `until_at` are aware instants, until excluded.

    `uid` is the visit's own and never changes; `sequence` counts the changes of time or place
    since it was first handed out (RFC 5545, 3.8.7.4). `changed_at` is the last change, if known.
    """

    uid: str
    sequence: int
    from_at: datetime
    until_at: datetime
    title: str
    place: str = ""
    position: Position | None = None
    text: str = ""
    called_off: bool = False
    changed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class DayOff:
    """Whole days, the last one included, as a person says them."""

    uid: str
    sequence: int
    first_on: date
    last_on: date
    title: str


@dataclass(frozen=True, slots=True)
class VisitCalendar:
    """What goes into one file: whose it is, the company's zone, when it was written (aware)."""

    technician: str
    zone: ZoneInfo
    written_at: datetime
    visits: tuple[CalendarVisit, ...]
    days_off: tuple[DayOff, ...] = ()


def write_calendar(calendar: VisitCalendar) -> bytes:
    """The iCalendar file: CRLF, lines folded at 75 octets, the same input the same bytes.

    Times are local to the company's zone with its rules as VTIMEZONE. A visit called off stays in
    the file as CANCELLED, so that a calendar that has it takes it away. Raises ValueError for a
    visit that ends before it begins, two entries with one uid, or an instant without a zone.
    """
    _check(calendar)
    result = Calendar()
    result.add("prodid", PRODUCT)
    result.add("version", "2.0")
    result.add("calscale", "GREGORIAN")
    result.add("method", "PUBLISH")
    result.add("x-wr-calname", say("Rounds of {name}", name=calendar.technician))
    zone = _zone(calendar)
    if zone is not None:
        result.add_component(zone)
    for visit in sorted(calendar.visits, key=lambda visit: (visit.from_at, visit.uid)):
        result.add_component(_visit(visit, calendar))
    for day_off in sorted(calendar.days_off, key=lambda day: (day.first_on, day.uid)):
        result.add_component(_day_off(day_off, calendar))
    written: bytes = result.to_ical(sorted=False)
    return written


def _check(calendar: VisitCalendar) -> None:
    uids = [visit.uid for visit in calendar.visits] + [day.uid for day in calendar.days_off]
    if len(set(uids)) != len(uids):
        raise ValueError("two entries with one uid")
    for visit in calendar.visits:
        if visit.from_at.tzinfo is None or visit.until_at.tzinfo is None:
            raise ValueError(f"{visit.uid}: an instant without a zone")
        if visit.until_at <= visit.from_at:
            raise ValueError(f"{visit.uid}: ends before it begins")
    for day_off in calendar.days_off:
        if day_off.last_on < day_off.first_on:
            raise ValueError(f"{day_off.uid}: ends before it begins")


def _zone(calendar: VisitCalendar) -> Timezone | None:
    """The company's zone as its clocks go in the years of the file; UTC needs no rules.

    Each onset is written in the wall time valid before it (RFC 5545, 3.6.5).
    """
    if calendar.zone.key in ("UTC", "Etc/UTC") or not calendar.visits:
        return None
    first = min(visit.from_at for visit in calendar.visits).astimezone(UTC).year
    last = max(visit.until_at for visit in calendar.visits).astimezone(UTC).year
    begin = datetime(first - 1, 1, 1, tzinfo=UTC)
    onsets: dict[tuple[timedelta, timedelta, str, bool], list[datetime]] = {}
    for instant in (begin, *_turns(calendar.zone, begin, datetime(last + 2, 1, 1, tzinfo=UTC))):
        before = (instant - timedelta(seconds=1)).astimezone(calendar.zone)
        after = instant.astimezone(calendar.zone)
        old, new = _offset(after if instant == begin else before), _offset(after)
        wall = instant.replace(tzinfo=None) + old
        kind = (old, new, after.tzname() or "", bool(after.dst()))
        onsets.setdefault(kind, []).append(wall)
    zone = Timezone()
    zone.add("tzid", calendar.zone.key)
    for (old, new, name, summer), walls in onsets.items():
        part = TimezoneDaylight() if summer else TimezoneStandard()
        part.add("dtstart", walls[0])
        if walls[1:]:
            part.add("rdate", walls[1:])
        part.add("tzoffsetfrom", old)
        part.add("tzoffsetto", new)
        part.add("tzname", name)
        zone.add_component(part)
    return zone


def _offset(local: datetime) -> timedelta:
    offset = local.utcoffset()
    if offset is None:
        raise ValueError(f"{local} has no zone")
    return offset


def _turns(zone: ZoneInfo, begin: datetime, end: datetime) -> list[datetime]:
    """The instants at which the clocks of a zone are changed, to the second, by halving."""
    turns: list[datetime] = []
    low = begin
    while low < end:
        high = min(low + timedelta(days=7), end)
        if _state(zone, low) != _state(zone, high):
            left, right = low, high
            while right - left > timedelta(seconds=1):
                half = left + timedelta(seconds=(right - left) // timedelta(seconds=2))
                if _state(zone, half) == _state(zone, left):
                    left = half
                else:
                    right = half
            turns.append(right)
        low = high
    return turns


def _state(zone: ZoneInfo, instant: datetime) -> tuple[timedelta | None, str | None]:
    local = instant.astimezone(zone)
    return local.utcoffset(), local.tzname()


def _event(uid: str, sequence: int, title: str, calendar: VisitCalendar) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", vDatetime(calendar.written_at.astimezone(UTC)))
    event.add("sequence", sequence)
    event.add("summary", _plain(title))
    return event


def _visit(visit: CalendarVisit, calendar: VisitCalendar) -> Event:
    event = _event(visit.uid, visit.sequence, visit.title, calendar)
    event.add("dtstart", _local(visit.from_at, calendar.zone))
    event.add("dtend", _local(visit.until_at, calendar.zone))
    if visit.place:
        event.add("location", _plain(visit.place))
    if visit.position is not None:
        event["geo"] = vGeo((visit.position.lat_deg, visit.position.lon_deg))
    if visit.text:
        event.add("description", _plain(visit.text))
    if visit.changed_at is not None:
        event.add("last-modified", vDatetime(visit.changed_at.astimezone(UTC)))
    event.add("status", "CANCELLED" if visit.called_off else "CONFIRMED")
    return event


def _local(instant: datetime, zone: ZoneInfo) -> datetime:
    """Wall time; the second of an hour that comes twice in UTC, as no wall time names it."""
    local = instant.astimezone(zone)
    return instant.astimezone(UTC) if local.fold else local


def _day_off(day_off: DayOff, calendar: VisitCalendar) -> Event:
    event = _event(day_off.uid, day_off.sequence, day_off.title, calendar)
    event.add("dtstart", day_off.first_on)
    event.add("dtend", day_off.last_on + timedelta(days=1))  # RFC 5545, 3.6.1: excluded
    event.add("transp", "OPAQUE")
    return event


def _plain(text: str) -> str:
    """Text without control signs but the line break (RFC 5545, 3.3.11: none may stand in TEXT)."""
    lines: Sequence[str] = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(
        "".join(sign for sign in line if sign == "\t" or (sign >= " " and sign != "\x7f"))
        for line in lines
    )
