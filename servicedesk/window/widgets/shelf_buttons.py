"""The filters of the shelf, and the buttons over its lists."""

from servicedesk.words import say


def modes() -> tuple[tuple[str, str], ...]:
    """Names and words of what the list can show."""
    return (
        ("parts", say("Parts")),
        ("buy", say("To buy")),
        ("orders", say("On order")),
        ("dead", say("Lies dead")),
        ("claims", say("Claims")),
        ("figures", say("Figures")),
    )


def verbs_of(mode: str) -> tuple[tuple[str, str, str, str], ...]:
    """The buttons over a list: act, words, icon, key."""
    parts = (
        ("count", say("Count"), "check", "C"),
        ("move", say("Move"), "move", "M"),
        ("bought", say("Bought"), "in", "B"),
        ("scrap", say("Scrap"), "cross", "X"),
        ("returned", say("Came back"), "back", "R"),
        ("edit", say("Edit"), "note", "E"),
        ("new", say("New part"), "plus", "N"),
    )
    return {
        "parts": parts,
        "dead": parts,
        "buy": (("order", say("Order all of it"), "out", "O"),),
        "orders": (
            ("arrived", say("Arrived"), "check", "A"),
            ("give_up", say("Will not come"), "cross", "G"),
        ),
        "claims": (("claim", say("Answered"), "check", "Q"),),
        "history": (
            ("take_back", say("Take it back"), "undo", "U"),
            ("back", say("Back to the parts"), "back", "Esc"),
        ),
        "prices": (
            ("take_prices", say("Write it"), "check", "Ctrl+Return"),
            ("back", say("Leave it"), "cross", "Esc"),
        ),
    }.get(mode, ())
