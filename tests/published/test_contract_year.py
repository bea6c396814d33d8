"""A year of one contract walked by hand: what is owed, done and late at each step, written first.

The rule is the first of the five shapes, *every N months at most*: 30 TAC 285.91(4), Table IV, any
treatment with surface application: "at least once every four months" (texreg.sos.state.tx.us/fids/
30_0285_0091-14.html, read 2026-11-25). What the text does not say and the contract settles: three
inspections in fixed thirds of the year, 14 days of tolerance (common practice, no source).

By hand, on the calendar:

    contract       Jan 1 to Dec 31, 2026: thirds Jan 1 - Apr 30, May 1 - Aug 31, Sep 1 - Dec 31
    first          Dec 20, 2025: 12 days before Jan 1, within the 14 days: it counts
    second by      Dec 20 + 4 months = Apr 20, 2026: before the third of May begins, so the rule holds
    locked gate    Apr 15: an attempt, fills nothing
    done           May 10: 20 days after Apr 20 (10 of April, 10 of May)
    third by       May 10 + 4 months = Sep 10, 2026
    sold           Oct 1: 21 days after Sep 10 (20 of September, 1 of October); owed stays owed
    renewed        from Jan 1, 2027 without a gap: a late one counts until Jan 14, from Jan 15 missed
"""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

import pytest

from servicedesk.desk.contract_file import contract_file
from servicedesk.desk.contract_sale import Sale, sell_house
from servicedesk.desk.contracts import NewContract, new_contract
from servicedesk.desk.office import desk_at
from servicedesk.desk.renew import renew
from servicedesk.duties.terms import WindowState
from servicedesk.records.sites import System
from servicedesk.values.clock import Clock
from servicedesk.values.money import Money
from tests.builders import TIME_ZONE, a_company, a_done_visit, a_site, system_of
from tests.conftest import NOW


@pytest.fixture
def desk(file_store):
    a_company(file_store)
    return desk_at(file_store)


def at(desk, day):
    """The same desk on another day."""
    return replace(desk, clock=Clock(ZoneInfo(TIME_ZONE), day, lambda: NOW))


def stands(desk, site, day, *, contract=1):
    """Owed, done, done late, late, missed, tried: of one contract, as of a day."""
    file = contract_file(at(desk, day), site.id)
    (period,) = next(one for one in file.lives if one.row.number == contract).periods
    return (
        period.n_owed, period.n_done, period.n_done_late, period.n_late, period.n_missed,
        len(period.tried),
    )  # fmt: skip


def window(desk, site, day, n, *, contract=1):
    file = contract_file(at(desk, day), site.id)
    return next(one for one in file.lives if one.row.number == contract).periods[0].windows[n]


def test_a_year_of_one_contract_from_signing_to_the_next(desk):
    site = a_site(desk)
    with desk.store.change("Ines", "Rule") as work:
        work.get(System, system_of(desk, site).id).rule_id = "us-tx-surface"

    # signed before the year begins
    december = at(desk, date(2025, 12, 15))
    year = NewContract(
        site_id=site.id, from_on=date(2026, 1, 1), until_on=date(2027, 1, 1), price_minor=38500
    )
    new_contract(december, year)
    assert stands(desk, site, date(2025, 12, 15)) == (3, 0, 0, 0, 0, 0)
    first = window(desk, site, date(2025, 12, 15), 0)
    assert (first.opens_on, first.closes_on) == (date(2026, 1, 1), date(2026, 4, 30))

    # inspected early, within the tolerance: it counts, and the rule's four months run from it
    a_done_visit(desk, site, date(2025, 12, 20))
    assert stands(desk, site, date(2026, 1, 2)) == (3, 1, 0, 0, 0, 0)
    assert window(desk, site, date(2026, 1, 2), 0).state is WindowState.DONE
    assert window(desk, site, date(2026, 1, 2), 1).closes_on == date(2026, 4, 20)

    # a locked gate: an attempt fills nothing, and after April 20 the inspection is late
    a_done_visit(
        desk, site, date(2026, 4, 15), job={"outcome": "could not", "could_not": "no access"}
    )
    assert stands(desk, site, date(2026, 4, 16)) == (3, 1, 0, 0, 0, 1)
    assert stands(desk, site, date(2026, 4, 25)) == (3, 1, 0, 1, 0, 1)
    assert window(desk, site, date(2026, 4, 25), 1).days_late == 5

    # done late
    a_done_visit(desk, site, date(2026, 5, 10))
    assert stands(desk, site, date(2026, 5, 11)) == (3, 2, 1, 0, 0, 1)
    second = window(desk, site, date(2026, 5, 11), 1)
    assert (second.state, second.days_late) == (WindowState.DONE_LATE, 20)
    assert window(desk, site, date(2026, 5, 11), 2).closes_on == date(2026, 9, 10)

    # sold while the third is late: the contract moves with what it owes
    assert stands(desk, site, date(2026, 9, 10)) == (3, 2, 1, 0, 0, 1)
    october = at(desk, date(2026, 10, 1))
    sell_house(october, Sale(site_id=site.id, on=date(2026, 10, 1), buyer="Marsh, Ida"))
    assert stands(desk, site, date(2026, 10, 1)) == (3, 2, 1, 1, 0, 1)
    assert window(desk, site, date(2026, 10, 1), 2).days_late == 21
    (life,) = contract_file(october, site.id).lives
    assert (life.row.holder, life.state) == ("Marsh, Ida", "running")

    # renewed: the third may still be made up within the tolerance, after that it is missed
    renew(at(desk, date(2026, 12, 1)), life.row.id, Money(39500, "USD"))
    assert stands(desk, site, date(2027, 1, 14)) == (3, 2, 1, 1, 0, 1)
    assert stands(desk, site, date(2027, 1, 15)) == (3, 2, 1, 0, 1, 1)
    assert stands(desk, site, date(2027, 1, 15), contract=2) == (3, 0, 0, 0, 0, 0)
    second_year, first_year = contract_file(at(desk, date(2027, 1, 15)), site.id).lives
    assert (first_year.state, second_year.state) == ("renewed", "running")
    assert second_year.row.holder == "Marsh, Ida"


@pytest.mark.parametrize(
    ("rule_id", "permit_visits", "closes"),
    [
        # shape 1, 30 TAC 285.91(4): four months from the start, its own day counted
        ("us-tx-surface", None, [date(2026, 6, 30), date(2026, 10, 31), date(2027, 2, 28)]),
        # shape 2, Lake County, Illinois, Ord. 24-1005: two a calendar year; the contract's
        # three thirds of March 1 to February 28 are stricter and stand
        ("us-il-county-2", None, [date(2026, 6, 30), date(2026, 10, 31), date(2027, 2, 28)]),
        # shape 3, Loudoun County, Virginia, 1067.04: on file by July 1, contract's ends earlier
        ("us-va-county-1", None, [date(2026, 6, 30), date(2026, 10, 31), date(2027, 2, 28)]),
        # shape 4, 30 TAC 285.91(4), non-standard treatment: the permit says how often, here four
        # in a calendar year: quarters of the contract year, yet the fourth by December 31
        (
            "us-tx-nonstandard",
            4,
            [date(2026, 5, 31), date(2026, 8, 31), date(2026, 11, 30), date(2026, 12, 31)],
        ),
        # shape 5, Okla. Admin. Code 252:641-10-3(a): every six months in the first two years
        ("us-ok-first-two-years", None, [date(2026, 6, 30), date(2026, 10, 31),
                                         date(2027, 2, 28)]),
    ],
)  # fmt: skip
def test_each_shape_of_rule_owes_what_its_text_and_the_contract_say(
    desk, rule_id, permit_visits, closes
):
    site = a_site(desk)
    with desk.store.change("Ines", "Rule") as work:
        system = work.get(System, system_of(desk, site).id)
        system.rule_id, system.permit_visits = rule_id, permit_visits
        system.started_on = date(2026, 3, 1)
    signing = NewContract(
        site_id=site.id, from_on=date(2026, 3, 1), until_on=date(2027, 3, 1), price_minor=38500
    )
    new_contract(at(desk, date(2026, 3, 1)), signing)

    (life,) = contract_file(at(desk, date(2026, 3, 1)), site.id).lives
    assert [one.closes_on for one in life.periods[0].windows] == closes
