"""What a place gets: the office, the runner, the look, and ways to go elsewhere and to tell."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from servicedesk.values.trouble import Trouble
from servicedesk.window.office import Office
from servicedesk.window.theme import Theme
from servicedesk.window.work import Job, Work

MINUTE_MS = 60_000


@dataclass(frozen=True, slots=True)
class Wish:
    """Where to go: a place, what it shall show there, and whether in a second window."""

    place: str
    ids: tuple[object, ...] = ()
    beside: bool = False


@dataclass(frozen=True, slots=True)
class Mishap:
    """A trouble to show, and how to try again if that makes sense."""

    trouble: Trouble
    again: Callable[[], object] | None = None


class Bus(QObject):
    """Shared by all windows of one process.

    `changed` carries what a change touched, None for anything. `minute` comes once a minute, for
    numbers that depend on now and for changes of other seats.
    """

    changed = Signal(object)
    minute = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._clock = QTimer(self)
        self._clock.setInterval(MINUTE_MS)
        self._clock.timeout.connect(self.minute)
        self._clock.start()


class Shell(QObject):
    """One per window. `office` is opaque to places that pass it on to verbs of the desk."""

    wanted = Signal(object)  # Wish
    troubled = Signal(object)  # Mishap

    def __init__(
        self, office: Office, work: Work, theme: Theme, bus: Bus, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.office = office
        self.work = work
        self.theme = theme
        self.bus = bus

    def go(self, place: str, *ids: object, beside: bool = False) -> None:
        """Show `place`, and there the record that `ids` names."""
        self.wanted.emit(Wish(place, ids, beside))

    def show_trouble(self, trouble: Trouble, again: Callable[[], object] | None = None) -> None:
        """Put the trouble before the person; `again` is behind *Try again*."""
        self.troubled.emit(Mishap(trouble, again))

    def ask(self, function: Callable[..., Any], /, *args: Any, title: str = "", **more: Any) -> Job:
        """Read something on the store's worker. Trouble is shown; connect `done` of the job."""
        job = self.work.start(function, *args, title=title, **more)
        _Watch(self, job, None)
        return job

    def change(
        self, function: Callable[..., Any], /, *args: Any, title: str = "", **more: Any
    ) -> Job:
        """Change something on the store's worker. What it returns is told to every place.

        Trouble is shown with *Try again*, which makes the same call once more.
        """
        job = self.work.start(function, *args, title=title, **more)
        _Watch(self, job, _Call(self, function, args, {"title": title, **more}))
        return job


class _Call:
    """The same change once more."""

    def __init__(
        self,
        shell: Shell,
        function: Callable[..., Any],
        args: tuple[Any, ...],
        more: dict[str, Any],
    ) -> None:
        self._shell, self._function, self._args, self._more = shell, function, args, more

    def __call__(self) -> None:
        self._shell.change(self._function, *self._args, **self._more)


class _Watch:
    """Lives as long as its job: brings trouble and changes to the shell.

    No child of the job: a job deletes itself later, and the child's wrapper could be gone by then.
    """

    def __init__(self, shell: Shell, job: Job, again: _Call | None) -> None:
        self._shell, self._again = shell, again
        job.keep(self)
        job.failed.connect(self._failed)
        if again is not None:
            job.done.connect(self._done)

    def _failed(self, trouble: Trouble) -> None:
        self._shell.show_trouble(trouble, self._again)

    def _done(self, touched: object) -> None:
        self._shell.bus.changed.emit(touched)
