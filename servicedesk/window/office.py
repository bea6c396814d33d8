"""What the window's frame asks of the office. The desk satisfies it; tests bring their own.

Everything here is called on the store's worker, never on the window's own thread, and answers
with values that are already in words.
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Protocol

from servicedesk.values.progress import Progress


class ChangeSeen(Protocol):
    """One change in words."""

    @property
    def change_id(self) -> int:
        """Its key."""

    @property
    def words(self) -> str:
        """What was done: "Moved 31 Quarry Spur from Tobin to Lena"."""

    @property
    def when(self) -> str:
        """When, in words near enough: "10:42 am", "Oct 13, 4:10 pm"."""

    @property
    def who(self) -> str:
        """Whose hand: "Ines"."""

    @property
    def why_not(self) -> str:
        """Why it cannot be undone, a sentence with the way out; empty if it can."""


class FoundSeen(Protocol):
    """One answer of the find box."""

    @property
    def group(self) -> str:
        """Its heading, in words: "Sites", "Do", "In notes and visits"."""

    @property
    def icon(self) -> str:
        """Name of an icon."""

    @property
    def title(self) -> str:
        """First line."""

    @property
    def second(self) -> str:
        """Second line."""

    @property
    def place(self) -> str:
        """Id of the place that shows it."""

    @property
    def ids(self) -> tuple[object, ...]:
        """What that place is asked to show, see `Place.show_record`."""

    @property
    def act(self) -> str:
        """Id of an action to do with `ids` instead of showing them; empty for a record."""


class Company(Protocol):
    """Who works here, for the spine and the change line."""

    @property
    def name_lines(self) -> tuple[str, str]:
        """The name in two lines; the second may be empty."""

    @property
    def seat_name(self) -> str:
        """Who sits here: "Ines R."; empty if nobody was chosen."""

    @property
    def seat_kind(self) -> str:
        """What kind of seat: "office seat"."""

    @property
    def standing(self) -> str:
        """The right end of the change line: "Tarrow County · 412 sites · one seat"."""


class SeatSeen(Protocol):
    """Somebody who may sit here."""

    @property
    def id(self) -> int:
        """Key of the seat."""

    @property
    def name(self) -> str:
        """Whose: "Ines R."."""

    @property
    def kind(self) -> str:
        """As what, in words: "office", "technician"."""


class SeatsSeen(Protocol):
    """Who may sit here, and who does."""

    @property
    def store(self) -> str:
        """At which store: one of its own for each."""

    @property
    def seats(self) -> Sequence[SeatSeen]:
        """The seats that have not ended."""

    @property
    def now(self) -> int | None:
        """Key of the seat that is taken; None where nobody chose one."""

    @property
    def before(self) -> str:
        """Who sat here last and cannot any more; empty if nobody."""

    @property
    def asks(self) -> bool:
        """Is it asked at all? Not where the start named somebody, nor with the sample."""


class Office(Protocol):
    """The verbs of the frame. Places know the office by more verbs than these."""

    def company(self) -> Company | None:
        """Name and seat, or None while the store is empty: then the first page is shown."""

    def ways_to_begin(self) -> Sequence[str]:
        """Asked while the store is empty: which of "sample", "spreadsheet", "empty", "open",
        "backup" this office can do.
        """

    def seats(self) -> SeatsSeen | None:
        """Who may sit here; None while no seat is set up."""

    def sit(self, seat_id: int | None, *, before: str = "") -> None:
        """Somebody sits here from now on; None: nobody yet, `before` is who did."""

    def begin(self, way: str, path: Path | None) -> object:
        """Begin with the sample, another store or a backup; what that touched.

        Raises Trouble if it cannot. "spreadsheet" and "empty" are places, not asked here.
        """

    def counts(self) -> Mapping[str, int]:
        """Place id to the number of things there that ask for action; none where 0 or missing."""

    def slow_count(self) -> Callable[[Progress], int | None] | None:
        """Work that finds a count which takes seconds, without touching the store here, or None.

        Takes `progress=`; what it returns is handed to `take_slow_count`.
        """

    def take_slow_count(self, n: int) -> None:
        """Let `counts` tell it from now on."""

    def last_change(self) -> ChangeSeen | None:
        """The latest change of anybody."""

    def changes(self, limit: int) -> Sequence[ChangeSeen]:
        """The latest changes, newest first."""

    def undo(self) -> object:
        """Take back this person's latest change; what it touched. Raises Trouble if it cannot."""

    def undo_change(self, change_id: int) -> object:
        """Take back this change; what it touched. Raises Trouble if something stands in the way."""

    def redo(self) -> object:
        """Do again what was last taken back; what it touched. Raises Trouble if it cannot."""

    def find(self, text: str) -> Sequence[FoundSeen]:
        """Answers to what was typed, best first, grouped."""
