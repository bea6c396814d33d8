"""People at a site over time."""

from datetime import date

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.intake import find_callers
from servicedesk.desk.people import add_phone, add_role, edit_customer, end_phone, sell_site
from servicedesk.desk.sitefile import site_file
from servicedesk.records.errors import StaleEdit
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_customer, a_site


def roles(desk, site):
    people = site_file(desk, site.id).people
    return {(p.name, p.role, p.until_on) for p in people}


def test_a_sale_ends_all_roles_of_the_seller_and_leaves_those_of_others(desk):
    seller = a_customer(desk, "Seller", phone="409-555-0111")
    neighbor = a_customer(desk, "Neighbor")
    site = a_site(desk, owner=seller)
    add_role(desk, site.id, seller.id, "report")
    add_role(desk, site.id, neighbor.id, "opens")

    sell_site(desk, site.id, buyer="Buyer, Ann", phones=("409-555-0122",))

    assert roles(desk, site) == {
        ("Buyer, Ann", "owner", None),
        ("Neighbor", "opens", None),
        ("Seller", "owner", TODAY),
        ("Seller", "report", TODAY),
    }
    assert find_callers(desk, "0122")[0].site_id == site.id
    assert find_callers(desk, "0111") == ()
    undo(desk)
    assert site_file(desk, site.id).people_now[0].name == "Seller"


def test_a_buyer_in_the_book_is_not_written_twice(desk):
    site = a_site(desk)
    buyer = a_customer(desk, "Buyer")

    changed = sell_site(desk, site.id, customer_id=buyer.id, on=date(2026, 10, 1))

    assert "customer" not in changed.rows
    with pytest.raises(WrongEntry, match="bought"):
        sell_site(desk, site.id, buyer=" ")
    with pytest.raises(Trouble, match="not in the store"):
        sell_site(desk, 999, buyer="x")


def test_a_customer_is_edited_and_reached_by_another_number(desk):
    customer = a_customer(desk, "Pell", phone="409-555-0133")
    site = a_site(desk, owner=customer)
    edit_customer(
        desk, customer.id, {"name": " Pell, Al ", "preferred_way": "text"}, seen=customer.revision
    )
    add_phone(desk, customer.id, "(409) 555-0144", label="mobile")
    old = site_file(desk, site.id).people_now[0].phones[0]
    end_phone(desk, old.id)

    (owner,) = site_file(desk, site.id).people_now

    assert (owner.name, owner.preferred_way) == ("Pell, Al", "text")
    assert [(p.typed, p.e164, p.label) for p in owner.phones] == [
        ("(409) 555-0144", "+14095550144", "mobile")
    ]
    with pytest.raises(StaleEdit):
        edit_customer(desk, customer.id, {"note": "x"}, seen=customer.revision)


def test_what_cannot_be_a_customer_is_refused(desk):
    customer = a_customer(desk)

    with pytest.raises(WrongEntry, match="needs a name"):
        edit_customer(desk, customer.id, {"name": " "}, seen=1)
    with pytest.raises(WrongEntry, match="telephone"):
        add_phone(desk, customer.id, "none")
    with pytest.raises(ValueError, match="pigeon"):
        edit_customer(desk, customer.id, {"preferred_way": "pigeon"}, seen=1)
    with pytest.raises(ValueError, match="guest"):
        add_role(desk, a_site(desk).id, customer.id, "guest")
