"""One object for equal texts and days: thousands of rows name the same places, people and days."""

from collections.abc import Callable
from datetime import date
from typing import Any, Final

BY_AND_BY: Final = {"yield_per": 1000}
"""For `execute`: thousands of rows are read a piece at a time, not all of them before the first."""


def alike() -> Callable[[Any], Any]:
    """A function that gives back a text or day as it first saw it, all else as it is.

    For rows that are kept: a database hands out each text anew.
    """
    seen: dict[str | date, str | date] = {}

    def same(value: Any) -> Any:
        return seen.setdefault(value, value) if isinstance(value, str | date) else value

    return same
