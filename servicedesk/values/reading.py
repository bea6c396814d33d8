"""A reading as it was taken."""

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum


class Qualifier(StrEnum):
    """What stands before the number."""

    EQUAL = "="
    LESS = "<"
    GREATER = ">"
    OVER_RANGE = "over range"
    TOO_MANY = "too many to count"


class ReadingState(StrEnum):
    """Whether there is a number, and whether one was wanted."""

    MEASURED = "measured"
    NOT_MEASURED = "not measured"
    NOT_REQUIRED = "not required"
    NO_LIMIT = "no limit set"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """`value` is the exact decimal text that was written down, `unit` the unit it was taken in."""

    value: str
    unit: str
    qualifier: Qualifier = Qualifier.EQUAL
    state: ReadingState = ReadingState.MEASURED

    def number(self) -> Decimal | None:
        """The number, or None where none was taken."""
        try:
            return Decimal(self.value)
        except InvalidOperation:
            return None
