"""What the repeat rules are told: calls, sites, repairs. No store, no words."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class CallFact:
    """One call. `place`: what repeats are looked for at (a system or a site), any key.

    `symptom`: one key per symptom, spelled alike. Calls of a storm or another event
    (`in_event`) say nothing about the site: they are left out.
    """

    place: str
    on: date
    symptom: str
    in_event: bool = False


@dataclass(frozen=True, slots=True)
class SiteFact:
    """A place under contract from `start_on` (None: not known) until `until_on`, excluded."""

    place: str
    start_on: date | None
    until_on: date | None = None


@dataclass(frozen=True, slots=True)
class RepairFact:
    """A root cause was repaired: what called before no longer speaks. "": every symptom.

    `settles`: chance, 0..1, that this cause was behind those calls (`trouble.repaired`).
    """

    place: str
    on: date
    symptom: str = ""
    settles: float = 1.0
