"""A decision about a contract that ends, kept as one line in the note of the drafted next one."""

from servicedesk.renewals.price import AFTER_VISIT, CALL_FIRST, RAISE, RENEW

BY_HAND = (RAISE, CALL_FIRST, RENEW, AFTER_VISIT)
_MARK = "renewal: "


def decided_of(note: str) -> str:
    """The decision that a draft's note holds; "" where there is none."""
    for line in note.splitlines():
        code = line.removeprefix(_MARK)
        if line.startswith(_MARK) and code in BY_HAND:
            return code
    return ""


def note_with(note: str, code: str) -> str:
    """The note with another decision, or with none (""); other lines stay."""
    kept = [line for line in note.splitlines() if not line.startswith(_MARK)]
    return "\n".join([*kept, _MARK + code] if code else kept)
