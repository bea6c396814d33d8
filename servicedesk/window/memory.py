"""Gives memory back to the machine after long work."""

import ctypes
from collections.abc import Callable
from functools import cache
from typing import Any


def give_back() -> None:
    """Let the machine have what was freed but is still held; nothing where that is not known.

    Glibc keeps the pages of freed objects between those that live on. Measured with 3,000 sites
    after the weeks ahead: 56 to 66 MB given back in some milliseconds.
    """
    trim = _trim()
    if trim is not None:
        trim(0)


@cache
def _trim() -> Callable[[int], Any] | None:
    try:
        found: Callable[[int], Any] = ctypes.CDLL(None).malloc_trim
    except (OSError, AttributeError, TypeError):  # another C library, another system
        return None
    return found
