"""What every place is: a page that can be built at any time from ids, and owns no truth."""

from typing import ClassVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from servicedesk.desk.office import Desk
from servicedesk.window.actions import Act, Actions
from servicedesk.window.shell import Shell


class Place(QWidget):
    """Base of all places. A subclass sets `name` and fills itself in `refresh`.

    The frame builds a place when it is first visited, calls `refresh(None)` once, then
    `refresh(changed)` after each change while it is visible (or when it becomes visible again).
    """

    name: ClassVar[str] = ""
    trail_changed = Signal()

    def __init__(self, shell: Shell) -> None:
        super().__init__()
        self.shell = shell
        self.theme = shell.theme
        self.setObjectName(self.name)
        self.keys = Actions(self, shell.theme, self.acts())

    def acts(self) -> tuple[Act, ...]:
        """What can be done here, besides what the frame offers everywhere."""
        return ()

    def title(self) -> str:
        """What stands after the place's own name in the trail; "" on its first page.

        Send `trail_changed` when it becomes another.
        """
        return ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        """Show what `ids` names; () is the place's first page."""

    def refresh(self, changed: object) -> None:
        """Read anew. `changed` is what a change touched, None for everything."""

    def count(self) -> int | None:
        """Things here that ask for action, None to let the office say."""
        return None

    def position(self) -> object:
        """Scroll position and selection, kept for *back*."""
        return None

    def restore(self, position: object) -> None:
        """Put scroll position and selection back to what `position` gave."""

    def first_focus(self) -> QWidget:
        """Who gets the keys when the place is shown."""
        return self


class DeskPlace(Place):
    """A place that asks the desk itself."""

    @property
    def desk(self) -> Desk:
        """The desk that the office sits at now."""
        found: Desk = self.shell.office.desk  # type: ignore[attr-defined]
        return found
