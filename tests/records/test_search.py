"""Search answers alike on both databases, and the index is always what a new one would be."""

import random
import shutil
import tempfile
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from servicedesk.records import search
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.equipment import Unit
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.search import digits_of, find, find_sites, folded, words_of
from servicedesk.records.search_words import SearchWord
from servicedesk.records.sites import Site, System
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from tests.records.rows import DAY, a_site
from tests.records.snapshot import indexed

GIVEN = [
    "Zoé",
    "Łucja",
    "Jürgen",
    "Søren",
    "Ana",
    "Пётр",
    "Νίκος",
    "Þóra",
    "Åsa",
    "José",
    "İpek",
    "Ruth",
    "Émile",
    "O’Hara",
    "Ada",
    "Maß",
]
FAMILY = [
    "Lefèvre",
    "Żółć",
    "Müller",
    "Ødegård",
    "Иванов",
    "Strauß",
    "Quillan",
    "Nguyễn",
    "D’Arcy",
    "Smith-Jones",
    "Ærø",
    "Öz",
]
ROADS = [
    "Dry Hollow Lane",
    "Osprey Way",
    "Rue de l’Église",
    "Čapek Street",
    "Straße 7",
    "Long Road",
]


def a_county(store) -> None:
    """Forty sites with people, phones, permits, contracts and units; equal on every database."""
    chance = random.Random(3)
    with store.change("Ines", "Brought in a list") as work:
        for n in range(1, 41):
            road = chance.choice(ROADS)
            site = a_site(
                work,
                n,
                address=f"{chance.randrange(1, 400)} {road}",
                locality=chance.choice(["Pinder", "Old Tessing", "Ålby"]),
                postcode=f"7{n:04}",
                note=chance.choice(["", "dog bites", "gate sticks, push"]),
            )
            person = work.add(
                Customer(
                    name=f"{chance.choice(FAMILY)}, {chance.choice(GIVEN)}", own_number=f"K-{n}"
                )
            )
            work.add(SiteRole(site_id=site.id, customer_id=person.id, role="owner"))
            number = f"409555{chance.randrange(10000):04}"
            typed = f"({number[:3]}) {number[3:6]}-{number[6:]}"
            work.add(Phone(customer_id=person.id, typed=typed, e164=f"+1{number}"))
            system = work.add(
                System(site_id=site.id, permit=f"TC-{n:02}-{chance.randrange(9999):04}")
            )
            work.add(Unit(system_id=system.id, component="pump", serial=f"SN{n:03}X"))
            contract = work.add(
                Contract(
                    number=500 + n,
                    holder_id=person.id,
                    from_on=DAY,
                    until_on=DAY.replace(year=2027),
                )
            )
            work.add(ContractSystem(contract_id=contract.id, system_id=system.id))


def two_hundred_queries(store) -> list[str]:
    """Whole words and beginnings of what is there, pieces of numbers, and what finds nothing."""
    chance = random.Random(5)
    with store.read() as session:
        names = sorted(session.scalars(select(Customer.name)))
        phones = sorted(session.scalars(select(Phone.typed)))
        permits = sorted(session.scalars(select(System.permit)))
        addresses = sorted(session.scalars(select(Site.address)))
    queries = ["", " ", "?", "'", '"', "%", "_", "\\", "-", "a", "é", "ß", "я", "İ", "1", "0", "*"]
    queries += ["🙂", "a%", "x_y", "'; --", "\x00", "\u0301", "nobody at all", "zzzz", "LEFEVRE"]
    queries += ["lefe", "ŻÓŁĆ", "zolc", "MÜLLER", "muller", "strauss", "Strauß", "иван", "ИВАН"]
    queries += ["osprey pinder", "dog", "gate push", "sn007x", "SN0", "K-12", "512", "70012"]
    while len(queries) < 200:
        kind = chance.randrange(6)
        source = chance.choice([names, phones, permits, addresses][min(kind, 3)])
        if kind == 1:
            digits = "".join(c for c in source if c.isdigit())
            start = chance.randrange(7)
            queries.append(chance.choice([source, digits[start : start + 4], digits, source[-8:]]))
        elif kind in {4, 5}:
            one, two = chance.choice(names), chance.choice(addresses)
            queries.append(f"{one.split(',')[0]} {two.split()[-1][:3]}")
        else:
            cut = chance.randrange(1, len(source) + 1)
            text = source[:cut]
            queries.append(chance.choice([text, text.upper(), text.swapcase(), folded(text)]))
    return queries[:200]


@pytest.mark.pg
def test_two_hundred_queries_give_the_same_lists_on_both_databases(file_store, pg_store):
    a_county(file_store)
    a_county(pg_store)
    queries = two_hundred_queries(file_store)
    assert len(queries) == 200
    answered = 0

    for query in queries:
        with file_store.read() as one, pg_store.read() as other:
            hits = find(one, query)
            sites = find_sites(one, query)
            assert hits == find(other, query), query
            assert sites == find_sites(other, query), query
            answered += bool(hits or sites)

    assert answered > 120
    assert indexed(file_store) == indexed(pg_store)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("quillan", True),
        ("QUILL", True),
        ("ruth quillan", True),
        ("Quillan, Ruth", True),
        ("118 dry", True),
        ("old tess", True),
        ("409-555-0142", True),
        ("(409) 555-0142", True),
        ("+1 409 555 0142", True),
        ("4095550142", True),
        ("555 0142", True),
        ("0142", True),
        ("5501", True),  # a piece from the middle
        ("TC-00417", True),
        ("00417", True),
        ("417 dry", False),
        ("SN9", True),
        ("812", True),  # the contract's number
        ("dog", True),
        ("uillan", False),  # not from the middle of a word
        ("quillan pinder", False),
        ("409-555-0143", False),
        ("", False),
        ("...", False),
    ],
)
def test_a_site_is_found_by_everything_people_say_of_it(store, typed, found):
    with store.change("Ines", "Wrote a site") as work:
        site = a_site(work, 3, address="118 Dry Hollow Lane", locality="Old Tessing", note="dog")
        other = a_site(work, 4, address="9 Other Way", locality="Pinder")
        person = work.add(Customer(name="Quillan, Ruth"))
        work.add(SiteRole(site_id=site.id, customer_id=person.id, role="owner"))
        work.add(Phone(customer_id=person.id, typed="409 555 0142", e164="+14095550142"))
        system = work.add(System(site_id=site.id, permit="TC-00417"))
        work.add(Unit(system_id=system.id, component="pump", serial="SN99"))
        contract = work.add(
            Contract(number=812, holder_id=person.id, from_on=DAY, until_on=DAY.replace(year=2027))
        )
        work.add(ContractSystem(contract_id=contract.id, system_id=system.id))

    with store.read() as session:
        sites = find_sites(session, typed)
    assert (site.id in sites) is found
    assert other.id not in sites


def test_a_name_of_the_thing_comes_before_a_word_in_a_note(store):
    with store.change("Ines", "Wrote two sites") as work:
        noted = a_site(work, 1, note="key at Osprey").id
        named = a_site(work, 2, address="2 Osprey Way").id

    with store.read() as session:
        assert find_sites(session, "osprey") == [named, noted]
        assert [h.row_id for h in find(session, "osprey")] == [named, noted]


def test_who_has_left_a_site_does_not_lead_to_it_any_more(store):
    with store.change("Ines", "Sold") as work:
        site = a_site(work)
        seller, buyer = (work.add(Customer(name=n)) for n in ("Quillan, Ruth", "Averill, Tom"))
        work.add(SiteRole(site_id=site.id, customer_id=seller.id, role="owner", until_on=DAY))
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner", from_on=DAY))

    with store.read() as session:
        assert find_sites(session, "averill") == [site.id]
        assert find_sites(session, "quillan") == []
        assert [h.table_name for h in find(session, "quillan")] == ["customer"]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Łódź", "lodz"),
        ("STRAẞE", "strasse"),
        ("Straße", "strasse"),
        ("Ærø", "aero"),
        ("Ångström", "angstrom"),
        ("ﬁne", "fine"),  # a ligature
        ("e\u0301", "e"),  # accent apart
        ("ИВАНОВ", "иванов"),
        ("Νίκος", "νικοσ"),
        ("", ""),
    ],
)
def test_texts_are_folded_alike(text, plain):
    assert folded(text) == plain


@given(st.text())
def test_folding_twice_changes_nothing_and_words_can_be_asked_for(text):
    for word in words_of(text):
        assert words_of(word) == [word]


@pytest.mark.parametrize(
    ("texts", "some", "n"),
    [
        (("+1 409 555 0142",), {"14095550142", "4095550142", "5550142", "0142"}, 8),
        (("555-0142", None), {"5550142", "0142"}, 4),
        (("12-3",), set(), 0),
        ((None, ""), set(), 0),
        (("+49 30 1234567", "030 1234567"), {"0301234567", "49301234567"}, 9),
    ],
)
def test_a_number_can_be_found_by_each_of_its_ends(texts, some, n):
    found = digits_of(*texts)

    assert some <= set(found)
    assert len(found) == n


SITES = st.lists(
    st.tuples(st.text(max_size=12), st.text(max_size=12), st.integers(0, 3)), max_size=6
)


@settings(max_examples=20, deadline=None)
@given(changes=st.lists(SITES, min_size=1, max_size=4))
def test_the_index_kept_up_is_what_a_new_one_would_be(empty_file, changes):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "one.store")
        shutil.copyfile(empty_file, path)
        with closing(open_store(path)) as store:
            done = []
            for n, sites in enumerate(changes):
                with store.change("Ines", "Wrote sites") as work:
                    for k, (address, note, _) in enumerate(sites):
                        clean = (address.replace("\x00", ""), note.replace("\x00", ""))
                        a_site(work, 100 * n + k, address=clean[0], note=clean[1])
                done.append(work.changed.change_id)
            for change_id, sites in zip(done, changes, strict=True):
                if change_id and sites and sites[0][2] == 0:
                    undo_change(store, change_id, who="Ines")
            kept_up = indexed(store)
            with store._writing.begin() as connection:
                search.rebuild(connection)
            assert indexed(store) == kept_up


def test_secrets_and_texts_of_the_log_are_not_indexed(store):
    from servicedesk.records.sites import SiteSecret

    with store.change("Ines", "Wrote a code, hush") as work:
        work.add(SiteSecret(site_id=a_site(work).id, what="gate", value="4417hash"))

    with store.read() as session:
        words = set(session.scalars(select(SearchWord.word)))
    assert not words & {"4417hash", "hush", "gate"}
