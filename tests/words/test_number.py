"""Telephone numbers as people read them out (ITU-T E.164; North American numbering plan)."""

import pytest

from servicedesk.words.calls import number


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
