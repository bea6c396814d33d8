"""A person erased is gone from every text of the store, the log and the search included."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import JSON, Text, select

from servicedesk.records.base import Kind
from servicedesk.records.calls import Call
from servicedesk.records.changes import Change
from servicedesk.records.company import BroughtRow
from servicedesk.records.copying import check
from servicedesk.records.erase import erase_person
from servicedesk.records.people import Contact, Customer, Phone, SiteRole
from servicedesk.records.scrub import Scrub
from servicedesk.records.search import find
from servicedesk.records.sites import Site
from servicedesk.records.tables import models
from servicedesk.records.told import Told
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble

AT = datetime(2026, 10, 1, 12, tzinfo=UTC)


def everything_said(store) -> str:
    """Every text of every table in one."""
    said = []
    with store.read() as session:
        for model in models(*Kind):
            columns = [c for c in model.__table__.columns if isinstance(c.type, Text | JSON)]
            if columns:
                said += [str(v) for row in session.execute(select(*columns)) for v in row if v]
    return "\n".join(said).casefold()


def a_person(store):
    with store.change("Ines", "Wrote Zoé Lefèvre-Quill at 118 Dry Hollow Lane") as work:
        site = work.add(
            Site(number=1, address="118 Dry Hollow Lane", note="Zoé Lefèvre-Quill opens")
        )
        customer = work.add(
            Customer(name="Lefèvre-Quill, Zoé", email="zoe@quill.example", note="Deaf in one ear")
        )
        work.add(SiteRole(site_id=site.id, customer_id=customer.id, role="owner"))
        work.add(Contact(customer_id=customer.id, name="Tom Averill"))
        work.add(Phone(customer_id=customer.id, typed="(409) 555-0143", e164="+14095550143"))
        work.add(
            BroughtRow(
                list_name="sites.xlsx",
                row_key="1",
                site_id=site.id,
                seen_on=date(2026, 1, 2),
                cells={"Owner": "LEFÈVRE-QUILL ZOÉ", "Tel": "409.555.0143", "Tank": "500 gal"},
            )
        )
    with store.change("Ines", "Wrote a number that was wrong") as wrong:
        wrong.add(Phone(customer_id=customer.id, typed="409-555-0199", label="work"))
    undo_change(store, wrong.changed.change_id, who="Ines")
    with store.change("Ines", "A call of Tom Averill") as work:
        work.add(
            Call(
                called_at=AT,
                site_id=site.id,
                customer_id=customer.id,
                caller="Tom Averill",
                caller_phone="409 555 0143",
                own_words="the alarm is on since my operation",
            )
        )
        visit = work.add(Visit(site_id=site.id, note="Tom Averill was at home"))
        work.add(Job(visit_id=visit.id, kind_of="callback", told_whom="Tom Averill", found="float"))
        work.add(
            Told(told_at=AT, whom="Tom Averill", what="we come Friday", customer_id=customer.id)
        )
    with store.change("Ines", "Renamed") as work:
        work.get(Customer, customer.id).name = "Zoé Lefèvre-Quill"
    return site.id, customer.id, visit.id


TRACES = (
    "lefèvre",
    "lefevre",
    "zoé",
    "zoe@",
    "tom averill",
    "averill",
    "5550143",
    "555-0143",
    "555.0143",
    "555 0143",
    "555-0199",
    "deaf",
    "operation",
    "we come friday",
)


def test_nothing_of_an_erased_person_is_left_anywhere(store):
    site_id, customer_id, visit_id = a_person(store)
    assert all(trace in everything_said(store) for trace in TRACES if trace != "555 0143")

    erase_person(store, customer_id, who="Ines")

    said = everything_said(store)
    assert [trace for trace in TRACES if trace in said] == []
    with store.read() as session:
        assert session.get(Customer, customer_id).erased_at is not None
        assert find(session, "zoe") == find(session, "Averill") == find(session, "5550143") == []
        assert session.get(Site, site_id).address == "118 Dry Hollow Lane"
        assert session.get(Site, site_id).note == "(erased) opens"
        assert session.get(Visit, visit_id).note == "(erased) was at home"
        cells = session.scalars(select(BroughtRow.cells)).one()
    assert cells == {"Owner": "(erased)", "Tel": "(erased)", "Tank": "500 gal"}
    assert check(store).faults == ()


def test_an_erasure_and_what_came_before_it_cannot_be_taken_back(store):
    _, customer_id, _ = a_person(store)
    with store.read() as session:
        before = [c.id for c in session.scalars(select(Change)) if c.what == "Renamed"]

    erased = erase_person(store, customer_id, who="Ines")

    with pytest.raises(Trouble, match="What was erased stays erased"):
        undo_change(store, erased.change_id, who="Ines")
    with pytest.raises(Trouble, match=r"data was erased.*Write the person anew"):
        undo_change(store, before[0], who="Ines")


def test_a_namesake_keeps_their_own_rows(store):
    _, customer_id, _ = a_person(store)
    with store.change("Ines", "Another one of that name") as work:
        other = work.add(Customer(name="Tom Averill"))
        elsewhere = work.add(Site(number=2, address="9 Other Road", note="Tom Averill opens"))

    erase_person(store, customer_id, who="Ines")

    with store.read() as session:
        assert session.get(Customer, other.id).name == "Tom Averill"
        assert session.get(Site, elsewhere.id).note == "Tom Averill opens"


@pytest.mark.parametrize(
    ("text", "clean"),
    [
        ("Ruth Quillan and RUTH QUILLAN; Quillan, Ruth", "(erased) and (erased); (erased)"),
        ("Quillan Road 4, Ruth Other", "Quillan Road 4, Ruth Other"),
        ("call (409) 555-0102 or +1 409 555 0102", "call (erased) or (erased)"),
        ("555-0102 before 2026-10-14", "(erased) before 2026-10-14"),
        ("555-0103, tank 14095550103", "555-0103, tank 14095550103"),
        ("to ruth@quillan.example", "to (erased)"),
        ("", ""),
    ],
)
def test_a_name_goes_in_both_orders_and_a_number_however_written(text, clean):
    scrub = Scrub(["Ruth Quillan", "+1 409 555 0102", "ruth@quillan.example", "Ruth"])

    assert scrub.text(text) == clean


def test_nobody_said_takes_nothing_out():
    assert Scrub([]).text("Ruth Quillan 409 555 0102") == "Ruth Quillan 409 555 0102"
