"""Columns proposed, corrected and remembered."""

import json

import pytest

from servicedesk.exchange.columns import (
    EXTRA,
    IGNORE,
    Mapping,
    field_title,
    folded,
    known_fields,
    propose,
    signature_of,
)
from tests.exchange.lists import a_layout, a_mapping, fields_of

ROW = "Quillan,3 Heron Bank,Pinder\n"


@pytest.mark.parametrize(
    ("heading", "cell", "field"),
    [
        ("Cust #", "1042", "own_number"), ("Account No.", "1042", "own_number"), ("HOMEOWNER NAME", "Quillan", "owner_name"),
        ("Custmer Name", "Quillan", "owner_name"), ("Owner name (Last, First)", "Quillan, R", "owner_name"),
        ("Property Addres", "3 Heron Bank", "address"), ("911 address", "3 Heron Bank", "address"),
        ("Zip code", "90001", "postcode"), ("Cell Phone", "802-555-0142", "phone"), ("E-Mail", "a@b.example", "email"),
        ("Lat", "37.1", "latitude"), ("Long.", "-58.1", "longitude"), ("GPS Coordinates", "37.1, -58.1", "position"),
        ("Permit Number", "TC-1", "permit"), ("# of Bedrooms", "3", "bedrooms"), ("Gallons/Day", "500", "gallons_day"),
        ("Start-up date", "2020-01-01", "start_up"), ("Contract Exp. Date", "2026-12-31", "contract_until"),
        ("Visits / yr", "3", "visits_year"), ("Inspection Frequency", "quarterly", "visits_year"),
        ("Annual Fee", "$285", "price"), ("Last Inspection Date", "2025-03-04", "visit_date"),
        ("Insp 2", "2025-03-04", "visit_date"), ("2nd visit 2025", "3/24", "visit_date"), ("Jan-25", "x", "visit_date"),
        ("Tech", "TH", "visit_technician"), ("Gate code", "4821", "gate"), ("Dog?", "yes", "dog"), ("Comments", "x", "notes"),
        ("Tel", "call wife 555 010 0199", "phone"), ("Phone(s)", "555-010-0101 / 555.010.0102", "phone"),
        ("Start", "3/14/2023", "contract_from"), ("last time we came", "2026-07-20", "visit_date"),
        ("Gate / notes", "dog, gate 4411#", "notes"), ("Call", "10/12/2026", "extra"),
        ("Last PM", "10/2/2025", "visit_date"), ("$/yr", "$285", "price"), ("Contract $", "285", "price"),
        ("Last", "10/2/2025", "extra"), ("Next due", "2026-11-01", "next_due"), ("Teléfono", "802-555-0142", "phone"), ("Straße", "Heron Bank 3", "address"),
    ],
)  # fmt: skip
def test_headings_of_offices_are_known(heading, cell, field):
    text = f'Who,"{heading}",Where,Town\nQuillan,"{cell}",3 Heron Bank,Pinder\nPell,"{cell}",5 Heron Bank,Pinder\n'
    if field in ("owner_name", "address"):
        text = (
            text.replace("Who,", "a1,")
            .replace("Where,", "a2,")
            .replace("3 Heron Bank,", "q,")
            .replace("5 Heron Bank,", "q,")
        )

    assert fields_of(a_mapping(text))[heading] == field


def test_a_heading_that_fits_nothing_becomes_a_note_and_an_empty_column_is_left_out():
    fields = fields_of(a_mapping("Name,Address,Shoe size,\nQuillan,3 Heron Bank,44,\n"))

    assert fields["Shoe size"] == EXTRA
    assert fields[""] == IGNORE


def test_a_known_word_is_not_a_typing_mistake_of_another():
    fields = fields_of(a_mapping("Name,Address,Contract,Site\nQuillan,PO Box 1,yes,red\n"))

    assert (fields["Contract"], fields["Site"]) == (EXTRA, EXTRA)


def test_cells_speak_where_the_heading_does_not():
    fields = fields_of(
        a_mapping(
            'A1,B1,C1,D1\n"Quillan, Ruth",3 Heron Bank,802-555-0142,a@b.example\n"Pell, Tom",52 Ashpit Lane,802-555-0103,c@d.example\n'
        )
    )

    assert fields == {"A1": "owner_name", "B1": "address", "C1": "phone", "D1": "email"}


def test_cells_that_contradict_the_heading_lower_its_confidence():
    right = a_mapping("Name,Address,Phone\nQuillan,3 Heron Bank,802-555-0142\n").columns("phone")[0]
    wrong = a_mapping("Name,Address,Phone\nQuillan,3 Heron Bank,blue\n").choices[2]

    assert right.confidence == 1.0
    assert wrong.field == EXTRA


def test_two_phone_columns_are_both_phones_and_two_addresses_are_not_both_addresses():
    mapping = a_mapping(
        "Name,Address,Address,Home phone,Cell phone\nQuillan,3 Heron Bank,PO Box 1,802-555-0142,802-555-0143\n"
    )

    assert len(mapping.columns("phone")) == 2
    assert len(mapping.columns("address")) == 1


def test_a_correction_moves_the_field():
    mapping = a_mapping("Name,Address,Site\nQuillan,PO Box 1,3 Heron Bank\n").with_choice(
        3, "address"
    )

    assert [c.col for c in mapping.columns("address")] == [3]
    assert mapping.choices[1].field == EXTRA
    with pytest.raises(ValueError, match="no field"):
        mapping.with_choice(1, "shoe_size")
    with pytest.raises(ValueError, match="no column"):
        mapping.with_choice(9, "address")


def test_a_remembered_mapping_is_taken_for_the_same_headings_only():
    layout = a_layout("Name,Address,Site\nQuillan,PO Box 1,3 Heron Bank\n")
    approved = propose(layout).with_choice(3, "address")
    kept = {approved.signature: json.loads(json.dumps(approved.to_plain()))}

    again = propose(a_layout("NAME,address,Site:\nPell,PO Box 2,52 Ashpit Lane\n"), kept)
    other = propose(a_layout("Name,Address,Town\nPell,PO Box 2,Pinder\n"), kept)

    assert [c.field for c in again.choices] == ["owner_name", EXTRA, "address"]
    assert all(c.remembered for c in again.choices)
    assert not any(c.remembered for c in other.choices)


def test_a_mapping_comes_back_from_its_plain_form():
    mapping = a_mapping("Name,Address\n" + "Quillan,3 Heron Bank\n")

    assert Mapping.from_plain(mapping.to_plain()).to_plain() == mapping.to_plain()
    assert Mapping.from_plain([["X", "field of long ago"]]).choices[0].field == EXTRA


def test_signatures_ignore_capitals_and_punctuation_only():
    assert signature_of(["Cust #", "Name"]) == signature_of(["CUST. #", "name:", ""])
    assert signature_of(["Cust #", "Name"]) != signature_of(["Name", "Cust #"])


def test_headings_fold_to_plain_words():
    assert folded("Permit No.") == folded("PERMIT #") == "permit number"


def test_every_field_has_a_name_for_people():
    for field in (*known_fields(), EXTRA, IGNORE):
        assert field_title(field)


def test_no_heading_stands_for_two_fields():
    seen = {}
    for field in known_fields().values():
        for heading in field.headings:
            assert seen.setdefault(heading, field.name) == field.name, heading
