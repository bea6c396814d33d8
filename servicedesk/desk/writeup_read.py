"""What a person types into the form of a visit: times, readings, days, numbers of parts."""

import re
from datetime import date, datetime, timedelta

from dateutil.parser import ParserError, parse

from servicedesk.values.reading import Qualifier, Reading, ReadingState
from servicedesk.words import say

_EARLIEST_H = 6  # an hour before this without am or pm is one of the afternoon
_NUMBER = re.compile(r"[+-]?\d*\.?\d+|[+-]?\d+\.")


def minute_of(text: str) -> int | None:
    """Minutes after midnight of a time as typed: 905, 9:05, 9.05, 9:05 pm, 14:10, noon.

    None if it is none. Without am or pm an hour from 1 to 5 is one of the afternoon: rounds do
    not begin before six (common practice, no source).
    """
    wanted = " ".join(text.casefold().split())
    if wanted in ("noon", say("noon").casefold()):
        return 12 * 60
    half = ""
    for word in ("am", "pm"):
        for form in (word, say(word).casefold(), f"{word[0]}.m.", word[0]):
            if wanted.endswith(form):
                half, wanted = word, wanted.removesuffix(form).strip()
                break
        if half:
            break
    found = re.fullmatch(r"(\d{1,2})[:.h ](\d{2})|(\d{1,2}?)(\d{2})?", wanted)
    if found is None or not wanted:
        return None
    hour = int(found[1] or found[3])
    minute = int(found[2] or found[4] or 0)
    return _checked(hour, minute, half)


def _checked(hour: int, minute: int, half: str) -> int | None:
    if minute > 59 or hour > 23:
        return None
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif 1 <= hour < _EARLIEST_H:
        hour += 12
    return hour * 60 + minute


def reading_of(text: str, unit: str) -> Reading | None:
    """A reading as typed: "0.4", "<0.1", ">3.5", "over range", "too many", "-", "not required".

    None if it is none of these. The digits stay exactly as written; "-" is *not measured*.
    """
    wanted = " ".join(text.split())
    folded = wanted.casefold()
    if folded in _said("-", "\u2212", "\u2014", "not measured"):
        return Reading(value="", unit=unit, state=ReadingState.NOT_MEASURED)
    if folded in _said("not required", "n/r"):
        return Reading(value="", unit=unit, state=ReadingState.NOT_REQUIRED)
    if folded in _said("over range", "over"):
        return Reading(value="", unit=unit, qualifier=Qualifier.OVER_RANGE)
    if folded in _said("too many to count", "too many", "tntc"):
        return Reading(value="", unit=unit, qualifier=Qualifier.TOO_MANY)
    qualifier = Qualifier.EQUAL
    if wanted[:1] in "<>" and wanted:
        qualifier = Qualifier(wanted[0])
        wanted = wanted[1:].strip()
    if not _NUMBER.fullmatch(wanted):
        return None
    return Reading(value=wanted, unit=unit, qualifier=qualifier)


def _said(*words: str) -> set[str]:
    return {form for word in words for form in (word, say(word).casefold())}


def reading_text(reading: Reading) -> str:
    """A reading as it would be typed again."""
    if reading.state is ReadingState.NOT_MEASURED:
        return say("not measured")
    if reading.state is ReadingState.NOT_REQUIRED:
        return say("not required")
    if reading.qualifier is Qualifier.OVER_RANGE:
        return say("over range")
    if reading.qualifier is Qualifier.TOO_MANY:
        return say("too many to count")
    sign = "" if reading.qualifier is Qualifier.EQUAL else reading.qualifier.value
    return f"{sign}{reading.value}"


def quantity_of(text: str) -> int | None:
    """How many, from 1 on; None if it is no such number."""
    wanted = text.strip() or "1"
    return int(wanted) if re.fullmatch(r"[0-9]{1,4}", wanted) and int(wanted) > 0 else None


def day_of(text: str, today: date) -> date | None:
    """A day as typed: "Nov 30" (the next one), "2026-11-30", "today", "10 days", "2 weeks".

    None for anything else: days written in figures alone would have to be guessed.
    """
    wanted = " ".join(text.casefold().split())
    if wanted in _said("today"):
        return today
    if wanted in _said("tomorrow"):
        return today + timedelta(days=1)
    length = re.fullmatch(r"(\d{1,3}) ?(d|days?|w|weeks?|months?)", wanted)
    if length is not None:
        days = {"d": 1, "w": 7, "m": 30}[length[2][0]]
        return today + timedelta(days=days * int(length[1]))
    if re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", wanted):
        return _iso(wanted)
    if not re.search(r"[a-z]{3}", wanted) or not re.search(r"\d", wanted):
        return None
    return _month_in_words(wanted, today)


def _iso(wanted: str) -> date | None:
    try:
        return date(*map(int, wanted.split("-")))
    except ValueError:
        return None


def _month_in_words(wanted: str, today: date) -> date | None:
    try:
        found = parse(wanted, default=datetime(today.year, 1, 1)).date()
    except (ParserError, OverflowError):
        return None
    if found < today and not re.search(r"\d{4}", wanted):
        try:
            return found.replace(year=found.year + 1)
        except ValueError:
            return None
    return found
