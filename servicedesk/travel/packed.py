"""Tables of whole numbers held as small as they go.

Two thousand places have four million ways. As tuples of numbers they take 160 MB and more; as rows
of two or four bytes a number they take 24, and are read like any other sequence.
"""

from array import array
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy.typing as npt

_MOST_IN_TWO_BYTES = 32_767


def packed_rows(table: "npt.NDArray[Any]") -> tuple[Sequence[int], ...]:
    """The rows of a table of whole numbers, each as a sequence of plain numbers."""
    is_small = table.size == 0 or int(abs(table).max()) <= _MOST_IN_TWO_BYTES
    code = "h" if is_small else "q"
    if not is_small and int(abs(table).max()) < 2**31:
        code = "i"
    size = {"h": "int16", "i": "int32", "q": "int64"}[code]
    return tuple(array(code, row.astype(size).tobytes()) for row in table)
