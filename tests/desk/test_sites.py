"""The list of sites, and where each one is."""

from datetime import date

import pytest

from servicedesk.desk import sites
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.site_entry import NewSite, edit_site, end_site, new_site
from servicedesk.records.errors import StaleEdit
from servicedesk.records.site_rows import address_order
from servicedesk.values.position import Position, PositionSource
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_customer,
    a_done_visit,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)

HERE = {"lat_deg": 30.1, "lon_deg": -94.1, "position_source": "surveyed"}


def test_addresses_stand_by_street_and_then_by_house_number(desk):
    tenth = a_site(desk, "118 Dry Hollow Lane")
    ninth = a_site(desk, "9 dry hollow lane")
    first = a_site(desk, "22 Ashpit Lane")
    chapel = a_site(desk, "Pinder Chapel")

    assert sites.site_ids(desk) == [first.id, ninth.id, tenth.id, chapel.id]
    assert sites.site_ids(desk, descending=True)[0] == chapel.id


def test_a_street_that_begins_with_a_number_is_no_house_number():
    assert address_order("4th Street") == ("street", 4, "4th")
    assert address_order("Éstuary Road") == ("estuary road", 0, "")


def test_the_list_is_sorted_by_each_column_with_what_is_empty_last(desk):
    quiet = a_site(desk, "1 Able Road", owner="Zimmer", locality="Wrenlock")
    loud = a_site(desk, "2 Baker Road", owner="Abbot", locality="Pinder")
    a_call(desk, loud, days_ago=3)
    something_owed(desk, loud)
    a_done_visit(desk, loud, date(2026, 9, 6))
    nobody = a_site(desk, "3 Cane Road", owner=None, system=False, locality="")

    def order(sort, *, down=False):
        return sites.site_ids(desk, sort=sort, descending=down)

    assert order("owner") == [loud.id, quiet.id, nobody.id]
    assert order("owner", down=True) == [quiet.id, loud.id, nobody.id]
    assert order("locality") == [loud.id, quiet.id, nobody.id]
    assert order("calls", down=True) == [loud.id, quiet.id, nobody.id]
    assert order("owed", down=True)[0] == loud.id
    assert order("last visit", down=True) == [loud.id, quiet.id, nobody.id]
    assert order("kind") == [quiet.id, loud.id, nobody.id]
    assert order("number") == [quiet.id, loud.id, nobody.id]


def test_words_find_a_site_by_street_owner_and_the_end_of_a_phone_number(desk):
    wanted = a_site(desk, phone="409-555-0142")
    a_site(desk, "22 Ashpit Lane", owner="Hobb")

    for text in ("dry hol", "QUILLAN", "0142", "quil 118"):
        assert sites.site_ids(desk, text=text) == [wanted.id], text
    assert sites.site_ids(desk, text="dry ashpit") == []
    assert sites.site_ids(desk, text="lane", sort="address", descending=True)[0] == wanted.id


def test_each_filter_lets_its_own_sites_through_and_is_counted(desk):
    twice = a_site(desk, "1 Twice Road", **HERE)
    a_contract(desk, twice)
    a_call(desk, twice, days_ago=10)
    a_call(desk, twice, days_ago=400)
    old = a_site(desk, "2 Old Road", **HERE)
    a_call(desk, old, days_ago=800)
    a_call(desk, old, days_ago=900)
    owed = a_site(desk, "3 Owed Road", **HERE)
    something_owed(desk, owed)
    something_owed(desk, twice, state="settled")
    a_call(desk, owed, days_ago=5)
    waits = a_site(desk, "4 Wait Road", **{**HERE, "position_source": "guessed"})
    a_visit(desk, waits, planned_on=None)
    lost = a_site(desk, "5 Lost Road")
    a_site(desk, "6 Gone Road", ended_on=TODAY)

    def passing(name):
        return sites.site_ids(desk, filter=name)

    standing = [twice.id, old.id, owed.id, waits.id, lost.id]
    assert sorted(passing("all")) == standing
    assert passing("called") == [twice.id]
    assert passing("owed") == [owed.id]
    assert passing("no day") == [waits.id]
    assert sorted(passing("quiet")) == [old.id, waits.id, lost.id]
    assert sorted(passing("where")) == [waits.id, lost.id]
    assert sorted(passing("no contract")) == [old.id, owed.id, waits.id, lost.id]
    assert sites.filter_counts(desk) == {name: len(passing(name)) for name in sites.FILTERS}
    assert sites.site_ids(desk, among=[old.id, 999]) == [old.id]


def test_a_line_of_the_list_tells_what_happened_and_what_is_due(desk):
    site = a_site(desk, phone="409-555-0142", **HERE)
    contract = a_contract(desk, site)
    a_call(desk, site, days_ago=30, symptoms=["no-spray", "wet-area"])
    something_owed(desk, site)
    job = {"contract_id": contract.id, "window_until": date(2026, 6, 1)}
    a_done_visit(desk, site, date(2026, 5, 8), job=job)
    # `window_until` is excluded: that day itself is late
    a_done_visit(desk, site, date(2026, 6, 1), job=job)
    a_visit(desk, site, planned_on=date(2026, 10, 15), job={"contract_id": contract.id})

    (row,) = sites.site_rows(desk, [site.id, 999])

    assert row.owner == "Quillan, Ruth"
    assert row.phone == "409 555-0142"
    assert row.kind == "spray"
    assert row.calls == ((date(2026, 9, 14), "no-spray"),)
    assert row.n_owed == 1
    assert row.last_visit_on == date(2026, 6, 1)
    assert row.inspections == ("done", "done late", "planned")
    assert row.contract_last_on == date(2027, 3, 31)
    assert (row.position, row.position_state) == (Position(30.1, -94.1), "known")
    assert row.place_text == "surveyed"


def test_inspections_of_an_earlier_contract_year_are_not_those_of_this_one(desk):
    site = a_site(desk)
    contract = a_contract(desk, site, from_on=date(2024, 11, 1), until_on=date(2027, 11, 1))
    a_done_visit(desk, site, date(2025, 10, 31), job={"contract_id": contract.id})
    a_done_visit(desk, site, date(2025, 11, 1), job={"contract_id": contract.id})
    could_not = {"contract_id": contract.id, "outcome": "could not", "could_not": "no access"}
    a_done_visit(desk, site, date(2026, 3, 1), job=could_not)

    (row,) = sites.site_rows(desk, [site.id])

    assert row.inspections == ("done", "open", "open")


def test_a_seller_is_not_the_owner_any_more(desk):
    site = a_site(desk, owner="Seller")
    buyer = a_customer(desk, "Buyer")
    with desk.store.change("Ines", "Sold") as work:
        from servicedesk.records.people import SiteRole

        old = work.session.query(SiteRole).one()
        old.until_on = TODAY
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner", from_on=TODAY))

    assert sites.site_rows(desk, [site.id])[0].owner == "Buyer"


def test_a_list_costs_the_same_number_of_queries_for_one_site_and_for_forty(desk, count_queries):
    made = [a_site(desk, f"{n} Long Road", owner=f"Owner {n}") for n in range(1, 41)]
    for site in made[::4]:
        a_call(desk, site)
        a_contract(desk, site)

    with count_queries(desk.store) as one:
        sites.site_rows(desk, [made[0].id])
    with count_queries(desk.store) as all_of_them:
        assert len(sites.site_rows(desk, [s.id for s in made])) == 40

    assert len(one) == len(all_of_them)


def test_a_site_is_placed_and_the_list_of_unknown_places_gets_shorter(desk):
    site = a_site(desk)
    assert [r.id for r in sites.where_is_this(desk)] == [site.id]
    assert sites.where_is_this(desk)[0].place_text == "place guessed"

    changed = sites.set_position(
        desk, site.id, Position(30.5, -94.5), PositionSource.MAP, seen=site.revision
    )

    assert changed.rows == {"site": frozenset({site.id})}
    assert sites.where_is_this(desk) == []
    with pytest.raises(StaleEdit):
        sites.set_position(desk, site.id, None, None, seen=site.revision)
    sites.set_position(desk, site.id, None, None)
    assert sites.site_rows(desk, [site.id])[0].position_state == "none"


def test_sites_with_a_due_inspection_and_no_day_are_picked(desk):
    due, planned, done = (a_site(desk, f"{n} Due Road") for n in (1, 2, 3))
    for site in (due, planned, done):
        a_contract(desk, site)
    a_visit(desk, planned, planned_on=date(2026, 10, 20), job={"ordinal": 2})
    a_done_visit(desk, planned, date(2026, 5, 8))
    for on in (date(2026, 5, 8), date(2026, 9, 18)):
        a_done_visit(desk, done, on)

    assert due.id in sites.without_a_day(desk)
    assert done.id not in sites.without_a_day(desk)
    assert planned.id not in sites.without_a_day(desk)


def test_a_new_site_has_a_number_a_system_and_an_owner_with_a_phone(desk):
    changed = new_site(
        desk,
        NewSite(
            address=" 7 Marsh End ",
            locality="Lower Brisk",
            owner="Dunmore, Al",
            phones=("409 555 0177", ""),
            dispersal="drip",
        ),
    )

    (site_id,) = changed.rows["site"]
    (row,) = sites.site_rows(desk, [site_id])
    assert (row.address, row.number, row.owner, row.kind) == (
        "7 Marsh End",
        1,
        "Dunmore, Al",
        "drip",
    )
    assert sites.site_ids(desk, text="4095550177") == [site_id]


def test_an_address_that_is_in_the_book_is_not_written_twice(desk):
    known = a_site(desk, "118 Dry Hollow Lane", locality="Old Tessing")

    with pytest.raises(WrongEntry, match="in the book") as caught:
        new_site(desk, NewSite(address="118 DRY  hollow lane", locality="old tessing"))
    with pytest.raises(WrongEntry, match="needs an address"):
        new_site(desk, NewSite(address="  "))

    assert caught.value.wrong[0].meant == known.id
    new_site(desk, NewSite(address="118 Dry Hollow Lane", locality="Pinder"))


def test_an_edited_site_keeps_what_was_not_edited_and_refuses_a_stale_form(desk):
    site = a_site(desk, dogs_note="Two dogs, ring first")
    values = {"gate_note": " Close it again ", "visiting_days": (0, 2), "on_hold": True}

    edit_site(desk, site.id, values, seen=site.revision)

    with pytest.raises(StaleEdit):
        edit_site(desk, site.id, {"note": "x"}, seen=site.revision)
    with desk.store.read() as session:
        from servicedesk.records.site_rows import heads

        head = heads(session, [site.id])[site.id]
    assert (head.gate_note, head.dogs_note) == ("Close it again", "Two dogs, ring first")
    assert head.visiting_days == (0, 2)


def test_a_wrong_entry_is_said_at_its_field_with_what_was_probably_meant(desk):
    site = a_site(desk, visiting_from_min=9 * 60)
    lena = a_technician(desk, until_on=TODAY)

    def wrong(**values):
        with pytest.raises(WrongEntry) as caught:
            edit_site(desk, site.id, values, seen=site.revision)
        return [(w.field, w.meant) for w in caught.value.wrong]

    assert wrong(address=" ") == [("address", "118 Dry Hollow Lane")]
    assert wrong(visiting_until_min=4 * 60) == [("visiting_until_min", 16 * 60)]
    assert wrong(visiting_until_min=1500) == [("visiting_until_min", None)]
    assert wrong(visiting_days=()) == [("visiting_days", None)]
    assert wrong(wanted_technician_id=lena.id) == [("wanted_technician_id", None)]
    with pytest.raises(ValueError, match="lat_deg"):
        edit_site(desk, site.id, {"lat_deg": 1.0}, seen=site.revision)


def test_an_ended_site_leaves_the_list_and_says_why(desk):
    site = a_site(desk)

    with pytest.raises(WrongEntry):
        end_site(desk, site.id, on=TODAY, why="", seen=site.revision)
    end_site(desk, site.id, on=TODAY, why="connected to the sewer", seen=site.revision)

    assert sites.site_ids(desk) == []
    with pytest.raises(Trouble, match="not in the store"):
        end_site(desk, 999, on=TODAY, why="gone", seen=1)
