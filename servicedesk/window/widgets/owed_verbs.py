"""The filters of Owed, and the buttons over its two lists."""

from servicedesk.words import say


def filters() -> tuple[tuple[str, str], ...]:
    """Names and words of the filters."""
    return (
        ("all", say("All")),
        ("past", say("Past its day")),
        ("settled", say("Settled")),
        ("due", say("Last days")),
    )


def owed_verbs() -> tuple[tuple[str, str, str, str], ...]:
    """What can be done with something owed: act, words, icon, key."""
    return (
        ("settle", say("Settle"), "check", "S"),
        ("estimate", say("Estimate…"), "note", "I"),
        ("decline", say("Decline…"), "cross", "D"),
        ("approve", say("Approved…"), "person", "A"),
    )


def due_verbs() -> tuple[tuple[str, str, str, str], ...]:
    """What can be done with something that has a last day."""
    return (
        ("look_paper", say("Look at the draft"), "look", "L"),
        ("sign_report", say("Sign…"), "person", "G"),
        ("mark_sent", say("Sent…"), "check", "M"),
        ("mail_draft", say("E-mail draft…"), "out", "E"),
        ("send_all", say("All reports…"), "note", "W"),
        ("take_sample", say("Sample…"), "drop", "T"),
        ("write_result", say("Result…"), "in", "R"),
        ("went_out", say("What went out"), "note", "U"),
    )
