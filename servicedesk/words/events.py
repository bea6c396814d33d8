"""How events are called."""

from servicedesk.words.languages import say


def event(what: str) -> str:
    """What an event is, as a title: "Storm"."""
    names = {"storm": say("Storm"), "outage": say("Power outage"), "flood": say("Flood")}
    return names.get(what, what)
