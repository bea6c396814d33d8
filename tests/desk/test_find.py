"""The find box: records, things to do, words in notes."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.doing import asked_for
from servicedesk.desk.find import find, snippet
from servicedesk.records.parts import Part, StockMove, StockPlace
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_customer,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_unit,
    a_visit,
    something_owed,
)


def test_a_site_is_found_with_what_one_wants_to_know_of_it(desk):
    site = a_site(desk)
    lena = a_technician(desk)
    a_call(desk, site)
    a_call(desk, site)
    round_ = a_round(desk, lena, TODAY + timedelta(days=1))
    stop = a_visit(
        desk,
        site,
        planned_on=TODAY + timedelta(days=1),
        round_id=round_.id,
        arrive_min=660,
        held=True,
        job={"ordinal": 3},
    )
    a_site(desk, "121 Dry Hollow Lane", owner="Maddox")

    answer = find(desk, "dry hol")

    assert [(f.kind, f.title) for f in answer.records] == [
        ("site", "118 Dry Hollow Lane"),
        ("site", "121 Dry Hollow Lane"),
    ]
    assert answer.records[0].line == "Quillan, Ruth · 2 calls · inspection 3 tomorrow, 11:00 am"
    log, move, history, owe = answer.doings
    assert (log.act, log.title) == ("log_call", "Log a call for 118 Dry Hollow Lane")
    assert log.values == {"site_id": site.id}
    assert move.title == "Move the visit to 118 Dry Hollow Lane…"
    assert move.line == "now: tomorrow, Lena Hobb, 11:00 am, held in place"
    assert move.values == {"site_id": site.id, "visit_id": stop.id}
    assert (history.act, owe.act) == ("print_history", "add_owed")


def test_an_owner_whose_site_is_listed_is_not_listed_again(desk):
    a_site(desk)

    assert [f.kind for f in find(desk, "quillan").records] == ["site"]


def test_words_in_notes_are_shown_where_they_stand_newest_first(desk):
    site = a_site(desk, "7 Marsh End")
    lena = a_technician(desk)
    old = a_done_visit(
        desk, site, date(2025, 2, 6), technician=lena, note="the gate at the hollow sticks, lift it"
    )
    a_done_visit(desk, site, date(2026, 2, 6), technician=lena, job={"found": "Gate bent"})
    call = a_call(desk, site, own_words="I left the gate open")
    owed = something_owed(desk, site, "Gate hinge")

    notes = find(desk, "gate").notes

    assert [(n.kind, n.site_id) for n in notes] == [
        ("call", site.id),
        ("owed", site.id),
        ("visit", site.id),
        ("visit", site.id),
    ]
    assert (notes[0].row_id, notes[1].row_id, notes[3].row_id) == (call.id, owed.id, old.id)
    assert notes[2].line == "Visit of Feb 6, Lena Hobb, 7 Marsh End"
    assert notes[3].snippet == "the gate at the hollow sticks, lift it"
    assert notes[1].line == "Owed since Jul 11, 7 Marsh End"


def test_a_note_is_cut_at_words_around_the_one_looked_for():
    text = (
        "We drove up and the neighbor told us that the GÂTE at dry hollow sticks, lift it, then "
        * 2
    )

    piece = snippet(["nothing", text], ["gate"])

    assert piece == (
        "…the neighbor told us that the GÂTE at dry hollow sticks, lift it, then We drove up and…"
    )
    assert snippet(["short note"], ["absent"]) == "short note"
    assert snippet([""], ["x"]) == ""


def test_contracts_parts_units_technicians_and_people_without_a_site_are_found(desk):
    site = a_site(desk)
    contract = a_contract(desk, site, own_number="K77")
    a_unit(desk, site, "effluent-pump", serial="SN4711")
    a_technician(desk, "Tobin Pell")
    a_customer(desk, "Wanderer, Will", phone="409-555-0188")
    with desk.store.change("Ines", "Stock") as work:
        part = work.add(Part(number="F-220", name="Drywell float"))
        shelf, truck = work.add(StockPlace(name="shelf")), work.add(StockPlace(name="T1"))
        moved = {"part_id": part.id, "moved_on": TODAY, "written_at": work.at}
        work.add(StockMove(why="bought", quantity=8, to_place_id=shelf.id, **moved))
        work.add(
            StockMove(
                why="moved", quantity=2, from_place_id=shelf.id, to_place_id=truck.id, **moved
            )
        )

    def first(text):
        found = next(f for f in find(desk, text).records if f.kind != "site")
        return found.kind, found.title, found.line

    assert first("k77") == (
        "contract",
        f"Contract {contract.number}",
        "118 Dry Hollow Lane · Quillan, Ruth · to Mar 2027",
    )
    assert first("drywell") == ("part", "Drywell float", "part F-220 · 6 shelf, 2 T1")
    assert first("sn47") == ("unit", "Effluent pump, serial SN4711", "118 Dry Hollow Lane")
    assert first("tobin") == ("technician", "Tobin Pell", "technician")
    assert first("wander") == ("customer", "Wanderer, Will", "409-555-0188")
    assert first("0188") == ("customer", "Wanderer, Will", "409-555-0188")


def test_a_verb_may_come_first_and_a_day_last(desk):
    site = a_site(desk, "22 Ashpit Lane", owner="Hobb")
    lena = a_technician(desk, "Lena Marten")
    visit = a_visit(desk, site, planned_on=TODAY)

    (doing,) = find(desk, "print lena thu").doings
    assert doing.title == "Print the round of Lena Marten, tomorrow"
    assert doing.values == {"technician_id": lena.id, "day": date(2026, 10, 15)}
    (doing,) = find(desk, "log ashpit").doings
    assert (doing.act, doing.values) == ("log_call", {"site_id": site.id})
    (doing,) = find(desk, "move ashpit fri").doings
    assert doing.title == "Move the visit to 22 Ashpit Lane to Fri, Oct 16"
    assert doing.values["visit_id"] == visit.id
    assert [d.act for d in find(desk, "print ashpit").doings] == ["print_history"]
    (doing,) = find(desk, "plan tomorrow").doings
    assert (doing.act, doing.values) == ("plan_day", {"day": date(2026, 10, 15)})
    (doing,) = find(desk, "new 12 Marsh End").doings
    assert doing.values == {"address": "12 Marsh End"}
    (doing,) = find(desk, "print today").doings
    assert doing.title == "Print the rounds of today"


def test_a_road_called_like_a_verb_is_a_road(desk):
    site = a_site(desk, "3 Plan Road")

    answer = find(desk, "plan road")

    assert answer.records[0].row_id == site.id
    assert answer.doings[0].act == "log_call"


@pytest.mark.parametrize(
    ("text", "day"),
    [("print tod", TODAY), ("print Tue", date(2026, 10, 20)), ("print we", None)],
)
def test_a_closing_day_is_understood_from_three_letters(file_desk, text, day):
    asked = asked_for(file_desk, text)

    assert asked.day == day
    assert asked.rest == ("" if day else "we")


def test_nothing_and_one_sign_find_nothing(desk):
    a_site(desk)

    assert find(desk, "").count == 0
    assert find(desk, "d").count == 0
    assert find(desk, "zzz").count == 0


def test_finding_much_costs_as_many_queries_as_finding_one(desk, count_queries):
    solo = a_site(desk, "1 Solo Road", owner="Solo")
    a_call(desk, solo, own_words="solo")
    a_done_visit(desk, solo, TODAY, note="solo")
    for n in range(6):
        site = a_site(desk, f"{n} Crowd Road", owner=f"Crowd {n}")
        a_call(desk, site, own_words="crowd")
        a_done_visit(desk, site, TODAY, note="crowd")

    with count_queries(desk.store) as one:
        find(desk, "solo")
    with count_queries(desk.store) as many:
        assert find(desk, "crowd").count > 10

    assert len(one) == len(many)
