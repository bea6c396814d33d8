"""Prices as people write them: "$285/yr", "95.00 per visit", "1.285,50 EUR"."""

import re
from dataclasses import dataclass
from decimal import Decimal

from servicedesk.values.money import Money, rounded_minor
from servicedesk.words.formats import minor_digits

_SYMBOLS = {
    "€": "EUR",
    "£": "GBP",
    "¥": "JPY",
    "C$": "CAD",
    "CA$": "CAD",
    "A$": "AUD",
    "US$": "USD",
    "NZ$": "NZD",
    "MX$": "MXN",
}
DOLLARS = frozenset({"USD", "CAD", "AUD", "NZD", "MXN"})
_PER = (
    ("visit", r"visit|vis|inspection|insp|trip|call|each|ea\b|time"),
    ("month", r"month|mo\b|mth|monthly"),
    ("quarter", r"quarter|qtr|quarterly"),
    ("year", r"year|yr|annum|annual|annually|yearly"),
)
_AMOUNT = re.compile(r"-?\d[\d.,'’\s]*\d|\d")


@dataclass(frozen=True, slots=True)
class Price:
    """A price. `amount` is None where no number stands there, or no currency is known.

    `number` is the figure without its currency; `per` is "visit", "month", "quarter", "year" or
    "" where nothing says. `foreign` is the currency written, where it is not the company's.
    """

    typed: str
    number: Decimal | None = None
    amount: Money | None = None
    per: str = ""
    foreign: str = ""


def price_in(
    text: str, *, currency: str = "", decimal_comma: bool = False, heading: str = ""
) -> Price:
    """The price in a cell.

    `currency` is the company's (ISO 4217), "" if it is not known. A dollar sign means the
    company's own dollar. `decimal_comma`: the file writes 12,50 for twelve and a half.
    """
    typed = " ".join(text.split())
    found = _AMOUNT.search(typed)
    if not found:
        return Price(typed)
    number = amount_of(found.group(), decimal_comma=decimal_comma)
    if number is None:
        return Price(typed)
    around = (typed[: found.start()] + " " + typed[found.end() :]).strip()
    written = _currency_in(around, heading, currency)
    used = written or currency
    amount = None
    if used:
        amount = Money(rounded_minor(number.scaleb(minor_digits(used))), used)
    foreign = used if currency and used != currency else ""
    return Price(typed, number, amount, _per(around) or _per(heading), foreign)


def amount_of(text: str, *, decimal_comma: bool = False) -> Decimal | None:
    """The number in "1,285.50", "1.285,50", "1 285" or "285"; None where it is not one.

    The last separator with one or two digits behind it is the decimal one. With three digits
    behind it, it separates thousands, unless `decimal_comma` speaks against it.
    """
    text = re.sub(r"[\s'’]", "", text)
    last = max(text.rfind("."), text.rfind(","))
    if last < 0:
        return _decimal(text)
    whole, mark, fraction = text[:last], text[last], text[last + 1 :]
    groups = re.split(r"[.,]", whole.lstrip("-"))
    is_fraction = len(fraction) != 3 or (decimal_comma and mark == "," and len(groups) == 1)
    if len(groups) > 1 and mark in whole:  # 1.285.000: the same mark twice never is decimal
        is_fraction = False
    if is_fraction:
        return _decimal(re.sub(r"[.,]", "", whole) + "." + fraction)
    return _decimal(re.sub(r"[.,]", "", text))


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if re.fullmatch(r"-?\d+(\.\d+)?", text) else None


def _currency_in(around: str, heading: str, own: str) -> str:
    for text in (around, heading):
        found = re.search(r"\b(USD|CAD|AUD|NZD|MXN|EUR|GBP|JPY|CHF|SEK|NOK|DKK)\b", text)
        if found:
            return found.group(1)
        for symbol in sorted(_SYMBOLS, key=len, reverse=True):
            if symbol in text:
                return _SYMBOLS[symbol]
        if "$" in text:
            return own if own in DOLLARS else ("USD" if own else "")
    return ""


def _per(text: str) -> str:
    for per, pattern in _PER:
        if re.search(rf"(?<![a-z])(?:{pattern})", text, re.IGNORECASE):
            return per
    return ""
