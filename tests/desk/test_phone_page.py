"""What stands beside the call form, and what a call becomes when it is opened again."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.desk.phone_page import (
    beside_the_call,
    promise_by,
    promise_offers,
    written_call,
)
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_call, a_contract, a_done_visit, a_site, something_owed


def test_a_site_brings_its_promise_its_earlier_calls_and_what_we_owe_there(desk):
    site = a_site(desk, phone="555-0142", dogs_note="Two dogs, ring first")
    a_contract(desk, site, response_hours=4)
    before = a_call(desk, site, days_ago=128, state="answered")
    job = {"call_id": before.id, "did": "Float swapped, tested good"}
    a_done_visit(desk, site, TODAY - timedelta(days=128), kind_of="callback", job=job)
    something_owed(desk, site)

    beside = beside_the_call(desk, site.id, symptoms=["high-water-alarm"])

    assert beside.hit is not None
    assert beside.hit.address == "118 Dry Hollow Lane"
    assert "Two dogs, ring first" in [chip.text for chip in beside.hit.chips]
    assert beside.promised_by_at == desk.clock.instant(TODAY, 14 * 60 + 46)
    assert beside.promise_text == "today by 2:46 pm"
    assert beside.promise_why == "within 4 h by the contract"
    assert [one.did for one in beside.earlier] == [("Float swapped, tested good",)]
    assert beside.owed == ("West spray head tied up, since Jul 11",)


def test_a_caller_in_no_book_is_promised_what_the_company_promises(desk):
    beside = beside_the_call(desk, None)

    assert beside.hit is None
    assert beside.promise_why == "within 48 h as the company promises"
    assert (beside.earlier, beside.owed) == ((), ())


def test_a_written_call_comes_back_as_it_was_written(desk):
    site = a_site(desk)
    draft = CallDraft(
        site_id=site.id,
        caller="Ruth",
        symptoms=("air-alarm",),
        own_words="yellow since Sunday",
        answers={"alarm": "air or yellow light"},
        priority="urgent",
    )
    write_call(desk, draft)
    with desk.store.read() as session:
        call_id = session.connection().exec_driver_sql("select id from call").scalar()

    again = written_call(desk, call_id)

    for name in ("uid", "site_id", "caller", "symptoms", "own_words", "answers", "priority"):
        assert getattr(again.draft, name) == getattr(draft, name)
    assert again.draft.call_id == call_id
    write_call(desk, again.draft, seen=again.revision)  # and may be written again


def test_a_call_that_is_gone_is_said_to_be(file_desk):
    with pytest.raises(Trouble, match="not in the store"):
        written_call(file_desk, 77)
    with pytest.raises(Trouble, match="not in the store"):
        promise_by(file_desk, "0" * 32, file_desk.clock.now())


def test_only_instants_to_come_on_working_days_are_offered(file_desk):
    offers = promise_offers(file_desk)  # Wednesday, 10:46 am

    assert [one.text for one in offers[:4]] == [
        "Today by noon",
        "Today by 5:00 pm",
        "Tomorrow by noon",
        "Tomorrow by 5:00 pm",
    ]
    days = {file_desk.clock.day_of(one.by_at) for one in offers}
    assert days == {TODAY, date(2026, 10, 15), date(2026, 10, 16), date(2026, 10, 19)}


def test_an_instant_that_has_passed_is_not_offered(file_desk):
    one_pm = datetime(2026, 10, 14, 17, 0, tzinfo=UTC)
    later = replace(file_desk, clock=replace(file_desk.clock, now_utc=lambda: one_pm))

    assert promise_offers(later)[0].text == "Today by 5:00 pm"


def test_another_promise_is_written_and_stands_in_the_log(desk):
    call = a_call(desk, a_site(desk))
    by_at = desk.clock.instant(TODAY + timedelta(days=1), 12 * 60)

    promise_by(desk, call.uid, by_at)

    assert written_call(desk, call.id).promised_by_at == by_at
