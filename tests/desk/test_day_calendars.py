"""The calendar files of a day: read back by a reader that is not ours (the icalendar library)."""

from datetime import UTC, datetime, timedelta

import pytest
from icalendar import Calendar

from servicedesk.desk.calendars import day_calendars, span_calendars
from servicedesk.desk.sheets import day_papers
from servicedesk.records.changes import Change
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Visit
from tests.builders import TODAY, a_round, a_site, a_technician, a_visit


@pytest.fixture
def planned(desk):
    """Lena's visit from 9:00 to 9:40 am, Wednesday, October 14, 2026, in New York's summer time."""
    lena = a_technician(desk)
    round_ = a_round(desk, lena, leave_min=510, home_min=660)
    site = a_site(desk, lat_deg=30.02, lon_deg=-94.0)
    return a_visit(
        desk, site, round_id=round_.id, place=1, arrive_min=540, begin_min=540, leave_min=580
    )


def events(desk):
    papers = day_calendars(desk, TODAY)
    return [event for p in papers for event in Calendar.from_ical(p.data).walk("VEVENT")]


def moved(desk, visit, **values):
    with desk.store.change(desk.who, "Moved the visit") as work:
        record = work.get(Visit, visit.id)
        for name, value in values.items():
            setattr(record, name, value)


def test_an_event_is_the_visit_in_absolute_time(desk, planned):
    (event,) = events(desk)
    # New York is four hours behind UTC until November 1, 2026 (15 U.S.C. 260a)
    assert event["DTSTART"].dt.astimezone(UTC) == datetime(2026, 10, 14, 13, 0, tzinfo=UTC)
    assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(minutes=40)
    assert "118 Dry Hollow Lane" in event["SUMMARY"]
    assert "Old Tessing" in event["LOCATION"]
    assert event["GEO"].to_ical() == "30.02;-94.0"


def test_an_export_after_a_move_updates_the_same_event(desk, planned):
    (before,) = events(desk)
    moved(desk, planned, begin_min=600, leave_min=640)
    (after,) = events(desk)
    assert after["UID"] == before["UID"]
    assert int(after["SEQUENCE"]) > int(before["SEQUENCE"])  # RFC 5545, section 3.8.7.4
    assert after["DTSTART"].dt - before["DTSTART"].dt == timedelta(hours=1)


def test_a_second_export_of_the_same_plan_says_the_same(desk, planned):
    first, second = events(desk), events(desk)
    for name in ("UID", "SEQUENCE", "DTSTART", "DTEND", "SUMMARY"):
        assert [e[name] for e in first] == [e[name] for e in second]


def test_a_visit_into_the_next_day_ends_there(desk, planned):
    moved(desk, planned, begin_min=23 * 60 + 50, leave_min=24 * 60 + 20)
    (event,) = events(desk)
    assert event["DTEND"].dt.astimezone(UTC) == datetime(2026, 10, 15, 4, 20, tzinfo=UTC)


def test_a_guessed_place_is_not_told_as_a_position(desk, planned):
    a_visit(
        desk, a_site(desk, "9 Nowhere Lane", owner="Ann Lost"), round_id=planned.round_id, place=2,
        arrive_min=600, begin_min=600, leave_min=640,
    )  # fmt: skip
    assert ["GEO" in event for event in events(desk)] == [True, False]


def test_each_technician_has_a_calendar_and_a_sheet_and_all_sheets_one_file(desk, planned):
    ada = a_round(desk, a_technician(desk, "Ada Quested"), leave_min=510, home_min=660)
    a_visit(
        desk, a_site(desk, "9 Quarry Spur", owner="Ann Lost"), round_id=ada.id, place=1,
        arrive_min=600, begin_min=600, leave_min=640,
    )  # fmt: skip
    names = [paper.name for paper in day_papers(desk, TODAY)]
    assert names == [
        "route-2026-10-14-lena-hobb.pdf",
        "route-2026-10-14-ada-quested.pdf",
        "routes-2026-10-14.pdf",
        "visits-2026-10-14-lena-hobb.ics",
        "visits-2026-10-14-ada-quested.ics",
    ]


def test_two_of_one_name_have_two_files(desk, planned):
    twin = a_round(desk, a_technician(desk, "Lena Hobb"), leave_min=510, home_min=660)
    a_visit(
        desk, a_site(desk, "9 Quarry Spur", owner="Ann Lost"), round_id=twin.id, place=1,
        arrive_min=600, begin_min=600, leave_min=640,
    )  # fmt: skip
    names = [paper.name for paper in day_papers(desk, TODAY)]
    assert len(set(names)) == len(names) == 5


def handed_out(desk, round_id):
    with desk.store.change(desk.who, "Handed out") as work:
        round_ = work.get(Round, round_id)
        round_.state, round_.handed_out_at = "handed out", desk.clock.now()


def by_uid(paper):
    return {str(e["UID"]): e for e in Calendar.from_ical(paper.data).walk("VEVENT")}


def test_an_event_says_when_it_was_last_changed(desk, planned):
    """LAST-MODIFIED (RFC 5545, section 3.8.7.3) is the change's own instant, in UTC."""
    moved(desk, planned, begin_min=600, leave_min=640)
    (event,) = events(desk)
    with desk.store.read() as session:
        at = session.query(Change.at).order_by(Change.id.desc()).first()[0]
    assert event["LAST-MODIFIED"].dt == at.replace(microsecond=0)


def test_two_imports_one_after_the_other_leave_one_event_a_visit(desk, planned):
    """A calendar keeps, by uid, what has the highest sequence (RFC 5546, section 2.1.5)."""
    kept = {}
    for begin in (540, 600, 660):
        moved(desk, planned, begin_min=begin, leave_min=begin + 40)
        for event in events(desk):
            before = kept.get(event["UID"])
            if before is None or int(event["SEQUENCE"]) > int(before["SEQUENCE"]):
                kept[event["UID"]] = event
    (event,) = kept.values()
    assert event["DTSTART"].dt.astimezone(UTC).hour == 15  # 11:00 am in New York


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_a_visit_given_to_another_after_handing_out_is_called_off_here_and_stands_there(
    desk, planned, order
):
    """Into two calendars or into one, in whichever order: one event stands, Ada's."""
    handed_out(desk, planned.round_id)
    ada = a_round(desk, a_technician(desk, "Ada Quested"), leave_min=510, home_min=660)
    moved(desk, planned, round_id=ada.id, begin_min=700, leave_min=740)

    files = day_calendars(desk, TODAY)

    assert [p.name for p in files] == [
        "visits-2026-10-14-lena-hobb.ics", "visits-2026-10-14-ada-quested.ics"
    ]  # fmt: skip
    lena, here = (by_uid(p)[planned.uid] for p in files)
    assert (lena["STATUS"], here["STATUS"]) == ("CANCELLED", "CONFIRMED")
    assert lena["DTSTART"].dt.astimezone(UTC).hour == 13  # as Lena's calendar has it: 9:00 am
    kept = None
    for n in order:
        event = (lena, here)[n]
        if kept is None or int(event["SEQUENCE"]) > int(kept["SEQUENCE"]):
            kept = event
    assert kept is here


def test_what_is_called_off_is_above_all_that_was_sent_before(desk, planned):
    handed_out(desk, planned.round_id)
    (before,) = events(desk)
    moved(desk, planned, round_id=None, place=None, begin_min=None, leave_min=None)
    (after,) = events(desk)
    assert after["STATUS"] == "CANCELLED"
    assert int(after["SEQUENCE"]) >= int(before["SEQUENCE"])


def test_a_visit_dropped_stays_as_called_off(desk, planned):
    handed_out(desk, planned.round_id)
    moved(desk, planned, state="dropped")
    (event,) = events(desk)
    assert (event["STATUS"], event["UID"]) == ("CANCELLED", planned.uid)


def test_a_draft_that_changes_calls_nothing_off(desk, planned):
    moved(desk, planned, round_id=None)
    assert events(desk) == []


def test_a_week_is_one_file_a_technician(desk, planned):
    lena = a_round(desk, a_technician(desk, "Tobin Ashe"), TODAY + timedelta(days=1))
    a_visit(
        desk, a_site(desk, "9 Quarry Spur", owner="Ann Lost"), planned_on=TODAY + timedelta(days=1),
        round_id=lena.id, place=1, arrive_min=600, begin_min=600, leave_min=640,
    )  # fmt: skip
    monday = TODAY - timedelta(days=2)
    files = span_calendars(desk, monday, monday + timedelta(days=7))
    assert [p.name for p in files] == [
        "visits-2026-10-12-2026-10-18-lena-hobb.ics",
        "visits-2026-10-12-2026-10-18-tobin-ashe.ics",
    ]
    only = span_calendars(desk, monday, monday + timedelta(days=7), lead_ids={lena.lead_id})
    assert [p.name for p in only] == [files[1].name]
