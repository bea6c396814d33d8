"""What a caller must hear before anything else, in full and in order."""

from functools import cache

from servicedesk.trade.cautions import Caution
from servicedesk.trade.knowledge import entries_of, shipped_yaml

_FILE = "say_this_now.yaml"
_PHONE = "{emergency_phone}"


def say_this_now(emergency_phone: str) -> tuple[Caution, ...]:
    """The sentences to read aloud, with the number to call in an emergency in its place.

    Raises ValueError without a number: the sentence about help must name one.
    """
    number = emergency_phone.strip()
    if not number:
        raise ValueError("an emergency phone number is needed")
    return tuple(Caution(one.id, one.text.replace(_PHONE, number)) for one in _shipped())


@cache
def _shipped() -> tuple[Caution, ...]:
    found: dict[str, Caution] = {}
    for entry in entries_of(shipped_yaml(_FILE), file=_FILE):
        entry.known_only("id", "text")
        one = Caution(entry.text("id"), entry.text("text"))
        if one.id in found:
            raise entry.fault("id", "twice", value=one.id)
        found[one.id] = one
    return tuple(found.values())
