"""Jobs in words."""

import pytest

from servicedesk.words.jobs import beyond_reason


@pytest.mark.parametrize(
    ("found", "could_not", "left"),
    [
        ("refused", "refused", ""),
        ("No access, gate locked", "no access", "gate locked"),
        ("gate locked, nobody home", "no access", "gate locked, nobody home"),
        ("unsafely stacked lids", "unsafe", "unsafely stacked lids"),
        ("lids low", "", "lids low"),
    ],
)
def test_a_reason_is_not_said_twice(found, could_not, left):
    assert beyond_reason(found, could_not) == left
