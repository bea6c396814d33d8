"""Kinds of papers that leave the house, in words."""

from servicedesk.words.languages import say

_KINDS = {
    "inspection report": lambda: say("inspection report"),
    "pump-out report": lambda: say("pump-out report"),
    "visit report": lambda: say("report of a visit"),
    "could not inspect": lambda: say("paper that nothing could be inspected"),
    "second attempt letter": lambda: say("letter before the second attempt"),
    "contract copy": lambda: say("copy of a contract"),
    "notice": lambda: say("notice"),
    "sale inspection report": lambda: say("report of a sale inspection"),
    "estimate": lambda: say("estimate"),
    "offer": lambda: say("offer"),
}


def paper_text(kind: str) -> str:
    """A kind of paper: "inspection report"; one that is not known here as it is written."""
    return _KINDS[kind]() if kind in _KINDS else kind
