"""Money: whole minor units with a currency, one rounding rule everywhere."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal


def rounded_minor(amount: Decimal) -> int:
    """`amount` in minor units rounded to a whole one, half away from zero (-0.5 gives -1)."""
    # ROUND_HALF_UP of decimal rounds a half away from zero, also below zero
    return int(amount.quantize(Decimal(1), rounding=ROUND_HALF_UP))


@dataclass(frozen=True, slots=True, order=True)
class Money:
    """A sum: `minor` units (cents) of `currency` (ISO 4217 letters)."""

    minor: int
    currency: str

    def __post_init__(self) -> None:
        if len(self.currency) != 3 or not self.currency.isupper():
            raise ValueError(f"{self.currency!r} is not a currency of three capital letters")

    def __add__(self, other: "Money") -> "Money":
        self._same(other)
        return Money(self.minor + other.minor, self.currency)

    def __sub__(self, other: "Money") -> "Money":
        self._same(other)
        return Money(self.minor - other.minor, self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.minor, self.currency)

    def times(self, factor: Decimal | int) -> "Money":
        """This sum times `factor`, rounded half away from zero."""
        return Money(rounded_minor(Decimal(self.minor) * Decimal(factor)), self.currency)

    def _same(self, other: "Money") -> None:
        if other.currency != self.currency:
            raise ValueError(f"{self.currency} and {other.currency} cannot be added")
