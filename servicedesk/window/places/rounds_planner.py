"""Planning a day anew from the rounds page: apart from the window, shown before it is taken."""

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk import planning
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.values.trouble import Trouble
from servicedesk.window.places import rounds_words as texts
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.plan_offer import PlanOffer
from servicedesk.words import say


class DayPlanner(QObject):
    """Holds the rounds offered until they are taken or left, or the day has changed."""

    shown = Signal()  # an offer came, or planning began or ended: look again
    outdated = Signal()  # the day changed while it was planned

    def __init__(self, shell: Shell, offer: PlanOffer, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._offer = shell, offer
        self._desk: Desk | None = None
        self._page: RoundsPage | None = None  # what was asked about
        self._now: RoundsPage | None = None  # the day as it is now
        self.offered: DayPlan | None = None

    def begin(self, desk: Desk, page: RoundsPage) -> None:
        """Look for the best rounds; nothing is written. Needs no store, so it runs beside it."""
        self.away()
        self._desk, self._page, self._now = desk, page, page
        job = self._shell.work.start_apart(planning.proposed, desk, page.case)
        job.done.connect(self._done)
        job.failed.connect(self._failed)
        self._offer.watch(job, say("Looking for the best rounds of this day"))
        self.shown.emit()

    def day_is(self, page: RoundsPage) -> None:
        """The day was read anew: an offer for another state of it is put away."""
        self._now = page
        if self.offered is not None and not self._is_current():
            self.away()

    def away(self) -> None:
        """No offer any more; a plan in the making is stopped."""
        self.offered = None
        self._offer.away()

    def _is_current(self) -> bool:
        asked, now = self._page, self._now
        return asked is not None and now is not None and _signature(asked) == _signature(now)

    @Slot(object)
    def _done(self, plan: DayPlan) -> None:
        page, desk = self._now, self._desk
        if page is None or desk is None or not self._is_current():
            self._offer.away()
            self.outdated.emit()
            return
        stand = page.case.stand
        self.offered = plan
        same = plan.orders == stand.orders
        words = say("No better rounds were found") if same else say("New rounds are ready")
        note = "" if same else texts.offer_note(stand, plan)
        self._offer.offer(words, note, texts.compared(stand, plan, desk.formats))
        self._offer.take.setEnabled(not same)
        self.shown.emit()

    @Slot(object)
    def _failed(self, trouble: Trouble) -> None:
        self.away()
        self._shell.show_trouble(trouble)


def _signature(page: RoundsPage) -> object:
    """What a proposal rests on; with another one the day has changed meanwhile."""
    visits = tuple(
        (i, w.visit.revision if w.visit else 0) for i, w in sorted(page.case.wanted.items())
    )
    return (page.case.day, visits, tuple(sorted(page.case.stand.orders.items())))
