"""Kinds of jobs, outcomes and states in words."""

from datetime import date

from servicedesk.words.formats import Formats
from servicedesk.words.languages import say

_KINDS = {
    "inspection": lambda: say("inspection"),
    "callback": lambda: say("callback"),
    "owed": lambda: say("owed work"),
    "repair": lambda: say("repair"),
    "installation": lambda: say("installation"),
    "start-up": lambda: say("start-up"),
    "pump-out": lambda: say("pump-out"),
    "sale": lambda: say("sale inspection"),
    "estimate": lambda: say("estimate"),
}

_COULD_NOT = {
    "no access": lambda: say("no access"),
    "refused": lambda: say("refused"),
    "no power": lambda: say("no power"),
    "lid buried": lambda: say("lid buried"),
    "unsafe": lambda: say("unsafe"),
    "weather": lambda: say("weather"),
    "no time": lambda: say("no time"),
    "wrong part": lambda: say("wrong part"),
}

COULD_NOT_REASONS = tuple(_COULD_NOT)


def kind_text(kind: str) -> str:
    """A kind of job: "callback"."""
    return _KINDS[kind]() if kind in _KINDS else kind


def could_not_text(reason: str) -> str:
    """Why a job could not be done: "no access"."""
    return _COULD_NOT[reason]() if reason in _COULD_NOT else reason


def outcome_text(outcome: str | None, could_not: str = "") -> str:
    """As "done", "could not: no access"; nothing yet is an empty text."""
    match outcome:
        case "done":
            return say("done")
        case "partly":
            return say("partly done")
        case "could not":
            why = could_not_text(could_not) if could_not else say("no reason given")
            return say("could not: {why}", why=why)
    return ""


def beyond_reason(found: str, could_not: str) -> str:
    """What was found, less the reason where it is only said again.

    As "gate locked" of "no access, gate locked" beside "could not: no access": lists brought in
    keep the office's whole cell.
    """
    said, why = found.strip(), could_not_text(could_not).strip() if could_not else ""
    if not why or not said.casefold().startswith(why.casefold()):
        return said
    rest = said[len(why) :]
    if rest[:1].isalnum():  # "unsafely left" is not "unsafe"
        return said
    return rest.strip(" ,.;:-–—")


def job_title(kind: str, ordinal: int | None = None, of: int | None = None) -> str:
    """As "inspection 3 of 3", "callback"."""
    if kind == "inspection" and ordinal is not None:
        if of is not None and of >= ordinal:
            return say("inspection {n} of {of}", n=ordinal, of=of)
        return say("inspection {n}", n=ordinal)
    return kind_text(kind)


def closes_text(closes_on: date, today: date, formats: Formats) -> str:
    """How a window ends: "window closes tomorrow", "late since Oct 3"."""
    left = (closes_on - today).days
    if left < 0:
        return say("late, window closed {day}", day=formats.day(closes_on, near=today))
    if left == 0:
        return say("window closes today")
    if left == 1:
        return say("window closes tomorrow")
    return say("window closes {day}", day=formats.day(closes_on, near=today))
