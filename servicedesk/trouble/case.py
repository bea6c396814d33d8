"""One trouble at one system as the calculations see it: what is reported, found, tried before.

Ids are those of the fault knowledge (`trade.faults`); an id that is not known there is a mistake of
the caller. Days count back from the day of the case, 0 is that day.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Outcome = Literal["no fault found", "reset only", "workaround", "fixed", "could not", ""]


@dataclass(frozen=True, slots=True)
class Found:
    """The result of one check; `result` None: not looked at. `unit_id`: the very unit, if known."""

    check: str
    result: str | None
    days_before: int = 0
    unit_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """A visit before this call. `outcome` "": nobody said.

    `found`: what it looked at (a result None: looked at, result not written down). `changed`: ids
    of components or part kinds that were renewed. `cause`: what was named then, "" if nothing.
    """

    days_before: int
    symptom: str
    outcome: Outcome = ""
    found: tuple[Found, ...] = ()
    changed: tuple[str, ...] = ()
    cause: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Installed:
    """A unit that is there now. `age_years` None: in service before records."""

    component: str
    age_years: float | None = None
    model: str = ""
    attributes: Mapping[str, str] = field(default_factory=dict)
    unit_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What is known when somebody asks "what is it, and what next?".

    `symptoms`: the leading one first, at least one. `site_has`: equipment ids; None: not known, so
    nothing is left out. `installed`: () if not known.
    """

    symptoms: tuple[str, ...]
    found: tuple[Found, ...] = ()
    site_has: frozenset[str] | None = None
    earlier: tuple[Earlier, ...] = ()
    installed: tuple[Installed, ...] = ()
