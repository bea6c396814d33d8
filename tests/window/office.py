"""An office of plain values for tests of the frame. All names are invented."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from servicedesk.values.trouble import Trouble


@dataclass(frozen=True)
class Change:
    change_id: int
    words: str
    when: str = "10:42 am"
    who: str = "Ines"
    why_not: str = ""


@dataclass(frozen=True)
class Company:
    name_lines: tuple = ("Sallow Fork", "Onsite Care")
    seat_name: str = "Ines R."
    seat_kind: str = "office seat"
    standing: str = "Tarrow County · 412 sites · one seat"


@dataclass(frozen=True)
class Found:
    title: str
    second: str = ""
    group: str = "Sites"
    icon: str = "sites"
    place: str = "sites"
    ids: tuple = ()
    act: str = ""


STREETS = ("118 Dry Hollow Lane", "121 Dry Hollow Lane", "31 Quarry Spur", "6 Larkrise Court")


@dataclass
class FakeOffice:
    here: Company | None = field(default_factory=Company)
    waiting: dict = field(default_factory=lambda: {"today": 2, "phone": 3, "owed": 14})
    log: list = field(
        default_factory=lambda: [
            Change(1, "Raised the call-out price to $95", "Yesterday", "Owner"),
            Change(
                2,
                "Finished 22 Sluice Way, report due Oct 24",
                "9:48 am",
                "Ada",
                "The report has left the house. Write a corrected report instead.",
            ),
            Change(3, "Held 118 Dry Hollow in place at 11:00"),
            Change(4, "Moved 31 Quarry Spur from Tobin to Lena"),
        ]
    )
    undone: list = field(default_factory=list)
    begun: list = field(default_factory=list)
    broken: str = ""
    trouble: Trouble | None = None
    slow: Callable | None = None

    def company(self):
        return self.here

    def ways_to_begin(self):
        return ("sample", "spreadsheet", "empty", "open", "backup")

    def seats(self):
        return None

    def sit(self, seat_id, *, before=""):
        raise AssertionError("no seat is set up here")

    def begin(self, way, path):
        self.begun.append((way, path))
        self.here = Company()
        return {"sites"}

    def counts(self):
        return dict(self.waiting)

    def slow_count(self):
        return self.slow

    def take_slow_count(self, n):
        self.waiting["patterns"] = n

    def last_change(self):
        return self.log[-1] if self.log else None

    def changes(self, limit):
        return tuple(reversed(self.log))[:limit]

    def undo(self):
        self._refuse()
        self.undone.append(self.log.pop())
        return {"undone"}

    def undo_change(self, change_id):
        self._refuse()
        found = next(change for change in self.log if change.change_id == change_id)
        self.log.append(replace(found, change_id=99, words=f"Undone: {found.words}"))
        return {"undone"}

    def redo(self):
        self._refuse()
        if not self.undone:
            raise Trouble("There is nothing to do again.")
        self.log.append(self.undone.pop())
        return {"redone"}

    def find(self, text):
        if self.broken:
            raise RuntimeError(self.broken)
        return tuple(
            Found(street, second="Quillan · all quiet", ids=(number,))
            for number, street in enumerate(STREETS)
            if text.casefold() in street.casefold()
        )

    def _refuse(self):
        if self.trouble is not None:
            raise self.trouble
