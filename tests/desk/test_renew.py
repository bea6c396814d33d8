"""Decisions about a contract that ends: one change each, taken back as one."""

from datetime import date

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.renew import Accepted, let_end, renew, renew_many, set_price
from servicedesk.desk.renewals import renewals
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from tests.builders import a_contract, a_done_visit, a_site, a_system, system_of

END = date(2027, 4, 1)
PRICE = Money(45000, "USD")


def contracts(desk):
    with desk.store.read() as session:
        return session.query(Contract).order_by(Contract.id).all()


def a_contract_that_ends(desk, address="118 Dry Hollow Lane", **values):
    site = a_site(desk, address)
    return site, a_contract(
        desk, site, price_minor=43000, visits_a_year=2, counting="rolling",
        longest_gap_months=5, billing="by visit", **values,
    )  # fmt: skip


def test_the_next_contract_begins_where_the_last_one_ends_and_takes_over_its_terms(desk):
    site, old = a_contract_that_ends(desk)
    changed = renew(desk, old.id, PRICE)
    _, made = contracts(desk)

    assert (made.from_on, made.until_on) == (END, date(2028, 4, 1))
    assert (made.follows_id, made.stage, made.price_minor) == (old.id, "running", 45000)
    assert (made.visits_a_year, made.counting, made.longest_gap_months) == (2, "rolling", 5)
    assert (made.holder_id, made.billing) == (old.holder_id, "by visit")
    assert made.number != old.number
    with desk.store.read() as session:
        covered = session.query(ContractSystem).filter_by(contract_id=made.id).all()
    assert [one.system_id for one in covered] == [system_of(desk, site).id]

    undo(desk, changed.change_id)
    assert [one.id for one in contracts(desk)] == [old.id]


def test_a_price_set_by_hand_is_the_draft_s_and_accepting_it_makes_it_run(desk):
    _, old = a_contract_that_ends(desk)
    set_price(desk, old.id, Money(44000, "USD"))
    set_price(desk, old.id, Money(44500, "USD"))
    _, draft = contracts(desk)
    assert (draft.stage, draft.price_minor) == ("draft", 44500)

    changed = renew(desk, old.id, PRICE)
    _, running = contracts(desk)
    assert (running.id, running.stage, running.price_minor) == (draft.id, "running", 45000)

    undo(desk, changed.change_id)
    assert (contracts(desk)[1].stage, contracts(desk)[1].price_minor) == ("draft", 44500)


def test_many_are_renewed_in_one_change_or_none_of_them(desk):
    _, first = a_contract_that_ends(desk)
    _, second = a_contract_that_ends(desk, "40 Old Weir")
    bad = [Accepted(first.id, PRICE), Accepted(second.id, Money(0, "USD"))]
    with pytest.raises(Trouble, match="above zero"):
        renew_many(desk, bad)
    assert len(contracts(desk)) == 2

    changed = renew_many(desk, [Accepted(first.id, PRICE), Accepted(second.id, PRICE)])
    assert [one.follows_id for one in contracts(desk)] == [None, None, first.id, second.id]
    undo(desk, changed.change_id)
    assert len(contracts(desk)) == 2


def test_a_gap_is_told_and_made_only_if_allowed(desk):
    _, old = a_contract_that_ends(desk)
    with pytest.raises(Trouble, match="would have no contract"):
        renew(desk, old.id, PRICE, date(2027, 5, 1))
    renew(desk, old.id, PRICE, date(2027, 5, 1), allow_gap=True)

    assert contracts(desk)[1].from_on == date(2027, 5, 1)


@pytest.mark.parametrize("begin", [date(2027, 3, 31), date(2026, 4, 1)])
def test_days_of_the_last_contract_are_not_covered_twice(desk, begin):
    _, old = a_contract_that_ends(desk)
    with pytest.raises(Trouble, match=f"Contract {old.number} covers"):
        renew(desk, old.id, PRICE, begin)
    assert len(contracts(desk)) == 1


def test_another_contract_of_the_same_system_stands_in_the_way(desk):
    site, old = a_contract_that_ends(desk)
    other = a_contract(desk, site, from_on=date(2027, 9, 1), until_on=date(2028, 9, 1))
    with pytest.raises(Trouble, match=f"Contract {other.number} covers"):
        renew(desk, old.id, PRICE)
    renew(desk, old.id, PRICE, until_on=date(2027, 9, 1))

    assert len(contracts(desk)) == 3


def test_a_system_out_of_service_is_left_out(desk):
    site = a_site(desk, "118 Dry Hollow Lane")
    a_system(desk, site, ended_on=date(2026, 12, 1))
    old = a_contract(desk, site)
    renew(desk, old.id, PRICE)
    with desk.store.read() as session:
        made = session.query(ContractSystem).filter(ContractSystem.contract_id != old.id).all()

    assert [one.system_id for one in made] == [system_of(desk, site).id]


@pytest.mark.parametrize(
    ("price", "until", "said"),
    [
        (Money(0, "USD"), None, "above zero"),
        (Money(-100, "USD"), None, "above zero"),
        (PRICE, END, "cannot end on"),
        (PRICE, date(2027, 1, 1), "cannot end on"),
    ],
)
def test_wrong_input_is_said_and_nothing_is_written(desk, price, until, said):
    _, old = a_contract_that_ends(desk)
    with pytest.raises(Trouble, match=said):
        renew(desk, old.id, price, until_on=until)

    assert len(contracts(desk)) == 1


def test_what_is_renewed_or_ending_is_not_renewed_again(desk):
    _, old = a_contract_that_ends(desk)
    _, other = a_contract_that_ends(desk, "40 Old Weir")
    renew(desk, old.id, PRICE)
    for act in (renew, set_price):
        with pytest.raises(Trouble, match="renewed already"):
            act(desk, old.id, PRICE)
    with pytest.raises(Trouble, match="renewed already"):
        let_end(desk, old.id, "sold")
    let_end(desk, other.id, "sold")
    with pytest.raises(Trouble, match="written as ending"):
        renew(desk, other.id, PRICE)


def test_letting_a_contract_end_wants_a_why_and_is_taken_back(desk):
    _, old = a_contract_that_ends(desk)
    with pytest.raises(Trouble, match="Why"):
        let_end(desk, old.id, "  ")
    changed = let_end(desk, old.id, "house sold")
    (ended,) = contracts(desk)
    assert (ended.ended_on, ended.ended_why) == (END, "house sold")

    undo(desk, changed.change_id)
    assert contracts(desk)[0].ended_on is None


def test_who_decides_on_what_changed_since_is_told(desk):
    _, old = a_contract_that_ends(desk)
    with desk.store.change("Lena", "Wrote a note") as work:
        work.get(Contract, old.id).note = "moves in spring"
    with pytest.raises(Trouble, match="Lena"):
        renew(desk, old.id, PRICE, seen=old.revision)


def test_a_leap_day_is_followed_by_the_last_of_february(desk):
    # a contract that ends on February 28, 2028 is followed from the 29th
    _, old = a_contract_that_ends(desk, from_on=date(2027, 3, 1), until_on=date(2028, 2, 29))
    renew(desk, old.id, PRICE)

    assert contracts(desk)[1].until_on == date(2029, 2, 28)


def test_the_page_shows_what_was_renewed_on_both_databases(desk):
    site, old = a_contract_that_ends(desk)
    a_done_visit(desk, site, date(2026, 8, 4), minutes=50, travel_min=30)
    renew(desk, old.id, PRICE)
    (line,) = renewals(desk, since=date(2027, 1, 1), until=date(2028, 1, 1)).lines

    assert (line.decision, line.price.next_minor) == ("renewed", 45000)
    assert (line.this_year.labor_min, line.this_year.road_min) == (50, 30)
