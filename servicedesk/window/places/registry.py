"""All places: in the order of the day, each with its key, built only when first visited."""

import importlib
from dataclasses import dataclass
from importlib.util import find_spec

from servicedesk.window.places.base import Place
from servicedesk.window.shell import Shell
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class PlaceKind:
    """One place: `number` is its Ctrl key, `group` its block in the spine (0: not in the spine).

    `factory` is "module:Class" below this package.
    """

    id: str
    title: str
    icon: str
    group: int
    number: int
    factory: str

    @property
    def exists(self) -> bool:
        """Whether this program has it."""
        return find_spec(self._module) is not None

    @property
    def shortcut(self) -> str:
        """Its key, "" if it has none."""
        return f"Ctrl+{self.number}" if self.number else ""

    def build(self, shell: Shell) -> Place:
        """A new one."""
        made = getattr(importlib.import_module(self._module), self.factory.partition(":")[2])(shell)
        if not isinstance(made, Place):
            raise TypeError(f"{self.factory} is no place")
        return made

    @property
    def _module(self) -> str:
        return f"{__package__}.{self.factory.partition(':')[0]}"


def all_places() -> tuple[PlaceKind, ...]:
    """The nine in their order, then those without a line in the spine."""
    return (
        PlaceKind("today", say("Today"), "today", 1, 1, "today:TodayPlace"),
        PlaceKind("phone", say("Phone"), "phone", 1, 2, "phone:PhonePlace"),
        PlaceKind("ahead", say("Ahead"), "ahead", 2, 3, "ahead:AheadPlace"),
        PlaceKind("rounds", say("Rounds"), "rounds", 2, 4, "rounds:RoundsPlace"),
        PlaceKind("sites", say("Sites"), "sites", 3, 5, "sites:SitesPlace"),
        PlaceKind("owed", say("Owed"), "owed", 3, 6, "owed:OwedPlace"),
        PlaceKind("shelf", say("Shelf"), "shelf", 3, 7, "shelf:ShelfPlace"),
        PlaceKind("patterns", say("Patterns"), "patterns", 4, 8, "patterns:PatternsPlace"),
        PlaceKind("year", say("Year"), "year", 4, 9, "year:YearPlace"),
        PlaceKind("came_back", say("It came back"), "again", 0, 0, "came_back:CameBackPlace"),
        PlaceKind("bills", say("To bill"), "note", 0, 0, "bills:BillsPlace"),
        PlaceKind("register", say("What went out"), "note", 0, 0, "owed_register:RegisterPlace"),
        PlaceKind("setup", say("Set up"), "panel", 0, 0, "setup:SetupPlace"),
        PlaceKind("knowledge", say("Knowledge"), "look", 0, 0, "knowledge:KnowledgePlace"),
        PlaceKind("bring_in", say("Bring in"), "in", 0, 0, "bring_in:BringInPlace"),
        PlaceKind("tell_list", say("Tell list"), "phone", 0, 0, "tell_list:TellListPlace"),
        PlaceKind("what_if", say("What if"), "ahead", 0, 0, "what_if:WhatIfPlace"),
        PlaceKind("writeup", say("Write up"), "check", 0, 0, "writeup:WriteUpPlace"),
    )


def places() -> tuple[PlaceKind, ...]:
    """Those that this program has: nothing is promised that is not there."""
    return tuple(kind for kind in all_places() if kind.exists)
