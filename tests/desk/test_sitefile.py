"""The site file: everything known of one site, the answer to *when are you coming* first."""

from datetime import UTC, date, datetime, timedelta

import pytest

from servicedesk.desk.sitefile import secrets_of, site_file
from servicedesk.records.equipment import WireNote
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import SiteRole
from servicedesk.records.sites import SiteKey, SiteSecret
from servicedesk.records.told import Told
from servicedesk.records.visits import Finding, PartLine
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_customer,
    a_done_visit,
    a_round,
    a_site,
    a_system,
    a_technician,
    a_unit,
    a_visit,
    something_owed,
    system_of,
)

THURSDAY = date(2026, 10, 15)
FRIDAY = date(2026, 10, 16)


def add(desk, *records):
    with desk.store.change("Ines", "Wrote") as work:
        work.add_all(records)
    return records


def test_the_top_says_when_we_come_and_whether_they_know(desk):
    site = a_site(desk)
    lena = a_technician(desk)
    round_ = a_round(desk, lena, FRIDAY)
    stop = a_visit(
        desk,
        site,
        planned_on=FRIDAY,
        job={"ordinal": 3},
        round_id=round_.id,
        arrive_min=11 * 60,
        told=True,
        promise_from_min=600,
        promise_until_min=720,
    )
    last = a_done_visit(desk, site, date(2026, 6, 18), technician=lena)
    a_done_visit(desk, site, date(2026, 2, 6))
    something_owed(desk, site)
    something_owed(desk, site, "Riser screw", state="settled")

    answer = site_file(desk, site.id).coming

    assert answer.next_text == "Inspection 3, Fri, Oct 16, Lena Hobb, 11:00 am"
    assert (answer.next_visit_id, answer.next_on, answer.told) == (stop.id, FRIDAY, True)
    assert answer.told_text == "They were told: between 10:00 am and noon."
    assert answer.last_text == "Last there Jun 18, Lena Hobb: inspection"
    assert (answer.last_visit_id, answer.last_on) == (last.id, date(2026, 6, 18))
    assert answer.owed_texts == ("West spray head tied up, since Jul 11",)


def test_the_top_is_honest_where_nothing_has_a_day(desk):
    nothing = a_site(desk, "1 Nothing Road")
    waits = a_site(desk, "2 Wait Road")
    a_visit(desk, waits, planned_on=None, kind_of="callback")
    forgotten = a_site(desk, "3 Forgotten Road")
    a_visit(desk, forgotten, planned_on=TODAY - timedelta(days=1))
    tomorrow = a_site(desk, "4 Tomorrow Road")
    a_visit(desk, tomorrow, planned_on=THURSDAY, kind_of="repair")
    today = a_site(desk, "5 Today Road")
    a_visit(desk, today, planned_on=TODAY)

    def said(site):
        return site_file(desk, site.id).coming.next_text

    assert said(nothing) == "Nothing is planned."
    assert site_file(desk, nothing.id).coming.last_text == "Nobody of us was there yet."
    assert said(waits) == "Callback, no day yet"
    assert said(forgotten) == "Inspection was planned for Tue, Oct 13 and is not written up"
    assert said(tomorrow) == "Repair, tomorrow"
    assert said(today) == "Inspection, today"
    assert site_file(desk, tomorrow.id).coming.told_text == "They have not been told yet."


def test_a_due_inspection_without_a_day_is_named_with_its_last_day(desk):
    site = a_site(desk)
    # three a year, fixed: the second window of a year from April 1 ends with November 30
    a_contract(desk, site)
    a_done_visit(desk, site, date(2026, 6, 18), job={"ordinal": 1})

    file = site_file(desk, site.id)

    assert file.coming.next_text == "Inspection 2, no day yet, window closes Nov 30"
    assert len(file.windows) == 3
    assert file.contract.visits_a_year == 3


def test_the_head_shows_what_one_must_know_but_never_a_code(desk):
    site = a_site(desk, phone="409-555-0142", dogs_note="Two dogs, ring first", call_before=True)
    with desk.store.change("Ines", "Bedrooms") as work:
        from servicedesk.records.sites import System

        work.get(System, system_of(desk, site).id).bedrooms = 3
    add(desk, SiteSecret(site_id=site.id, what="gate", value="4417#"))
    add(desk, SiteKey(site_id=site.id, label="Shed"), SiteKey(site_id=site.id, label="Old"))

    file = site_file(desk, site.id)

    assert file.line == "Quillan, Ruth · 3 bedrooms · near Old Tessing · 409 555-0142"
    assert [(c.kind, c.text) for c in file.chips] == [
        ("dog", "Two dogs, ring first"),
        ("gate", "Gate code kept"),
        ("clock", "Call before coming"),
        ("contract", "No contract"),
        ("kind", "Aerobic with spray"),
    ]
    assert file.secrets == ("gate",)
    assert [k.label for k in file.keys] == ["Shed", "Old"]
    assert "4417" not in repr(file)
    assert [(what, value) for _, what, value in secrets_of(desk, site.id)] == [("gate", "4417#")]


def test_replaced_units_stand_in_their_chain_oldest_first(desk):
    site = a_site(desk)
    first = a_unit(desk, site, "alarm-float", removed_on=date(2025, 8, 1), state="removed")
    second = a_unit(
        desk,
        site,
        "alarm-float",
        installed_on=date(2025, 8, 1),
        predecessor_id=first.id,
        removed_on=date(2026, 6, 8),
        state="removed",
    )
    third = a_unit(
        desk,
        site,
        "alarm-float",
        installed_on=date(2026, 6, 8),
        predecessor_id=second.id,
    )
    other = a_unit(desk, site, "alarm-float", installed_on=date(2020, 1, 1))
    found_at = datetime(2026, 6, 8, 14, tzinfo=UTC)
    add(
        desk,
        Finding(
            system_id=system_of(desk, site).id,
            unit_id=third.id,
            check_id="alarm-float-lift",
            result_id="lifts-closes",
            found_at=found_at,
        ),
        Finding(
            system_id=system_of(desk, site).id,
            unit_id=second.id,
            check_id="alarm-float-lift",
            result_id=None,
            found_at=found_at,
        ),
    )

    (floats,) = site_file(desk, site.id).components

    assert [[life.unit.id for life in chain] for chain in floats.chains] == [
        [first.id, second.id, third.id],
        [other.id],
    ]
    assert {u.id for u in floats.in_service} == {third.id, other.id}
    assert floats.name == "Alarm float"
    assert [life.place for life in floats.chains[0]] == [1, 2, 3]
    assert floats.chains[0][2].last_looked_on == date(2026, 6, 8)
    assert floats.chains[0][2].last_result == "Lifts closes"
    assert floats.chains[0][1].last_looked_on is None  # *not looked at* is no look


def test_the_history_holds_everything_newest_first(desk):
    site = a_site(desk)
    call = a_call(desk, site, days_ago=30, own_words="red light", state="answered")
    visit = a_done_visit(
        desk,
        site,
        TODAY - timedelta(days=29),
        technician=a_technician(desk),
        kind_of="callback",
        job={"call_id": call.id, "found": "Splice wet", "did": "New splice", "fix": "patched"},
        note="Gate sticks, lift it",
    )
    a_done_visit(
        desk,
        site,
        TODAY - timedelta(days=60),
        job={"outcome": "could not", "could_not": "no access", "ordinal": 2},
    )
    a_visit(desk, site, planned_on=FRIDAY)
    now = desk.clock.now()
    add(
        desk,
        PartLine(visit_id=visit.id, text="splice kit", quantity=2),
        Told(
            told_at=now - timedelta(days=2),
            whom="Ruth",
            by_whom="Ines",
            what="Friday",
            call_id=call.id,
        ),
        PaperSent(
            kind_of="inspection report",
            visit_id=visit.id,
            to_whom="county",
            sent_at=now - timedelta(days=1),
            number=12,
        ),
    )

    history = site_file(desk, site.id).history

    assert [e.kind for e in history] == ["paper", "told", "visit", "call", "visit"]
    paper, told, came, called, tried = history
    assert (paper.title, paper.lines) == ("Inspection report to county", ("Number 12",))
    assert (told.title, told.who, told.lines) == ("Told Ruth by phone", "Ines", ("Friday",))
    assert came.lines == (
        "Callback: done",
        "Found: Splice wet",
        "Did: New splice",
        "Patched, not lasting",
        "Parts: 2 × splice kit",
        "Gate sticks, lift it",
    )
    assert (came.title, came.who, came.outcome) == ("Callback", "Lena Hobb", "done")
    assert (called.title, called.lines) == ("Call: High-water alarm", ("“red light”",))
    assert tried.lines == ("Inspection 2: could not: no access",)
    assert tried.outcome == "could not"


def test_an_inspection_after_its_window_is_marked_late(desk):
    site = a_site(desk)
    a_done_visit(desk, site, date(2026, 6, 1), job={"window_until": date(2026, 6, 1)})
    a_done_visit(desk, site, date(2026, 5, 31), job={"window_until": date(2026, 6, 1)})

    assert [e.late for e in site_file(desk, site.id).history] == [True, False]


def test_people_of_today_stand_before_those_of_the_past(desk):
    site = a_site(desk, owner="Seller")
    buyer = a_customer(desk, "Buyer", phone="409-555-0111")
    with desk.store.change("Ines", "Sold") as work:
        work.session.query(SiteRole).one().until_on = TODAY
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner", from_on=TODAY))

    file = site_file(desk, site.id)

    assert [p.name for p in file.people] == ["Buyer", "Seller"]
    assert [p.name for p in file.people_now] == ["Buyer"]
    assert file.line.startswith("Buyer")


def test_two_systems_their_wires_and_open_calls_are_in_the_file(desk):
    site = a_site(desk)
    second = a_system(desk, site, label="guest house")
    add(
        desk,
        WireNote(system_id=second.id, circuit="alarm", conductor="red", does="alarm float, hot"),
    )
    waiting = a_call(desk, site)
    a_call(desk, site, state="answered")

    file = site_file(desk, site.id)

    assert [s.label for s in file.systems] == ["", "guest house"]
    assert file.wires[0].does == "alarm float, hot"
    assert [c.id for c in file.open_calls] == [waiting.id]


def test_a_full_site_costs_as_many_queries_as_an_empty_one(desk, count_queries):
    empty, full = a_site(desk, "1 Empty Road"), a_site(desk, "2 Full Road")
    a_contract(desk, empty)
    a_contract(desk, full)
    for n in range(12):
        a_done_visit(desk, full, TODAY - timedelta(days=30 * n))
        a_call(desk, full, days_ago=30 * n)
        a_unit(desk, full)
        something_owed(desk, full, f"thing {n}")

    with count_queries(desk.store) as little:
        site_file(desk, empty.id)
    with count_queries(desk.store) as much:
        assert len(site_file(desk, full.id).history) == 24

    assert len(little) == len(much)


def test_a_site_that_is_gone_says_so(desk):
    with pytest.raises(Trouble, match="not in the store"):
        site_file(desk, 999)
