"""The opening page in values: who is out, what waits, which windows close, how the year stands."""

from datetime import date, timedelta

from servicedesk.desk.today import CLOSING_DAYS, N_ROWS, todays_page
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
    system_of,
)


def at(desk, hour, minute=0):
    return desk.clock.instant(TODAY, hour * 60 + minute)


def test_an_empty_day_says_so_in_numbers(file_desk):
    page = todays_page(file_desk)

    assert (page.day, page.now_min) == (TODAY, 10 * 60 + 46)
    assert (page.rounds, page.calls, page.closing, page.owed, page.year) == ((), (), (), (), ())
    assert (page.n_sites, page.n_closing_week, page.n_late, page.n_owed, page.n_unsent) == (0,) * 5


def test_a_round_tells_what_is_done_and_how_far_behind_it_is(desk):
    lena = a_technician(desk)
    round_ = a_round(desk, lena, leave_min=450, home_min=990, state="handed out")
    plan = [(480, 520), (540, 580), (600, 640)]
    went = [(at(desk, 8), at(desk, 8, 45)), (at(desk, 9), at(desk, 10, 2)), (None, None)]
    for place, ((begin, leave), (came, left)) in enumerate(zip(plan, went, strict=True), start=1):
        a_visit(
            desk,
            a_site(desk, f"{place} Long Road"),
            round_id=round_.id,
            place=place,
            begin_min=begin,
            leave_min=leave,
            arrived_at=came,
            left_at=left,
            state="done" if left else "planned",
        )

    (shown,) = todays_page(desk).rounds

    assert (shown.technician, shown.state, shown.n_done) == ("Lena", "handed out", 2)
    assert [stop.address for stop in shown.stops] == ["1 Long Road", "2 Long Road", "3 Long Road"]
    assert [stop.left_min for stop in shown.stops] == [525, 602, None]
    assert shown.behind_min == 602 - 580
    assert (shown.leave_min, shown.home_min) == (450, 990)


def test_a_round_that_has_not_begun_is_neither_behind_nor_ahead(desk):
    round_ = a_round(desk, a_technician(desk))
    a_visit(desk, a_site(desk), round_id=round_.id, place=1, begin_min=480, leave_min=520)

    (shown,) = todays_page(desk).rounds

    assert shown.behind_min is None
    assert not shown.stops[0].is_done


def test_calls_that_wait_stand_with_the_oldest_promise_first(desk):
    later = a_call(desk, a_site(desk), promised_by_at=at(desk, 16))
    sooner = a_call(desk, promised_by_at=at(desk, 13))
    a_call(desk, state="answered")

    assert [call.id for call in todays_page(desk).calls] == [sooner.id, later.id]


def windows_of(page):
    return [(one.address, one.closes_on, one.planned_on, one.is_late) for one in page.closing]


def test_windows_that_close_within_14_days_are_listed_the_soonest_first(desk):
    # three a year from Nov 1: the third of the contract closes on its last day, Oct 31 or sooner
    site = a_site(desk, "31 Quarry Spur")
    contract = a_contract(desk, site, from_on=date(2025, 10, 25), until_on=date(2026, 10, 25))
    for ordinal, on in ((1, date(2026, 1, 20)), (2, date(2026, 5, 20))):
        job = {"contract_id": contract.id, "ordinal": ordinal, "outcome": "done"}
        a_done_visit(desk, site, on, job=job)

    page = todays_page(desk)

    ((address, closes_on, planned_on, is_late),) = windows_of(page)
    assert (address, planned_on, is_late) == ("31 Quarry Spur", None, False)
    assert TODAY <= closes_on <= TODAY + timedelta(days=CLOSING_DAYS)
    assert page.n_closing_week_no_day == page.n_closing_week

    a_visit(
        desk,
        site,
        planned_on=TODAY + timedelta(days=1),
        job={"contract_id": contract.id, "ordinal": 3},
    )
    page = todays_page(desk)
    assert windows_of(page)[0][2] == TODAY + timedelta(days=1)
    assert page.n_closing_week_no_day == 0
    third = page.year[-1]
    assert (third.ordinal, third.n_with_day, third.n_open) == (3, 1, 0)


def test_a_window_that_closes_later_is_not_listed_yet(desk):
    # of a contract that runs on: its window is open now and closes weeks from now
    site = a_site(desk, "9 Tessing Road")
    a_contract(desk, site, from_on=date(2026, 9, 1), until_on=date(2027, 9, 1))

    page = todays_page(desk)
    assert page.closing == ()
    assert page.n_closing == 0

    year = page.year[0]
    assert year.n_open == 1
    assert year.last_closes_on > TODAY + timedelta(days=CLOSING_DAYS)


def test_a_missed_window_stands_before_those_that_close_soon(desk):
    soon = a_site(desk, "31 Quarry Spur")
    contract = a_contract(desk, soon, from_on=date(2025, 10, 25), until_on=date(2026, 10, 25))
    for ordinal, on in ((1, date(2026, 1, 20)), (2, date(2026, 5, 20))):
        a_done_visit(
            desk, soon, on, job={"contract_id": contract.id, "ordinal": ordinal, "outcome": "done"}
        )
    late = a_site(desk, "9 Tessing Road", owner="Marl, Otto")
    a_contract(desk, late, from_on=date(2026, 4, 1), until_on=date(2027, 4, 1))

    page = todays_page(desk)

    addresses = [one.address for one in page.closing]
    assert addresses.index("9 Tessing Road") < addresses.index("31 Quarry Spur")
    assert page.closing[0].is_late
    assert page.closing[0].closes_on < TODAY
    assert page.n_late >= 1


def test_inspections_of_the_year_are_counted_by_their_ordinal(desk):
    for n in range(3):
        site = a_site(desk, f"{n} Long Road", owner=f"Owner {n}")
        contract = a_contract(desk, site)
        if n < 2:
            job = {
                "contract_id": contract.id,
                "ordinal": 1,
                "outcome": "done",
                "system_id": system_of(desk, site).id,
            }
            a_done_visit(desk, site, date(2026, 6, 10), job=job)

    lines = todays_page(desk).year

    assert [line.ordinal for line in lines] == [1, 2, 3]
    first = lines[0]
    assert first.n_done + first.n_done_late == 2
    assert first.n_late + first.n_open == 1
    for line in lines:
        total = line.n_done + line.n_done_late + line.n_with_day + line.n_open + line.n_late
        assert total == 3


def test_what_is_owed_is_counted_whole_and_shown_in_part(desk):
    site = a_site(desk)
    for n in range(N_ROWS + 2):
        something_owed(desk, site, f"Thing {n}", by_on=TODAY + timedelta(days=20 - n))

    page = todays_page(desk)

    assert page.n_owed == N_ROWS + 2
    assert len(page.owed) == N_ROWS
    assert page.owed[0].row.what == f"Thing {N_ROWS + 1}"
    assert page.owed[0].days_left == 20 - N_ROWS - 1
