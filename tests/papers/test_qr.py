"""The codes read back by a reader written from the layout of ISO/IEC 18004 (from memory)."""

import pytest

from servicedesk.papers.paint import qr_modules

MASKS = [
    lambda r, c: (r + c) % 2,
    lambda r, _: r % 2,
    lambda _, c: c % 3,
    lambda r, c: (r + c) % 3,
    lambda r, c: (r // 2 + c // 3) % 2,
    lambda r, c: r * c % 2 + r * c % 3,
    lambda r, c: (r * c % 2 + r * c % 3) % 2,
    lambda r, c: ((r + c) % 2 + r * c % 3) % 2,
]
LEVELS = {1: "L", 0: "M", 3: "Q", 2: "H"}


def read_code(modules) -> tuple[str, str]:
    """Level and text of a code of version 1 to 3 with one block in byte mode."""
    size = len(modules)
    path = [(8, c) for c in (*range(6), 7, 8)] + [(r, 8) for r in (7, *range(5, -1, -1))]
    form = int("".join(str(int(modules[r][c])) for r, c in path), 2) ^ 0b101010000010010
    mask = MASKS[form >> 10 & 7]
    bits = [
        int(modules[r][c]) ^ (mask(r, c) == 0) for r, c in zigzag(size) if not reserved(r, c, size)
    ]
    number = lambda at, length: int("".join(map(str, bits[at : at + length])), 2)  # noqa: E731
    assert number(0, 4) == 0b0100
    data = bytes(number(12 + 8 * i, 8) for i in range(number(4, 8)))
    return LEVELS[form >> 13], data.decode()


def zigzag(size):
    columns = [c for c in range(size - 1, 0, -2) if c > 6] + [5, 3, 1]
    for turn, right in enumerate(columns):
        rows = range(size) if turn % 2 else range(size - 1, -1, -1)
        for row in rows:
            yield row, right
            yield row, right - 1


def reserved(row, column, size):
    finder = (row < 9 and (column < 9 or column >= size - 8)) or (row >= size - 8 and column < 9)
    far = size - 7
    aligned = size > 21 and abs(row - far) <= 2 and abs(column - far) <= 2
    return finder or aligned or 6 in (row, column)


@pytest.mark.parametrize(
    "text",
    ["geo:13.4125,103.8667", "geo:0,0", "geo:-89.99999,-179.99999", "geo:29.94123,-97.02214"],
)
def test_a_code_reads_back_as_what_went_in(text):
    assert read_code(qr_modules(text)) == ("M", text)
