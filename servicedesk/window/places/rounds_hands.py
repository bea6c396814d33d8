"""Changes by hand on their way into the store: one at a time, each on the day as read last."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk import planning
from servicedesk.desk.at_once import moved_at_once, without
from servicedesk.desk.carry import carry_to_day
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.window.shell import Shell
from servicedesk.window.work import Job


@dataclass(frozen=True, slots=True)
class Wish:
    """A change by hand that waits to be written.

    "move", "day" (to another day), "out", "hold" or "free" of a stop, "hand out" or "take back" of
    the whole day.
    """

    verb: str
    stop_id: str = ""
    site_id: int = 0
    crew_id: str = ""
    position: int = 0
    day: date | None = None


class Hands(QObject):
    """Keeps what the hand wants until it is written; `written` or `refused` tells how it went."""

    written = Signal()
    refused = Signal()

    def __init__(self, shell: Shell, parent: QObject) -> None:
        super().__init__(parent)
        self._shell = shell
        self._wishes: list[Wish] = []
        self.is_writing = False

    @property
    def is_idle(self) -> bool:
        """Is nothing on its way?"""
        return not self.is_writing and not self._wishes

    def forget(self) -> None:
        """Give up what was not begun."""
        self._wishes = []

    def want(self, wish: Wish) -> None:
        """One more change."""
        self._wishes.append(wish)

    def plan_on(self, page: RoundsPage) -> DayPlan:
        """The plan as written, with what the hand wants beyond it."""
        plan = page.case.stand
        self._wishes = [w for w in self._wishes if not w.site_id or now_called(page, w)]
        for wish in self._wishes:
            stop_id = now_called(page, wish)
            if wish.verb == "move" and wish.crew_id in plan.day_of:
                plan = moved_at_once(plan, stop_id, to_crew=wish.crew_id, position=wish.position)
            elif wish.verb in ("out", "day"):
                plan = without(plan, stop_id)
        return plan

    def write_next(self, desk: Desk, page: RoundsPage) -> None:
        """Begin the next change on this reading of the day, if none is under way."""
        while self._wishes and not self.is_writing:
            change = _change_of(desk, page, self._wishes.pop(0))
            if change is not None:
                self.follow(self._shell.change(change))

    def follow(self, job: Job) -> None:
        """Tell how a change of the day went."""
        self.is_writing = True
        job.done.connect(self._done)
        for signal in (job.failed, job.stopped, job.crashed):
            signal.connect(self._failed)

    @Slot()
    def _done(self) -> None:
        self.is_writing = False
        self.written.emit()

    @Slot()
    def _failed(self) -> None:
        self.is_writing = False
        self._wishes = []
        self.refused.emit()


def now_called(page: RoundsPage, wish: Wish) -> str:
    """The id of the stop as it is called now: what waited has become a visit when placed."""
    words = page.stops.get(wish.stop_id)
    if words is not None and words.site_id == wish.site_id:
        return wish.stop_id
    return next((i for i, w in page.stops.items() if w.site_id == wish.site_id), "")


def _change_of(desk: Desk, page: RoundsPage, wish: Wish) -> Callable[[], object] | None:
    stop_id, case = now_called(page, wish), page.case
    rounds = tuple(case.rounds.values())
    if wish.verb == "hand out":
        return lambda: planning.hand_out(desk, rounds, day=case.day)
    if wish.verb == "take back":
        return lambda: planning.take_back(desk, rounds, day=case.day)
    if not stop_id:
        return None
    visit, address = case.wanted[stop_id].visit, page.stops[stop_id].address
    match wish.verb:
        case "move":
            crew, at = wish.crew_id, wish.position
            return lambda: planning.move_stop(desk, case, stop_id, to_crew=crew, position=at)
        case "day" if wish.day is not None:
            day = wish.day
            return lambda: carry_to_day(desk, case, stop_id, day)
        case "out":
            return lambda: planning.take_out(desk, case, stop_id)
        case "hold" if visit is not None:
            return lambda: planning.hold(desk, visit, address=address)
        case "free" if visit is not None:
            return lambda: planning.free(desk, visit, address=address)
    return None
