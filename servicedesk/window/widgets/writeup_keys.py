"""The letters of the form of a visit. They come through `say`, so that a language has its own."""

from servicedesk.desk.writeup_items import NOT_LOOKED_AT
from servicedesk.words import say


def grade_letters() -> dict[str, str]:
    """The letter of each grade of an item."""
    return {"good": say("G"), "watch": say("W"), "failed": say("F"), NOT_LOOKED_AT: say("L")}


def result_letters() -> tuple[str, ...]:
    """The letters of the results of a check, first to last: neighbors on the lowest row."""
    return (say("Z"), say("X"), say("C"), say("V"), say("B"))


def grade_text(grade: str) -> str:
    """A grade in words."""
    words = {
        "good": say("good"),
        "watch": say("watch"),
        "failed": say("failed"),
        NOT_LOOKED_AT: say("not looked at"),
    }
    return words.get(grade, grade)


def outcome_letters() -> dict[str, str]:
    """The letter of each outcome of a job."""
    return {"done": say("D"), "partly": say("P"), "could not": say("N")}


def outcome_name(outcome: str) -> str:
    """An outcome as it stands on its button."""
    return {"done": say("Done"), "partly": say("Partly"), "could not": say("Could not")}[outcome]


def form_letters() -> dict[str, str]:
    """The letters of what else the form can do."""
    return {
        "as_usual": say("A"),
        "all_ticked": say("T"),
        "times": say("I"),
        "next_reading": say("R"),
        "next_job": say("J"),
        "part": say("U"),
        "owed": say("O"),
        "note": say("E"),
        "behind": say("H"),
        "work": say("K"),
        "weather": say("S"),
    }
