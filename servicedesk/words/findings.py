"""What was behind a trouble, and how one knows, in words."""

from collections.abc import Callable, Mapping

from servicedesk.words.languages import say

_BEHIND: Mapping[str, Callable[[], str]] = {
    "established": lambda: say("Cause established"),
    "presumed": lambda: say("Cause presumed"),
    "no fault found": lambda: say("No fault found"),
    "could not look": lambda: say("Could not look"),
}
_KNOWN_BY: Mapping[str, Callable[[], str]] = {
    "a direct check": lambda: say("A direct check spoke for it"),
    "replaced and gone": lambda: say("Replaced, and the fault is gone"),
    "seen": lambda: say("Seen with our own eyes"),
}
BEHIND = tuple(_BEHIND)
KNOWN_BY = tuple(_KNOWN_BY)


def behind_text(behind: str) -> str:
    """One of the four answers: "Cause established"."""
    return _BEHIND[behind]() if behind in _BEHIND else behind


def known_by_text(known_by: str) -> str:
    """How one knows a cause: "Seen with our own eyes"."""
    return _KNOWN_BY[known_by]() if known_by in _KNOWN_BY else known_by


def where_text(where: str) -> str:
    """Where a check is made."""
    names = {
        "phone": say("on the phone"),
        "panel": say("at the panel"),
        "tank": say("at the tank"),
        "field": say("in the field"),
        "house": say("in the house"),
    }
    return names.get(where, where)
