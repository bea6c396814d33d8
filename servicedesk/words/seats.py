"""As what somebody sits here, in words."""

from servicedesk.words.languages import say


def seat_text(role: str) -> str:
    """As "office", "technician", "owner"."""
    known = {"office": say("office"), "technician": say("technician"), "owner": say("owner")}
    return known.get(role, role)
