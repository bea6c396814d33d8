"""From a site's file: the customer asks for another day, three places at once, one taken."""

from babel.dates import get_day_names
from PySide6.QtCore import QObject, Slot

from servicedesk.desk.carry import placed_at, stop_asked
from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.sitefile import SiteFile
from servicedesk.window.places.rounds_another_day import AnotherDayAsker
from servicedesk.window.widgets.another_day_sheet import AnotherDaySheet
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.site_file_data import SiteSeen
from servicedesk.window.widgets.site_verbs import Page
from servicedesk.words import say

_HIGH_PX = 250


def stop_here(desk: Desk, site_id: int) -> Wanted | None:
    """The visit a customer speaks of: the next one on a round, else what waits there. Reads."""
    return placed_at(desk, site_id) or stop_asked(desk, site_id)


class SiteAnotherDay(QObject):
    """`sheet` is the form; it stands in the page and is hidden until somebody asks."""

    def __init__(self, page: Page, notice: Notice, parent: QObject) -> None:
        super().__init__(parent)
        self._page, self._notice = page, notice
        formats = page.desk.formats
        names = get_day_names("abbreviated", locale=formats.locale_name)  # 0 is Monday
        self.sheet = AnotherDaySheet(page.theme, formats, [names[n] for n in range(7)])
        self.sheet.setFixedHeight(page.theme.px(_HIGH_PX))
        self.sheet.hide()
        self.asker = AnotherDayAsker(page.shell, self.sheet, self)
        self.asker.shown.connect(self._shown)
        self._file: SiteFile | None = None

    def show_seen(self, seen: SiteSeen | None) -> None:
        """The site that is open now; read anew, the form goes: its places may be taken."""
        self._file = seen.file if seen is not None else None
        self.asker.away()

    def ask(self) -> None:
        """Look for the visit they speak of, and open the form for it."""
        if self._file is None:
            return
        job = self._page.shell.ask(stop_here, self._page.desk, self._file.head.id)
        job.done.connect(self._found)

    @Slot(object)
    def _found(self, stop: Wanted | None) -> None:
        file = self._file
        if file is None or (stop is not None and stop.site_id != file.head.id):
            return  # another site is open by now
        if stop is None:
            self._notice.tell(
                say("No visit is planned here."),
                say("Plan one with L; then it can be moved to another day."),
            )
            return
        self.asker.begin_stop(self._page.desk, stop, file.head.address)
        self.sheet.days[0].setFocus()

    @Slot()
    def _shown(self) -> None:
        self.sheet.setVisible(self.asker.is_open)
