"""What the technician reads: why we come, what happened, what is owed, the cautions."""

from datetime import date

import pytest

from servicedesk.desk.sheets import day_sheets
from servicedesk.trade.cautions import cautions_for_jobs, standing_cautions
from tests.builders import (
    TODAY,
    a_call,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)


@pytest.fixture
def round_id(desk):
    return a_round(desk, a_technician(desk), leave_min=450, home_min=900).id


def stop_at(desk, site, round_id, place=1, **values):
    return a_visit(
        desk, site, round_id=round_id, place=place, arrive_min=480 + 60 * place,
        begin_min=480 + 60 * place, leave_min=520 + 60 * place, **values,
    )  # fmt: skip


def sheet_of(desk):
    (sheet,) = day_sheets(desk, TODAY)
    return sheet


@pytest.mark.parametrize("words", ["it hums all night.", "it hums all night", "it hums all night "])
def test_the_callers_words_end_with_one_period(desk, round_id, words):
    site = a_site(desk)
    call = a_call(desk, site, own_words=words)
    stop_at(desk, site, round_id, kind_of="callback", job={"call_id": call.id})
    why = sheet_of(desk).stops[0].jobs[0].why
    assert "“it hums all night”. Promised by" in why
    assert ".." not in why
    assert ".”." not in why


def test_a_call_without_words_says_so(desk, round_id):
    site = a_site(desk)
    call = a_call(desk, site, symptoms=[], own_words="", promised_by_at=None)
    stop_at(desk, site, round_id, kind_of="callback", job={"call_id": call.id})
    assert sheet_of(desk).stops[0].jobs[0].why == "Called Wed, Oct 14: no words."


def test_the_last_three_things_stand_there_newest_first(desk, round_id):
    site = a_site(desk)
    days = [date(2025, 6, 2), date(2025, 10, 6), date(2026, 2, 9), date(2026, 6, 8)]
    for day in days:
        a_done_visit(desk, site, day, job={"found": f"Month {day.month}.", "did": "Rinsed."})
    stop_at(desk, site, round_id)
    past = sheet_of(desk).stops[0].past
    assert len(past) == 3
    assert [text for thing in past for text in ("6", "2", "10") if f"Month {text}." in thing.text] == [
        "6", "2", "10",
    ]  # fmt: skip
    assert past[0].text.endswith("Month 6. Rinsed")


def test_what_is_owed_stands_at_the_stop_and_what_it_needs_in_the_load(desk, round_id):
    first, second = a_site(desk), a_site(desk, "9 Quarry Spur", owner="Ann Lost")
    something_owed(desk, first, "Lid screws missing", needs="sealed connector")
    something_owed(desk, second, "Splice is bare", needs="sealed connector")
    something_owed(desk, second, "Pump is worn", needs="effluent pump", waits_for="customer")
    stop_at(desk, first, round_id, 1)
    stop_at(desk, second, round_id, 2)
    sheet = sheet_of(desk)
    assert [[o.text for o in stop.owed] for stop in sheet.stops] == [
        ["Lid screws missing"],
        ["Splice is bare", "Pump is worn (waits for customer)"],
    ]
    assert [(item.name, item.amount) for item in sheet.load] == [("sealed connector", "2")]


def test_owed_work_that_is_the_job_is_not_told_twice(desk, round_id):
    site = a_site(desk)
    owed = something_owed(desk, site, "Lid screws missing")
    stop_at(desk, site, round_id, kind_of="owed", job={"owed_id": owed.id})
    (stop,) = sheet_of(desk).stops
    assert stop.owed == ()
    assert stop.jobs[0].why == "Lid screws missing, owed since Jul 11"


def test_shared_cautions_stand_on_top_and_a_stops_own_at_the_stop(desk, round_id):
    kinds = ["inspection", "inspection", "repair"]
    for n, kind in enumerate(kinds, start=1):
        site = a_site(desk, f"{n} Quarry Spur", owner=f"Owner {n}")
        stop_at(desk, site, round_id, n, kind_of=kind)
    sheet = sheet_of(desk)
    inspection, repair = cautions_for_jobs(["inspection"]), cautions_for_jobs(["repair"])
    assert set(sheet.cautions) == {*standing_cautions(), *inspection}
    assert len(sheet.cautions) == len(set(sheet.cautions))
    own = set(repair) - set(inspection)
    assert own
    assert [set(stop.cautions) for stop in sheet.stops] == [set(), set(), own]
