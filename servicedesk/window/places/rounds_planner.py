"""Planning a day anew from the rounds page: apart from the window, shown before it is taken."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk import planning
from servicedesk.desk.hand_work import tidied_round
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.values.trouble import Trouble
from servicedesk.window.places import rounds_words as texts
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.plan_offer import PlanOffer
from servicedesk.window.work import Job
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
        self._words = _Words("", "", "")

    def begin(self, desk: Desk, page: RoundsPage) -> None:
        """Look for the best rounds; nothing is written. Needs no store, so it runs beside it."""
        self._start(desk, page, _day_again(desk, page))
        job = self._shell.work.start_apart(planning.proposed, desk, page.case)
        self._follow(job, say("Looking for the best rounds of this day"))

    def tidy(self, desk: Desk, page: RoundsPage, crew_id: str) -> None:
        """Look for the best order of one round."""
        name = page.names[crew_id]
        self._start(
            desk, page,
            _Words(
                say("Put {name}'s round in order", name=name),
                say("{name}'s round has a better order", name=name),
                say("{name}'s round is in its best order", name=name),
            ),
        )  # fmt: skip
        job = self._shell.work.start_apart(tidied_round, page.case, crew_id)
        self._follow(job, say("Looking for the best order of {name}'s round", name=name))

    def show(self, desk: Desk, page: RoundsPage, plan: DayPlan, address: str) -> None:
        """Offer what was found around a stop that was moved by hand."""
        self._start(
            desk, page,
            _Words(
                say("Put the rounds around {address} in order", address=address),
                say("Rounds around {address}, mended", address=address),
                "",
            ),
        )  # fmt: skip
        self._done(plan)

    @property
    def what(self) -> str:
        """What taking the offer is called in the change log."""
        return self._words.what

    def _start(self, desk: Desk, page: RoundsPage, words: "_Words") -> None:
        self.away()
        self._desk, self._page, self._now, self._words = desk, page, page, words

    def _follow(self, job: Job, words: str) -> None:
        job.done.connect(self._done)
        job.failed.connect(self._failed)
        self._offer.watch(job, words)
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
        words = self._words.none if same else self._words.found
        note = "" if same else texts.offer_note(stand, plan)
        self._offer.offer(words, note, texts.compared(stand, plan, desk.formats))
        self._offer.take.setEnabled(not same)
        self.shown.emit()

    @Slot(object)
    def _failed(self, trouble: Trouble) -> None:
        self.away()
        self._shell.show_trouble(trouble)


@dataclass(frozen=True, slots=True)
class _Words:
    """What taking it is called, what is said when something was found, and when nothing was."""

    what: str
    found: str
    none: str


def _day_again(desk: Desk, page: RoundsPage) -> _Words:
    return _Words(
        say("Planned the rounds of {day}", day=desk.formats.weekday(page.case.day)),
        say("New rounds are ready"),
        say("No better rounds were found"),
    )


def _signature(page: RoundsPage) -> object:
    """What a proposal rests on; with another one the day has changed meanwhile."""
    visits = tuple(
        (i, w.visit.revision if w.visit else 0) for i, w in sorted(page.case.wanted.items())
    )
    return (page.case.day, visits, tuple(sorted(page.case.stand.orders.items())))
