"""Sums and decisions of the year as its page says them."""

from decimal import ROUND_HALF_UP, Decimal

from servicedesk.desk.office import Desk
from servicedesk.renewals.price import (
    AFTER_VISIT,
    CALL_FIRST,
    NOT_RENEW,
    RAISE,
    RENEW,
    RENEWED,
)
from servicedesk.values.money import Money, rounded_minor
from servicedesk.words import say
from servicedesk.words.formats import MINUS, minor_digits
from servicedesk.words.renewal_reasons import decision_text

# color of the chip and its icon
DRESS = {
    RAISE: ("ochre", "out"),
    CALL_FIRST: ("clay", "phone"),
    RENEW: ("moss", "check"),
    AFTER_VISIT: ("ink2", "clock"),
    NOT_RENEW: ("ink2", "cross"),
    RENEWED: ("moss", "check"),
}


def exact(desk: Desk, minor: int) -> str:
    """A sum to the cent."""
    return desk.formats.money(Money(minor, desk.company.currency))


def whole(desk: Desk, minor: int) -> str:
    """A sum in whole units, for rows: "$612"."""
    from babel.numbers import format_currency

    currency = desk.company.currency
    value = rounded_minor(Decimal(minor).scaleb(-minor_digits(currency)))
    text: str = format_currency(
        value, currency, "¤#,##0", locale=desk.formats.locale_name, currency_digits=False
    )
    return text.replace("-", MINUS)


def signed(desk: Desk, minor: int, *, to_the_cent: bool = False) -> str:
    """A sum with its sign: "+$34", "−$192"."""
    text = exact(desk, abs(minor)) if to_the_cent else whole(desk, abs(minor))
    return ("+" if minor >= 0 else MINUS) + text


def percent(desk: Desk, share: Decimal | float, digits: int = 1) -> str:
    """A share as "2.8%"; without a digit that is zero."""
    step = Decimal(1).scaleb(-digits)
    value = (100 * Decimal(str(share))).quantize(step, rounding=ROUND_HALF_UP)
    return desk.formats.number(value.normalize() if value else Decimal(0)) + "%"


def signed_percent(share: float) -> str:
    """As "+20%", "−3%"; "" where nothing moves."""
    rounded = rounded_minor(Decimal(str(100 * share)))
    if not rounded:
        return ""
    return ("+" if rounded > 0 else MINUS) + f"{abs(rounded)}%"


def decision_words(code: str, *, decided: bool) -> str:
    """What is to be done; what nobody decided yet is asked."""
    words = decision_text(code)
    return words if decided else say("{decision}?", decision=words)
