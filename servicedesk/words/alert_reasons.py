"""Why an alert stands again, in words, and the states of an alert."""

from collections.abc import Mapping

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n


def _called_again(reason: Reason, _formats: Formats, names: Mapping[str, str]) -> str:
    what = names.get(str(reason["symptom"]), str(reason["symptom"]))
    return say_n(
        "{n} more call for {what} since it was settled",
        "{n} more calls for {what} since it was settled",
        reason["n"],
        what=what,
    )


ALERT_TELLERS = {"called_again": _called_again}


def state_text(state: str) -> str:
    """The state of an alert as people read it."""
    words = {
        "open": say("open"),
        "seen": say("looked at"),
        "put off": say("put off"),
        "settled": say("settled"),
    }
    return words[state]


def outcome_text(outcome: str) -> str:
    """What a visit came to, "" where nobody said."""
    words = {
        "no fault found": say("no fault found"),
        "reset only": say("reset only"),
        "workaround": say("patched"),
        "fixed": say("fixed"),
        "could not": say("could not be done"),
    }
    return words.get(outcome, "")
