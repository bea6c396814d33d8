"""The limits that a rule sets for a reading or a sample, and whether a value keeps them."""

from decimal import Decimal, InvalidOperation

from servicedesk.trade.rule_shapes import Limit
from servicedesk.trade.service_rules import ServiceRule
from servicedesk.values.reading import Qualifier

# How the texts of the rules name what we measure; the first words that fit decide.
NAMED_BY = {
    "total-chlorine": ("total chlorine", "total residual chlorine"),
    "fecal-coliform": ("fecal coliform",),
    "bod5": ("bod5",),
    "tss": ("tss",),
}
NOT_HOMES = "places other than single-family homes"
_NO_NUMBER = (Qualifier.OVER_RANGE, Qualifier.TOO_MANY)


def limit_for(rule: ServiceRule, item_id: str, *, single_family: bool) -> Limit | None:
    """The limit a rule prints for an item, None where it prints none or it does not hold here."""
    words = NAMED_BY.get(item_id, ())
    for limit in rule.sampling:
        if limit.low is None and limit.high is None:
            continue
        if not any(limit.what.casefold().startswith(word) for word in words):
            continue
        if limit.only == NOT_HOMES and single_family:
            continue
        return limit
    return None


def keeps(limit: Limit, value: str, qualifier: str) -> bool | None:
    """Does a value keep the limit? None where that cannot be told from it.

    "<0.1" does not keep "0.1 or more"; ">200", over range and too many to count do not keep
    "200 or less".
    """
    kind = Qualifier(qualifier)
    if kind in _NO_NUMBER:
        return limit.high is None
    try:
        number = Decimal(value)
    except InvalidOperation:
        return None
    if kind is Qualifier.LESS:
        if limit.low is not None and number <= limit.low:
            return False
        return (
            True if limit.low is None and limit.high is not None and number <= limit.high else None
        )
    if kind is Qualifier.GREATER:
        if limit.high is not None and number >= limit.high:
            return False
        return (
            True if limit.high is None and limit.low is not None and number >= limit.low else None
        )
    return limit.is_met_by(number)


def or_else_item(limit: Limit) -> str | None:
    """The item whose test may take this one's place."""
    named = (limit.or_else or "").casefold()
    return next((i for i, words in NAMED_BY.items() if named and named.startswith(words)), None)
