"""Phones in cells as offices write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.exchange.phones import NO_AREA_CODE, TOO_SHORT, phones_in


def e164s(text, **more):
    return [phone.e164 for phone in phones_in(text, "US", **more)]


@pytest.mark.parametrize(
    "text",
    ["802-555-0142 (h) / 802-555-0177 cell", "802-555-0142/802-555-0177", "(802) 555-0142, (802) 555-0177",
     "8025550142 8025550177", "(802) 555-0142 (802) 555-0177", "802-555-0142 or 802-555-0177",
     "802 555 0142; 802 555 0177", "802.555.0142 & 802.555.0177", "h 802-555-0142\nc 802-555-0177",
     "Ruth: 802-555-0142 Tom: 802-555-0177", "+1 802 555 0142 | 1-802-555-0177", "802/555-0142, 802/555-0177"],
)  # fmt: skip
def test_two_numbers_in_a_cell_are_two_phones(text):
    assert e164s(text) == ["+18025550142", "+18025550177"]


def test_labels_names_and_extensions_are_kept_beside_the_number():
    home, cell = phones_in("802-555-0142 (h) / 802-555-0177 cell", "US")
    nell, desk = phones_in("802-555-0142 (Nell); 802-555-0177 x12", "US")

    assert (home.label, cell.label) == ("home", "mobile")
    assert (nell.note, desk.extension) == ("Nell", "12")


def test_a_number_without_area_code_waits_for_one():
    (phone,) = phones_in("555-0142", "US")

    assert (phone.e164, phone.problem, phone.typed) == (None, NO_AREA_CODE, "555-0142")
    assert e164s("555-0142 (h) / 555-0177 cell", area_code="802") == [
        "+18025550142",
        "+18025550177",
    ]


def test_a_number_too_short_is_kept_as_typed():
    (phone,) = phones_in("802-555", "US")

    assert (phone.e164, phone.problem, phone.typed) == (None, TOO_SHORT, "802-555")


def test_a_cell_without_digits_holds_no_phone():
    assert phones_in("call evenings", "US") == ()
    assert phones_in("", "US") == ()


def test_another_country_is_read_by_its_own_rules():
    # numbers set aside for drama by the regulator of the United Kingdom (020 7946 0000 to 0999), from memory
    assert [p.e164 for p in phones_in("020 7946 0958", "GB")] == ["+442079460958"]
    assert e164s("+44 20 7946 0958") == ["+442079460958"]


@given(
    st.integers(201, 989),
    st.integers(100, 199),
    st.sampled_from(
        ["{a}-555-0{n}", "({a}) 555-0{n}", "{a}5550{n}", "+1 {a} 555 0{n}", "1.{a}.555.0{n}"]
    ),
)
def test_every_writing_of_a_number_gives_one_e164(area, line, form):
    assert e164s(form.format(a=area, n=line)) == [f"+1{area}5550{line}"]


@given(st.text(max_size=40))
def test_no_text_trips_the_reader(text):
    for phone in phones_in(text, "US"):
        assert phone.e164 is None or phone.e164.startswith("+")
