"""Calendar files against RFC 5545 (values of its examples, as kept with the project's checks).

Read back with the library `icalendar` and with the plain rules of the RFC: unfolding by bytes,
VTIMEZONE onsets evaluated by hand.
"""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from servicedesk.exchange.calendar import CalendarVisit, DayOff, VisitCalendar, write_calendar
from servicedesk.values.position import Position

CHICAGO = ZoneInfo("America/Chicago")
WRITTEN = datetime(2026, 10, 14, 21, 10, tzinfo=UTC)
VISIT = CalendarVisit(
    uid="3f0c5a52-visit@sallow-fork.example",
    sequence=2,
    from_at=datetime(2026, 10, 15, 16, 0, tzinfo=UTC),
    until_at=datetime(2026, 10, 15, 17, 10, tzinfo=UTC),
    title="callback: Quillan",
    place="118 Dry Hollow Lane, Dry Hollow",
    position=Position(30.0121, -96.9703),
    text="High-water alarm",
)


def calendar(*visits, zone=CHICAGO, written=WRITTEN, days_off=()):
    return VisitCalendar("Lena", zone, written, tuple(visits), days_off)


def unfolded(data: bytes) -> list[str]:
    """RFC 5545, 3.1: a line break followed by one space or tab goes away, then lines end in CRLF."""
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert b"\r" not in data.replace(b"\r\n", b"")
    return re.sub(rb"\r\n[ \t]", b"", data).decode().split("\r\n")[:-1]


def events(data: bytes):
    return list(Calendar.from_ical(data).walk("VEVENT"))


def test_text_is_escaped_as_in_the_rfc():
    # ical-text-escape: RFC 5545, 3.3.11
    three = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    lines = unfolded(write_calendar(calendar(replace(VISIT, text=three))))
    assert r"DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\nCome Prepared." in lines
    lines = unfolded(write_calendar(calendar(replace(VISIT, place="a, b; c \\ d: e"))))
    assert r"LOCATION:a\, b\; c \\ d: e" in lines


@pytest.mark.parametrize("text", ["x" * 400, "Łódź " * 60, "Ελλάδα" * 50, "😀" * 90, "Кириллица"])
def test_no_line_is_longer_than_75_octets_and_no_letter_is_cut(text):
    # ical-fold: RFC 5545, 3.1
    data = write_calendar(calendar(replace(VISIT, text=text)))
    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    for line in lines:
        line.decode("utf-8")  # each piece is whole letters
    assert f"DESCRIPTION:{text}" in unfolded(data)
    assert str(events(data)[0]["description"]) == text


def test_the_end_of_whole_days_is_not_included():
    # ical-allday-end: RFC 5545, 3.6.1
    off = DayOff("off-1", 0, date(2007, 6, 28), date(2007, 7, 8), "Festival")
    lines = unfolded(write_calendar(calendar(days_off=(off,))))
    assert "DTSTART;VALUE=DATE:20070628" in lines
    assert "DTEND;VALUE=DATE:20070709" in lines


def test_a_visit_reads_back_as_it_was():
    event = events(write_calendar(calendar(VISIT)))[0]
    assert event["uid"] == VISIT.uid
    assert event["sequence"] == 2
    assert event["dtstamp"].dt == WRITTEN
    assert event["dtstart"].dt == VISIT.from_at
    assert event["dtend"].dt == VISIT.until_at
    assert event["dtstart"].params["TZID"] == "America/Chicago"
    assert str(event["summary"]) == VISIT.title
    assert str(event["location"]) == VISIT.place
    assert (event["geo"].latitude, event["geo"].longitude) == (30.0121, -96.9703)
    assert event["status"] == "CONFIRMED"


def test_what_the_rfc_asks_for_is_there_once():
    lines = unfolded(write_calendar(calendar(VISIT)))
    assert lines[0] == "BEGIN:VCALENDAR"  # 3.4
    assert lines[-1] == "END:VCALENDAR"
    for wanted in ("VERSION:2.0", "PRODID:", "TZID:", "UID:", "DTSTAMP:20261014T211000Z"):
        assert sum(line.startswith(wanted) for line in lines) == 1, wanted
    assert "GEO:30.0121;-96.9703" in lines  # 3.8.1.6: latitude first, a semicolon between
    assert "DTSTART;TZID=America/Chicago:20261015T110000" in lines


def onset_offsets(data: bytes) -> list[tuple[datetime, timedelta]]:
    """Every onset of the VTIMEZONE in UTC with the offset from then on (RFC 5545, 3.6.5).

    Written from the RFC's words, without the library's own reading of zones: the onset is a wall
    time before the change, TZOFFSETFROM turns it into UTC.
    """
    result, part = [], {}
    for line in unfolded(data):
        name, _, value = line.partition(":")
        if line in ("BEGIN:STANDARD", "BEGIN:DAYLIGHT"):
            part = {}
        elif line in ("END:STANDARD", "END:DAYLIGHT"):
            before, after = (hours(part[key]) for key in ("TZOFFSETFROM", "TZOFFSETTO"))
            for wall in [part["DTSTART"], *part.get("RDATE", "").split(",")]:
                if wall:
                    instant = datetime.strptime(wall, "%Y%m%dT%H%M%S") - before
                    result.append((instant.replace(tzinfo=UTC), after))
        else:
            part[name] = value
    return sorted(result)


def hours(text: str) -> timedelta:
    found = timedelta(hours=int(text[1:3]), minutes=int(text[3:5]))
    return -found if text[0] == "-" else found


@pytest.mark.parametrize(
    "name",
    ["America/Chicago", "America/New_York", "Pacific/Apia", "Europe/Dublin", "Australia/Lord_Howe",
     "Asia/Kathmandu", "Africa/Casablanca"],
)  # fmt: skip
def test_the_zone_in_the_file_agrees_with_the_time_zone_data_on_every_day(name):
    # IANA time zone data through zoneinfo is the outside here
    zone = ZoneInfo(name)
    data = write_calendar(calendar(VISIT, zone=zone))
    onsets = onset_offsets(data)
    instant = datetime(2026, 1, 1, tzinfo=UTC)
    while instant < datetime(2027, 12, 31, tzinfo=UTC):
        offset = [after for begin, after in onsets if begin <= instant][-1]
        assert offset == instant.astimezone(zone).utcoffset(), instant
        instant += timedelta(hours=1)


def test_onsets_are_written_as_in_the_example_of_the_rfc():
    # RFC 5545, 3.6.5, example of New York from 2007: daylight time began on 2007-03-11 at 02:00
    # with TZOFFSETFROM -0500, standard time on 2007-11-04 at 02:00 with TZOFFSETFROM -0400
    then = replace(
        VISIT,
        from_at=datetime(2008, 6, 1, 12, tzinfo=UTC),
        until_at=datetime(2008, 6, 1, 13, tzinfo=UTC),
    )
    lines = unfolded(write_calendar(calendar(then, zone=ZoneInfo("America/New_York"))))
    text = "\n".join(lines)
    daylight = text.partition("BEGIN:DAYLIGHT")[2].partition("END:DAYLIGHT")[0]
    assert "DTSTART:20070311T020000" in daylight
    assert "TZOFFSETFROM:-0500" in daylight
    assert "TZOFFSETTO:-0400" in daylight
    assert "DTSTART:20071104T020000" in text


@pytest.mark.parametrize(
    ("instant", "wall"),
    [
        # the United States change on the second Sunday of March and the first of November 2026
        (datetime(2026, 3, 8, 7, 30, tzinfo=UTC), "20260308T013000"),
        (datetime(2026, 3, 8, 8, 30, tzinfo=UTC), "20260308T033000"),
        (datetime(2026, 11, 1, 8, 30, tzinfo=UTC), "20261101T023000"),
    ],
)
def test_a_visit_on_the_day_the_clocks_change_keeps_its_instant(instant, wall):
    visit = replace(VISIT, from_at=instant, until_at=instant + timedelta(hours=3))
    data = write_calendar(calendar(visit))
    assert f"DTSTART;TZID=America/Chicago:{wall}" in unfolded(data)
    event = events(data)[0]
    assert event["dtstart"].dt.astimezone(UTC) == visit.from_at
    assert event["dtend"].dt.astimezone(UTC) == visit.until_at


def test_the_hour_that_comes_twice_is_told_apart():
    # 1:30 on 2026-11-01 happens twice in Chicago; a local time means the first (RFC 5545, 3.3.5),
    # so the second is written in UTC
    first = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    for instant in (first, first + timedelta(hours=1)):
        visit = replace(VISIT, from_at=instant, until_at=instant + timedelta(hours=2))
        event = events(write_calendar(calendar(visit)))[0]
        assert event["dtstart"].dt.astimezone(UTC) == instant


def test_exporting_again_keeps_the_uid_and_raises_the_sequence():
    first = events(write_calendar(calendar(VISIT)))[0]
    later = replace(VISIT, sequence=3, from_at=VISIT.from_at + timedelta(minutes=30))
    again = events(write_calendar(calendar(later, written=WRITTEN + timedelta(days=1))))[0]
    assert first["uid"] == again["uid"]
    assert again["sequence"] > first["sequence"]
    assert write_calendar(calendar(VISIT)) == write_calendar(calendar(VISIT))


def test_order_of_visits_does_not_matter():
    other = replace(VISIT, uid="other", from_at=VISIT.from_at - timedelta(hours=2))
    assert write_calendar(calendar(VISIT, other)) == write_calendar(calendar(other, VISIT))


def test_a_visit_called_off_stays_as_cancelled():
    event = events(write_calendar(calendar(replace(VISIT, called_off=True))))[0]
    assert event["status"] == "CANCELLED"  # RFC 5545, 3.8.1.11


def test_control_signs_never_reach_the_file():
    data = write_calendar(calendar(replace(VISIT, title="a\x00b\x07c\rd")))
    assert str(events(data)[0]["summary"]) == "abc\nd"


@pytest.mark.parametrize(
    "broken",
    [
        (VISIT, VISIT),
        (replace(VISIT, until_at=VISIT.from_at),),
        (replace(VISIT, from_at=datetime(2026, 10, 15, 11, 0)),),
    ],
)
def test_what_no_calendar_could_hold_is_refused(broken):
    with pytest.raises(ValueError):
        write_calendar(calendar(*broken))
