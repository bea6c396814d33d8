"""The find box answers as search does, only faster."""

import pytest

from servicedesk.records import finding, search
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_site,
    a_unit,
)


@pytest.fixture
def book(desk):
    for n, (address, owner) in enumerate(
        [
            ("118 Dry Hollow Lane", "Quillan, Ruth"),
            ("121 Dry Hollow Lane", "Maddox, Dry"),
            ("9 Łódź Road", "Hollow, Ann"),
            ("118 Ashpit Lane", "Pell, Al"),
        ]
    ):
        site = a_site(desk, address, owner=owner, phone=f"409-555-01{n}{n}")
        a_contract(desk, site, own_number=f"K{n}")
        a_unit(desk, site, serial=f"SN-77{n}")
        a_call(desk, site, own_words="dry alarm lane")
        a_done_visit(desk, site, TODAY, note="alarm quiet", job={"found": "dry hollow"})
    return desk


@pytest.mark.parametrize(
    "text",
    [
        "dry",
        "dry hol",
        "118 l",
        "lodz",
        "0111",
        "k2",
        "77",
        "118 quil",
        "quiet",
        "hollow",
        "",
        "al a",
    ],
)
def test_sites_are_those_of_the_search_in_the_same_order(book, text):
    with book.store.read() as session:
        assert finding.sites(session, text, limit=50) == search.find_sites(session, text)


@pytest.mark.parametrize("text", ["dry", "hollow ann", "k2", "0133", "pell", "nobody"])
def test_names_are_those_of_the_search(book, text):
    with book.store.read() as session:
        expected = [
            hit for hit in search.find(session, text, limit=1000) if hit.table_name in finding.NAMED
        ]
        assert finding.names(session, text, limit=1000) == expected


@pytest.mark.parametrize(
    "text", ["dry", "alarm dry", "quiet alarm", "hollow", "nobody", "alarm hollow"]
)
def test_notes_are_those_of_the_search(book, text):
    with book.store.read() as session:
        expected = {
            (hit.table_name, hit.row_id)
            for hit in search.find(session, text, limit=1000)
            if hit.table_name in finding.NOTES
        }
        found = finding.notes(session, text, limit=1000)
    assert {(hit.table_name, hit.row_id) for hit in found} == expected


def test_the_latest_notes_of_each_kind_are_kept(book):
    with book.store.read() as session:
        all_of_them = finding.notes(session, "alarm", limit=1000)
        latest = finding.notes(session, "alarm", limit=2)

    for table in ("visit", "call"):
        rows = [h.row_id for h in all_of_them if h.table_name == table]
        assert len(rows) == 4
        assert [h.row_id for h in latest if h.table_name == table] == sorted(rows)[:1:-1]


def test_a_word_that_is_still_being_typed_does_not_hide_the_notes(book):
    with book.store.read() as session:
        assert finding.notes(session, "alarm q", limit=9) == finding.notes(
            session, "alarm", limit=9
        )
        assert finding.notes(session, "al", limit=9) == []


@pytest.mark.parametrize("typed", ["118 dry", "lodz 9 hollow", "555 01", "k 118", "al pell 0133"])
def test_words_kept_from_key_to_key_lead_to_the_same(book, typed):
    kept: dict[str, finding.Leads] = {}
    with book.store.read() as session:
        for n in range(1, len(typed) + 1):
            text = typed[:n]
            found = finding.leads(session, text, 50, kept)
            assert found.best_sites(50) == search.find_sites(session, text)
            assert found.best_named(50) == finding.names(session, text, limit=50)
    assert 0 < len(kept) <= finding.WORDS_KEPT


def test_a_word_more_among_many_leads_to_the_same(book, monkeypatch):
    monkeypatch.setattr(finding, "FEW", 0)
    with book.store.read() as session:
        for text in ("118 l", "hollow ann", "dry hol"):
            assert finding.sites(session, text, limit=50) == search.find_sites(session, text)
            expected = [h for h in search.find(session, text) if h.table_name in finding.NAMED]
            assert finding.names(session, text, limit=50) == expected


@pytest.mark.parametrize("text", ["lane", "118 l", "hollow ann", "al"])
def test_a_few_are_the_first_of_all(book, text, monkeypatch):
    with book.store.read() as session:
        everything = finding.leads(session, text, 50)
        monkeypatch.setattr(finding, "FEW", 0)
        some = finding.leads(session, text, 1)
    assert some.best_sites(1) == everything.best_sites(1)
    assert some.best_named(1) == everything.best_named(1)
    assert len(some.sites) == 1


def test_a_note_counts_once_however_many_of_its_words_begin_so(file_desk):
    site = a_site(file_desk)
    calls = [a_call(file_desk, site, caller_phone="555 555 5555") for _ in range(4)]
    with file_desk.store.read() as session:
        found = finding.notes(session, "555", limit=3)
    assert [hit.row_id for hit in found] == [call.id for call in calls[:0:-1]]


def test_a_whole_word_comes_before_one_that_only_begins_so(file_desk):
    longer = a_site(file_desk, "4 Alder Road", owner="Quillan, Ruth")
    whole = a_site(file_desk, "5 Al Road", owner="Maddox, Dora")
    with file_desk.store.read() as session:
        assert finding.sites(session, "al", limit=5) == [whole.id, longer.id]
        assert finding.sites(session, "al road", limit=5) == [whole.id, longer.id]
