"""Words for parts used at a visit: who bears them, where the old unit is now."""

from servicedesk.words.languages import say


def billing_text(billing: str) -> str:
    """Who bears a part: "under contract"."""
    texts = {
        "contract": say("under contract"),
        "warranty": say("warranty"),
        "billable": say("billable"),
    }
    return texts.get(billing, billing)


def whereabouts_text(where: str) -> str:
    """Where a unit is that came out."""
    texts = {
        "on the truck": say("on the truck"),
        "at the shop": say("at the shop"),
        "left with the owner": say("left with the owner"),
        "sent back": say("sent back"),
        "thrown away": say("thrown away"),
    }
    return texts.get(where, where)
