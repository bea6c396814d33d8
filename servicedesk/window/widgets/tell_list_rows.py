"""A line of the tell list as a row: whom and where, what for, how; told ones with their check."""

from servicedesk.desk.tell_list import ToTell, way_text
from servicedesk.window.models.row_list import Row
from servicedesk.words import say

ICONS = {"phone": "phone", "text": "note", "email": "out", "letter": "print"}
_COLORS = {"new": "water", "moved": "clay", "late": "clay", "called_off": "clay"}


def tell_row(line: ToTell) -> Row:
    """One line. What is no longer as they know it stands out."""
    told = say("told {when}", when=line.told_at) if line.told_at else say("told")
    return Row(
        title=f"{line.whom} · {line.address}" if line.whom != line.address else line.address,
        second=" · ".join(one for one in (line.day_text, line.arrives_text, line.why_text) if one),
        icon=ICONS[line.way],
        right=told if line.is_told else way_text(line.way),
        right_icon="check" if line.is_told else "",
        right_color="moss" if line.is_told else _COLORS[line.why],
        thing=line,
    )


def open_text(way: str, line: ToTell) -> str:
    """What opening the link of a way does."""
    match way:
        case "phone":
            return say("Call {number}", number=line.number)
        case "text":
            return say("Text {number}", number=line.number)
        case "email":
            return say("E-mail {address}", address=line.email)
    return say("Print a letter")
