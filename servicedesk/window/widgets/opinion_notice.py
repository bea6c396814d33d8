"""Where the second opinion lies, with a button that opens it."""

from pathlib import Path

from PySide6.QtCore import QUrl, Slot
from PySide6.QtGui import QDesktopServices

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.notice import Notice
from servicedesk.words import say


class OpinionNotice(Notice):
    """Hidden until a page was written."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Open it"))
        self.path: Path | None = None
        self.asked.connect(self._open)

    @Slot(object)
    def tell_written(self, written: tuple[str, str]) -> None:
        """Say which file it is and in which folder."""
        folder, name = written
        self.path = Path(folder) / name
        self.tell(say("The second opinion is written: {name}", name=name), folder)

    @Slot()
    def _open(self) -> None:
        if self.path is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(self.path)))
