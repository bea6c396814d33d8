"""Readings in words: the value, the range people expect, where the value lies against it."""

from decimal import Decimal, InvalidOperation

from servicedesk.values.reading import Qualifier, ReadingState
from servicedesk.words.languages import say

_UNSAID = ("count", "pH", "")


def value_text(value: str, unit: str, qualifier: str, state: str) -> str:
    """A reading as a person reads it: "0.4 mg/L", "less than 0.1 mg/L", "not measured"."""
    if state == ReadingState.NOT_MEASURED:
        return say("not measured")
    if state == ReadingState.NOT_REQUIRED:
        return say("not required")
    shown = value if unit in _UNSAID else say("{value} {unit}", value=value, unit=unit)
    match Qualifier(qualifier):
        case Qualifier.LESS:
            return say("less than {value}", value=shown)
        case Qualifier.GREATER:
            return say("more than {value}", value=shown)
        case Qualifier.OVER_RANGE:
            return say("over the range of the meter")
        case Qualifier.TOO_MANY:
            return say("too many to count")
    return shown


def range_text(low: str | None, high: str | None) -> str:
    """The range: "6 to 9", "0.1 or more", "200 or less"."""
    if low is not None and high is not None:
        return say("{low} to {high}", low=low, high=high)
    if low is not None:
        return say("{low} or more", low=low)
    return say("{high} or less", high=high) if high is not None else say("none set")


def is_outside(
    value: str, qualifier: str, state: str, low: str | None, high: str | None
) -> str | None:
    """Where a reading lies: "below", "above", "within"; None where that cannot be told from it.

    "<0.1" lies below "0.1 or more"; "<0.5" may lie on either side of it.
    """
    if state != ReadingState.MEASURED or (low is None and high is None):
        return None
    kind = Qualifier(qualifier)
    if kind in (Qualifier.OVER_RANGE, Qualifier.TOO_MANY):
        return "above" if high is not None else "within"
    try:
        number = Decimal(value)
        least = None if low is None else Decimal(low)
        most = None if high is None else Decimal(high)
    except InvalidOperation:
        return None
    return _place(number, kind, least, most)


def _place(
    number: Decimal, kind: Qualifier, least: Decimal | None, most: Decimal | None
) -> str | None:
    if kind is Qualifier.LESS:
        if least is not None:
            return "below" if number <= least else None
        return "within" if most is not None and number <= most else None
    if kind is Qualifier.GREATER:
        if most is not None:
            return "above" if number >= most else None
        return "within" if least is not None and number >= least else None
    if least is not None and number < least:
        return "below"
    return "above" if most is not None and number > most else "within"


def place_text(place: str | None, state: str, *, has_range: bool) -> str:
    """The same in words for a report."""
    if state in (ReadingState.NOT_MEASURED, ReadingState.NOT_REQUIRED):
        return ""
    if not has_range:
        return say("measured, no range set")
    texts = {
        "below": say("BELOW the usual range"),
        "above": say("ABOVE the usual range"),
        "within": say("within the usual range"),
    }
    return texts.get(place or "", say("cannot be told from this reading"))
