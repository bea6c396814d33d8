"""Entries of a form, looked at before they are written: what is wrong is said, field by field."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from servicedesk.exchange.phones import phones_in

# forms catch it here: they reach the records only through the desk
from servicedesk.records.errors import StaleEdit
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

__all__ = ["StaleEdit", "Wrong", "WrongEntry", "all_at_once", "e164_of", "only_known", "refuse"]


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong with one field, and the entry that was probably meant (None: no guess)."""

    field: str
    says: str
    meant: Any = None


class WrongEntry(Trouble):
    """A form with entries that cannot be written. `wrong` tells each field and what helps."""

    def __init__(self, wrong: Iterable[Wrong]) -> None:
        self.wrong = tuple(wrong)
        first = self.wrong[0]
        count = len(self.wrong)
        super().__init__(
            first.says,
            means=""
            if count == 1
            else say_n("{n} more thing to fix.", "{n} more things to fix.", count - 1),
            do=say("Mend the entry and write it again."),
        )


def refuse(wrong: Iterable[Wrong]) -> None:
    """Raise `WrongEntry` if anything is wrong."""
    found = tuple(wrong)
    if found:
        raise WrongEntry(found)


def all_at_once(error: WrongEntry) -> Trouble:
    """Every sentence of a refusal in one: a shell has no fields to walk through."""
    return Trouble(" ".join(one.says for one in error.wrong), means=say("Nothing was written."))


def only_known(values: Mapping[str, Any], known: Iterable[str]) -> None:
    """A mistake of ours: a form that brings a field nobody may edit. Raises ValueError."""
    strange = sorted(set(values) - set(known))
    if strange:
        raise ValueError(f"{strange} cannot be edited here")


def e164_of(typed: str, country: str, *, area_code: str = "") -> str | None:
    """The E.164 form of a number as typed, None where it has none."""
    numbers = phones_in(typed, country, area_code=area_code)
    return numbers[0].e164 if numbers else None
