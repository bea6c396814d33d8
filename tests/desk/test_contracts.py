"""Contracts through their life: drafted, signed, ended, taken over, handed over, the house sold."""

from dataclasses import replace
from datetime import date

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import StaleEdit, WrongEntry
from servicedesk.desk.contract_edit import edit_contract
from servicedesk.desk.contract_file import contract_file
from servicedesk.desk.contract_sale import ENDS, Sale, sell_house
from servicedesk.desk.contracts import (
    NewContract,
    end_contract,
    hand_over,
    new_contract,
    sign_contract,
)
from servicedesk.records.company import CompanyLicense
from servicedesk.records.contracts import Contract
from servicedesk.records.people import SiteRole
from servicedesk.records.sites import Site
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_contract, a_customer, a_done_visit, a_site, a_system, system_of

YEAR = NewContract(site_id=0, from_on=date(2026, 10, 20), price_minor=38500)


def newest(desk, site):
    return contract_file(desk, site.id).lives[0]


def written(desk, site, **changes):
    return new_contract(desk, replace(YEAR, site_id=site.id, **changes))


def test_a_draft_is_signed_and_waits_for_its_first_day(desk):
    site = a_site(desk)
    written(desk, site, signed=False)
    draft = newest(desk, site)
    assert (draft.state, draft.row.holder) == ("draft", "Quillan, Ruth")
    assert draft.row.until_on == date(2027, 10, 20)

    sign_contract(desk, draft.row.id, seen=draft.row.revision)
    one = newest(desk, site)
    assert (one.state, one.state_text) == ("to begin", "signed, begins Oct 20, 2026")
    assert one.counts == ("3 owed, 0 done",)


def test_signing_is_taken_back_by_undo(desk):
    site = a_site(desk)
    written(desk, site, signed=False)
    changed = sign_contract(desk, newest(desk, site).row.id)
    undo(desk, changed.change_id)

    assert newest(desk, site).state == "draft"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {"until_on": date(2026, 10, 2)},
            "A contract from Oct 20, 2026 cannot end on Oct 1, 2026.",
        ),
        ({"price_minor": 0}, "A contract at $0.00 a year is no contract."),
        ({"price_minor": None}, "Write the price a year, or leave it a draft."),
        ({"visits_a_year": 60}, "Visits a year are 0 to 52."),
        ({"response_hours": 0}, "The hours to answer a complaint are 1 or more."),
    ],
)
def test_a_wrong_entry_is_said_in_one_sentence_and_writes_nothing(file_desk, changes, says):
    site = a_site(file_desk)
    with pytest.raises(WrongEntry) as caught:
        written(file_desk, site, **changes)

    assert [one.says for one in caught.value.wrong] == [says]
    assert contract_file(file_desk, site.id).lives == ()


def test_two_contracts_do_not_cover_the_same_day(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site)
    with pytest.raises(Trouble) as caught:
        written(file_desk, site)
    assert caught.value.what == "Contract 1 covers Oct 20, 2026 to Mar 31, 2027 already."

    written(file_desk, site, from_on=date(2027, 4, 1))  # the day after the last one
    assert [one.state for one in contract_file(file_desk, site.id).lives] == ["to begin", "running"]


def test_a_draft_over_the_same_days_stays_a_draft(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site)
    written(file_desk, site, signed=False)
    draft = newest(file_desk, site).row
    with pytest.raises(Trouble, match="already"):
        sign_contract(file_desk, draft.id)

    assert newest(file_desk, site).state == "draft"


def test_nothing_is_signed_while_the_license_has_expired(file_desk):
    site = a_site(file_desk)
    with file_desk.store.change("Ines", "License") as work:
        work.add(CompanyLicense(number="TC-7", valid_until=date(2026, 9, 1)))
    with pytest.raises(Trouble) as caught:
        written(file_desk, site)
    assert caught.value.what == "The company's license TC-7 is not valid on Oct 14, 2026."
    assert "Aug 31, 2026" in caught.value.means

    written(file_desk, site, signed=False)  # a draft may be written
    with file_desk.store.change("Ines", "License") as work:
        work.add(CompanyLicense(number="TC-8", valid_from=date(2026, 9, 1)))
    sign_contract(file_desk, newest(file_desk, site).row.id)


def test_a_first_policy_runs_two_years_from_first_use_and_needs_no_price(file_desk):
    # two years from first use: 30 TAC 285.7(c), requirements S2
    site = a_site(file_desk)
    with file_desk.store.change("Ines", "Started") as work:
        work.get(type(system_of(file_desk, site)), system_of(file_desk, site).id).started_on = date(
            2026, 10, 20
        )
    written(file_desk, site, is_first_policy=True, price_minor=None)

    one = newest(file_desk, site)
    assert one.row.until_on == date(2028, 10, 20)
    assert "initial service policy of a new system" in one.facts


def test_a_contract_covers_the_systems_that_are_named(file_desk):
    site = a_site(file_desk)
    other = a_system(file_desk, site, label="barn")
    written(file_desk, site, system_ids=(other.id,))
    written(file_desk, site, system_ids=(system_of(file_desk, site).id,), from_on=TODAY)

    states = {one.row.system_ids: one.facts for one in contract_file(file_desk, site.id).lives}
    assert set(states) == {(other.id,), (system_of(file_desk, site).id,)}
    assert "covers barn" in states[(other.id,)]


def test_a_contract_ends_on_a_day_within_it_and_says_why(file_desk):
    site = a_site(file_desk)
    contract = a_contract(file_desk, site)
    with pytest.raises(WrongEntry, match="Write why"):
        end_contract(file_desk, contract.id, on=TODAY, why=" ")
    with pytest.raises(WrongEntry, match="only within that"):
        end_contract(file_desk, contract.id, on=date(2028, 1, 1), why="moved away")
    end_contract(file_desk, contract.id, on=TODAY, why="moved away")

    one = newest(file_desk, site)
    assert (one.state, one.state_text) == ("ended", "ended Oct 13, 2026 (moved away)")
    with pytest.raises(Trouble, match="ending already"):
        end_contract(file_desk, contract.id, on=TODAY, why="again")


def test_a_stale_form_does_not_end_a_contract(file_desk):
    site = a_site(file_desk)
    contract = a_contract(file_desk, site)
    with file_desk.store.change("Lena", "Price") as work:
        work.get(Contract, contract.id).price_minor = 40000
    with pytest.raises(StaleEdit):
        end_contract(file_desk, contract.id, on=TODAY, why="moved", seen=contract.revision)


def test_taken_over_from_one_company_and_handed_to_another(file_desk):
    site = a_site(file_desk)
    written(file_desk, site, from_on=date(2026, 6, 1), taken_from="Fennel Water")
    one = newest(file_desk, site)
    assert "taken over from Fennel Water" in one.facts

    hand_over(file_desk, one.row.id, on=date(2026, 11, 1), to_firm="fennel water ")
    one = newest(file_desk, site)
    assert (one.state, one.state_text) == ("ending", "ends Oct 31, 2026, then with Fennel Water")
    assert one.row.handed_to == one.row.taken_from  # one firm, not two of a name


def test_a_gap_is_shown_as_what_it_is(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site, from_on=date(2024, 1, 1), until_on=date(2025, 1, 1))
    a_contract(file_desk, site, from_on=date(2025, 2, 1), until_on=date(2026, 2, 1))
    a_done_visit(file_desk, site, date(2025, 1, 15))
    file = contract_file(file_desk, site.id)

    # January has 31 days; February 1 to October 13 are 28 + 31 + 30 + 31 + 30 + 31 + 31 + 30 + 13
    assert file.gaps == (
        "No contract from Jan 1, 2025 to Jan 31, 2025 (31 days)",
        "No contract from Feb 1, 2026 to Oct 13, 2026 (255 days)",
    )
    # early within the 14 days of the next contract? January 15 is 17 days before it: no
    assert file.outside == ("The inspection of Jan 15, 2025 fell on a day without contract",)


def test_a_house_sold_ends_the_sellers_roles_and_moves_the_contract(desk):
    site = a_site(desk)
    contract = a_contract(desk, site)
    tenant = a_customer(desk, "Nye, Tom")
    with desk.store.change("Ines", "Tenant") as work:
        work.add(SiteRole(site_id=site.id, customer_id=tenant.id, role="occupant"))
    sell_house(desk, Sale(site_id=site.id, on=date(2026, 10, 1), buyer="Marsh, Ida"))

    one = newest(desk, site)
    assert (one.row.id, one.row.holder, one.state) == (contract.id, "Marsh, Ida", "running")
    with desk.store.read() as session:
        roles = session.query(SiteRole).order_by(SiteRole.id).all()
    assert [(r.role, r.from_on, r.until_on) for r in roles] == [
        ("owner", None, date(2026, 10, 1)),
        ("occupant", None, None),
        ("owner", date(2026, 10, 1), None),
    ]


def test_a_sale_is_taken_back_whole(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site)
    changed = sell_house(file_desk, Sale(site_id=site.id, on=TODAY, buyer="Marsh, Ida"))
    undo(file_desk, changed.change_id)

    assert newest(file_desk, site).row.holder == "Quillan, Ruth"
    with file_desk.store.read() as session:
        assert [(r.role, r.until_on) for r in session.query(SiteRole)] == [("owner", None)]


def test_a_sale_may_end_the_contract_and_the_one_after_it(file_desk):
    site = a_site(file_desk)
    first = a_contract(file_desk, site)
    a_contract(
        file_desk, site, from_on=date(2027, 4, 1), until_on=date(2028, 4, 1), follows_id=first.id
    )
    sell_house(
        file_desk,
        Sale(site_id=site.id, on=date(2026, 10, 1), buyer="Marsh, Ida", contract=ENDS),
    )

    later, now = contract_file(file_desk, site.id).lives
    assert now.state_text == "ended Sep 30, 2026 (house sold)"
    assert (later.state_text, later.counts) == (
        "ended before it began (house sold)",
        ("no inspections owed",),
    )


def test_a_sale_that_cannot_be_is_refused(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site)
    for on, buyer, says in (
        (date(2026, 10, 20), "Marsh, Ida", "not before"),
        (TODAY, " ", "who bought it"),
    ):
        with pytest.raises(WrongEntry, match=says):
            sell_house(file_desk, Sale(site_id=site.id, on=on, buyer=buyer))
    sell_house(file_desk, Sale(site_id=site.id, on=date(2026, 10, 1), buyer="Marsh, Ida"))
    with pytest.raises(WrongEntry, match="written already"):
        sell_house(file_desk, Sale(site_id=site.id, on=date(2026, 9, 1), buyer="Marsh, Ida"))


def test_a_contract_over_two_places_does_not_move_with_one(file_desk):
    site = a_site(file_desk)
    contract = a_contract(file_desk, site)
    other = a_site(file_desk, "6 Larkrise Court", owner=None)
    with file_desk.store.change("Ines", "Covers both") as work:
        from servicedesk.records.contracts import ContractSystem

        work.add(
            ContractSystem(contract_id=contract.id, system_id=system_of(file_desk, other).id)
        )  # fmt: skip
    with pytest.raises(Trouble, match="other places"):
        sell_house(file_desk, Sale(site_id=site.id, on=TODAY, buyer="Marsh, Ida"))

    with file_desk.store.read() as session:
        assert session.query(SiteRole).filter(SiteRole.until_on.is_not(None)).count() == 0
        assert session.get(Site, site.id).on_hold is False


def test_a_draft_gets_its_price_before_it_is_signed(file_desk):
    site = a_site(file_desk)
    written(file_desk, site, signed=False, price_minor=None)
    draft = newest(file_desk, site).row
    with pytest.raises(Trouble, match="has no price yet"):
        sign_contract(file_desk, draft.id)
    with pytest.raises(WrongEntry, match="is no contract"):
        edit_contract(file_desk, draft.id, {"price_minor": 0})
    edit_contract(file_desk, draft.id, {"price_minor": 38500, "own_number": " A-7 "},
                  seen=draft.revision)  # fmt: skip
    sign_contract(file_desk, draft.id)

    assert (newest(file_desk, site).row.price_minor, newest(file_desk, site).row.own_number) == (
        38500, "A-7",
    )  # fmt: skip


def test_a_signed_contract_keeps_its_days_and_lets_the_rest_change(file_desk):
    site = a_site(file_desk)
    contract = a_contract(file_desk, site)
    with pytest.raises(Trouble, match="days, price and inspections stand"):
        edit_contract(file_desk, contract.id, {"visits_a_year": 4})
    edit_contract(file_desk, contract.id, {"copy_sent_on": TODAY, "response_hours": 24})

    assert newest(file_desk, site).row.response_hours == 24
    assert newest(file_desk, site).row.copy_sent_on == TODAY


def test_a_contract_is_said_to_be_ending_in_its_last_sixty_days(file_desk):
    # common practice, no source: 60 days
    for n, (until, state) in enumerate(
        ((date(2026, 12, 13), "ending"), (date(2026, 12, 14), "running"))
    ):
        site = a_site(file_desk, f"{n} Quarry Spur")
        a_contract(file_desk, site, from_on=date(2026, 1, 1), until_on=until)
        assert newest(file_desk, site).state == state, until
