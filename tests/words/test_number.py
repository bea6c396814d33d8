"""Telephone numbers as people read them out (ITU-T E.164; North American numbering plan)."""

import pytest

from servicedesk.words.calls import number, phone_text


@pytest.mark.parametrize(
    ("kept", "read"),
    [
        ("+14095550142", "409 555-0142"),
        ("409-555-0142", "409-555-0142"),
        ("+442079460018", "+442079460018"),
        ("+1409555014x", "+1409555014x"),
        ("", ""),
    ],
)
def test_a_number_is_read_as_it_is_said(kept, read):
    assert number(kept) == read


@pytest.mark.parametrize(
    ("typed", "e164", "said"),
    [
        ("4095550142", "+14095550142", "409 555-0142"),  # as a spreadsheet brings it
        ("(409) 555-0142", "+14095550142", "409 555-0142"),
        ("409-555-0142 x12", "+14095550142", "409-555-0142 x12"),  # says more than the number
        ("030 1234567", "+49301234567", "030 1234567"),  # another plan of numbers
        ("ask next door", None, "ask next door"),
    ],
)
def test_a_number_that_was_typed_is_shown_as_it_is_said(typed, e164, said):
    assert phone_text(typed, e164) == said
