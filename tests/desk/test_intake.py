"""A call written while the customer talks."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from servicedesk.desk.callbacks import open_calls
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.intake import CallDraft, find_callers, make_site_of_call, write_call
from servicedesk.desk.promise import priority_of, promise_for
from servicedesk.desk.site_entry import NewSite
from servicedesk.desk.sites import site_rows
from servicedesk.records.calls import Call
from servicedesk.records.errors import StaleEdit
from servicedesk.records.sites import System
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_call, a_contract, a_site, a_system, system_of


def written(desk, changed):
    (call_id,) = changed.rows["call"]
    with desk.store.read() as session:
        return session.get(Call, call_id)


def test_three_signs_of_number_name_or_road_find_the_site(desk):
    site = a_site(desk, phone="409-555-0142", dogs_note="Two dogs, ring first")
    a_contract(desk, site, response_hours=4)
    a_site(desk, "22 Ashpit Lane", owner="Hobb")

    for text in ("0142", "qui", "dry", "118 dry"):
        (hit,) = find_callers(desk, text)
        assert hit.site_id == site.id, text

    assert (hit.owner, hit.phone) == ("Quillan, Ruth", "409-555-0142")
    assert hit.line == (
        "Quillan, Ruth · 409 555-0142 · contract to Mar 2027 · answer promised within 4 h"
    )
    assert [(c.kind, c.text) for c in hit.chips] == [
        ("dog", "Two dogs, ring first"),
        ("contract", "Contract to Mar 2027, 3 a year"),
        ("kind", "Aerobic with spray"),
    ]
    assert hit.contract_last_on == date(2027, 3, 31)
    assert find_callers(desk, "dr") == ()
    assert find_callers(desk, "d -r") == ()


def test_an_ended_site_is_not_offered_to_a_caller(desk):
    a_site(desk, ended_on=TODAY)

    assert find_callers(desk, "dry") == ()


def test_a_site_on_hold_and_an_open_call_are_said_at_once(desk):
    site = a_site(desk, on_hold=True)
    a_call(desk, site)
    a_call(desk, site, state="answered")

    (hit,) = find_callers(desk, "dry hollow")

    assert hit.on_hold
    assert hit.chips[0].kind == "hold"
    assert hit.n_open_calls == 1


def test_finding_callers_costs_the_same_number_of_queries_for_one_and_for_many(
    file_desk, count_queries
):
    desk = file_desk
    a_site(desk, "1 Solo Road", owner="Only")
    for n in range(1, 9):
        a_site(desk, f"{n} Many Road", owner=f"Manner {n}")

    with count_queries(desk.store) as one:
        assert len(find_callers(desk, "solo")) == 1
    with count_queries(desk.store) as many:
        assert len(find_callers(desk, "many")) == 8

    assert len(one) == len(many)


def test_a_call_of_a_known_site_takes_owner_system_priority_and_promise_from_the_book(desk):
    site = a_site(desk, phone="409-555-0142")
    a_contract(desk, site, response_hours=4)
    draft = CallDraft(
        site_id=site.id,
        symptoms=("high-water-alarm",),
        own_words=" same red light as in June ",
        answers={"breaker": "no"},
    )

    call = written(desk, write_call(desk, draft))

    assert call.uid == draft.uid
    assert (call.caller, call.caller_phone) == ("Quillan, Ruth", "409-555-0142")
    assert call.system_id == system_of(desk, site).id
    assert call.customer_id is not None
    assert call.priority == "urgent"
    assert call.own_words == "same red light as in June"
    assert call.answers == {"breaker": "no"}
    assert call.called_at == desk.clock.now()
    assert call.promised_by_at == desk.clock.now() + timedelta(hours=4)
    assert (call.state, call.taken_by) == ("open", "Ines")


def test_a_caller_in_no_book_is_one_line(desk):
    call = written(desk, write_call(desk, CallDraft(where_said="blue house past the chapel")))

    assert call.site_id is None
    assert call.where_said == "blue house past the chapel"
    # the company's 48 hours: Friday at the same time of day
    assert call.promised_by_at == datetime(2026, 10, 16, 14, 46, tzinfo=UTC)
    assert open_calls(desk)[0].title == "blue house past the chapel"


def test_a_call_that_nobody_could_answer_is_refused_where_it_is_wrong(desk):
    with pytest.raises(WrongEntry, match="who called") as caught:
        write_call(desk, CallDraft(symptoms=("no-spray",), caller="  "))

    assert caught.value.wrong[0].field == "where_said"
    assert open_calls(desk) == ()


def test_a_site_without_a_contract_gets_the_promise_of_its_rule(desk):
    site = a_site(desk)
    with desk.store.change("Ines", "Rule") as work:
        work.get(System, system_of(desk, site).id).rule_id = "tarrow-spray"
    slow = replace(desk, company=replace(desk.company, response_hours=96))

    assert promise_for(slow, site.id, desk.clock.now()).hours == 48
    assert promise_for(slow, None, desk.clock.now()).hours == 96


def test_a_promise_that_would_end_on_a_weekend_is_kept_before_it(desk):
    thursday_noon = desk.clock.instant(date(2026, 10, 15), 12 * 60)

    promise = promise_for(desk, None, thursday_noon)

    assert promise.by_at == desk.clock.instant(date(2026, 10, 16), 17 * 60)


def test_the_most_pressing_symptom_decides(desk):
    assert priority_of(["no-spray", "slow-drains", "high-water-alarm"]) == "danger"
    assert priority_of(["no-spray", "high-water-alarm"]) == "urgent"
    assert priority_of(["no-spray"]) == "normal"
    assert priority_of([]) == "normal"


def test_a_draft_that_was_written_is_not_written_again(desk):
    draft = CallDraft(caller="Pell")
    write_call(desk, draft)

    with pytest.raises(Trouble, match="written already"):
        write_call(desk, draft)

    assert len(open_calls(desk)) == 1


def test_a_written_call_is_edited_and_a_stale_page_is_refused(desk):
    site = a_site(desk)
    a_contract(desk, site, response_hours=4)
    call = written(desk, write_call(desk, CallDraft(caller="Pell", where_said="Dry Hollow")))
    edited = CallDraft(
        uid=call.uid, call_id=call.id, caller="Pell", site_id=site.id, symptoms=("wet-area",)
    )

    write_call(desk, edited, seen=call.revision)

    with desk.store.read() as session:
        now = session.get(Call, call.id)
    assert (now.site_id, now.symptoms, now.called_at) == (site.id, ["wet-area"], call.called_at)
    assert now.promised_by_at == call.called_at + timedelta(hours=4)
    with pytest.raises(StaleEdit):
        write_call(desk, edited, seen=call.revision)


def test_a_system_of_another_site_is_refused_and_two_systems_are_not_guessed(desk):
    site, other = a_site(desk), a_site(desk, "22 Ashpit Lane")
    a_system(desk, site)

    with pytest.raises(WrongEntry, match="does not stand"):
        write_call(desk, CallDraft(site_id=site.id, system_id=system_of(desk, other).id))
    assert written(desk, write_call(desk, CallDraft(site_id=site.id))).system_id is None
    with pytest.raises(Trouble, match="not in the store"):
        write_call(desk, CallDraft(site_id=999))


def test_a_caller_with_a_known_number_is_known_though_the_place_is_not(desk):
    a_site(desk, phone="409-555-0142")

    call = written(desk, write_call(desk, CallDraft(phone="(409) 555 0142")))

    assert call.customer_id is not None


def test_a_caller_in_no_book_becomes_a_site_and_a_customer(desk):
    draft = CallDraft(caller="Teasel, Jo", phone="409 555 0199", where_said="67 Burnt Mill")
    call = written(desk, write_call(desk, draft))

    changed = make_site_of_call(
        desk, call.id, NewSite(address="", locality="Wrenlock"), seen=call.revision
    )

    (site_id,) = changed.rows["site"]
    (row,) = site_rows(desk, [site_id])
    assert (row.address, row.locality, row.owner, row.phone) == (
        "67 Burnt Mill",
        "Wrenlock",
        "Teasel, Jo",
        "409 555-0199",
    )
    assert written(desk, changed).site_id == site_id
    assert find_callers(desk, "0199")[0].site_id == site_id
    with pytest.raises(Trouble, match="has a site already"):
        make_site_of_call(desk, call.id, NewSite(address="x"))


def test_without_an_address_no_site_is_made_of_a_call(desk):
    call = written(desk, write_call(desk, CallDraft(caller="Teasel, Jo")))

    with pytest.raises(WrongEntry, match="needs an address"):
        make_site_of_call(desk, call.id, NewSite(address=""))
    with pytest.raises(Trouble, match="not in the store"):
        make_site_of_call(desk, 999, NewSite(address="x"))


def test_a_priority_that_does_not_exist_is_our_mistake(desk):
    with pytest.raises(ValueError, match="soon"):
        write_call(desk, CallDraft(caller="Pell", priority="soon"))
