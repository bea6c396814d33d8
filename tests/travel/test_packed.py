"""Tables packed into rows of few bytes: the same numbers, whatever their size."""

import numpy as np
import pytest

from servicedesk.travel.packed import packed_rows


@pytest.mark.parametrize("most", [0, 1, 32_767, 32_768, 2**31 - 1, 2**31, 2**40])
def test_the_numbers_stay_as_they_were(most):
    table = np.array([[0, most], [most // 2, 7]], dtype=np.int64)

    rows = packed_rows(table)

    assert [list(row) for row in rows] == table.tolist()
    assert all(type(n) is int for row in rows for n in row)


def test_nothing_gives_nothing():
    assert packed_rows(np.zeros((0, 0), dtype=int)) == ()
