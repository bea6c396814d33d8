"""Papers about a site from its file: the history, for us or for its owner."""

from typing import Protocol

from PySide6.QtCore import QObject, Slot

from servicedesk.desk.office import Desk
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.words import say


class Page(Protocol):
    """What is needed of the place."""

    shell: Shell
    theme: Theme

    @property
    def desk(self) -> Desk: ...


class SitePapers(QObject):
    """`notice` tells where the paper lies and opens it."""

    def __init__(self, page: Page, parent: QObject) -> None:
        super().__init__(parent)
        self._page = page
        self._site_id: int | None = None
        self.notice = PaperNotice(page.theme)

    def show_site(self, site_id: int | None) -> None:
        """The site that is open now; what was written for another is put away."""
        if site_id != self._site_id:
            self.notice.hide()
        self._site_id = site_id

    def print_history(self) -> None:
        """All of it, for us."""
        self._print("us")

    def print_for_owner(self) -> None:
        """What the owner of today may see."""
        self._print("owner")

    @Slot(object)
    def open_sent(self, paper_id: object) -> None:
        """A paper that left, the very bytes of it."""
        job = self._page.shell.ask(_sent, self._page.desk, paper_id)
        job.done.connect(self._written)

    def _print(self, whom: str) -> None:
        if self._site_id is None:
            return
        title = say("Printing the history")
        job = self._page.shell.ask(_write, self._page.desk, self._site_id, whom, title=title)
        job.done.connect(self._written)

    @Slot(object)
    def _written(self, written: tuple[str, str]) -> None:
        self.notice.tell_written(written)


def _sent(desk: Desk, paper_id: int) -> tuple[str, str]:
    """On the worker: the paper as it left, beside the store."""
    from servicedesk.desk.reports_kept import paper_file

    return paper_file(desk, paper_id)


def _write(desk: Desk, site_id: int, whom: str) -> tuple[str, str]:
    """On the worker: the paper beside the store."""
    # papers are only needed when somebody prints: reportlab stays out of the start
    from servicedesk.desk.site_history_paper import write_history

    return write_history(desk, site_id, whom=whom)
