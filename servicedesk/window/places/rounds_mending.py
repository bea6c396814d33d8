"""After a move by hand: the rounds around the stop are looked at, and better ones are offered.

Nothing is changed and nothing is shown before somebody asks for it; every other round stays.
"""

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk.hand_work import mended_around
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.work import Job
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats


class Mender(QObject):
    """Remembers the last move, looks around it once it is written, tells what would be gained."""

    told = Signal()  # the line came or went
    wanted = Signal(object, str)  # the plan found, the address of the stop

    def __init__(self, shell: Shell, notice: Notice, formats: Formats, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._notice, self._formats = shell, notice, formats
        self._moved: tuple[int, str | None] | None = None  # site of the stop, the crew that lost it
        self._looking: Job | None = None
        self._page: RoundsPage | None = None
        self._stop_id = ""
        self.found: DayPlan | None = None
        notice.asked.connect(self.show)

    @property
    def is_looking(self) -> bool:
        """Is an answer under way?"""
        return self._looking is not None

    def moved(self, site_id: int, from_crew: str | None) -> None:
        """A stop was just moved by hand; what was found before is no longer so."""
        self.away()
        self._moved = (site_id, from_crew)

    def day_is(self, page: RoundsPage) -> None:
        """The day as it is written now: look around the stop that was moved last."""
        moved, self._moved = self._moved, None
        if moved is None:
            before = self._page if self.found is not None else None
            if before is not None and page.case.stand.orders != before.case.stand.orders:
                self.away()
            return
        site_id, from_crew = moved
        stand = page.case.stand
        self._stop_id = next(
            (i for i, w in page.stops.items() if w.site_id == site_id and i in stand.crew_id_of), ""
        )
        if not self._stop_id:
            return
        self._page = page
        job = self._shell.work.start_apart(mended_around, page.case, self._stop_id, from_crew)
        self._looking = job
        job.done.connect(self._done)
        job.ended.connect(self._ended)

    @Slot()
    def away(self) -> None:
        """Nothing to offer any more; what is under way is stopped."""
        job, self._looking = self._looking, None
        if job is not None:
            job.cancel()
        self.found = self._moved = None
        if self._notice.isVisible():
            self._notice.hide()
            self.told.emit()

    @Slot()
    def show(self) -> None:
        """Offer it: before and after, to take or to leave."""
        plan, page = self.found, self._page
        if plan is None or page is None:
            return
        address = page.names[self._stop_id]
        self.away()
        self.wanted.emit(plan, address)

    @Slot(object)
    def _done(self, plan: DayPlan) -> None:
        page = self._page
        if self.sender() is not self._looking or page is None:
            return
        stand = page.case.stand
        if plan.orders == stand.orders:
            return
        self.found = plan
        was, now = stand.crew_id_of, plan.crew_id_of
        n = sum(now.get(i) != crew for i, crew in was.items())
        saved = self._formats.minutes(stand.road_min - plan.road_min)
        words = say("Mending the rounds around {address} saves {time} of road",
                    address=page.names[self._stop_id], time=saved)  # fmt: skip
        if plan.road_min >= stand.road_min:
            words = say("Mending the rounds around {address} keeps hours that are broken now",
                        address=page.names[self._stop_id])  # fmt: skip
        more = (
            say_n("{n} other stop changes hands", "{n} other stops change hands", n)
            if n
            else say("only the order changes")
        )
        self._notice.tell(words, more)
        self.told.emit()

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._looking:
            self._looking = None
