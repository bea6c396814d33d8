"""Where a paper or a mail draft lies, with a button that opens it."""

from pathlib import Path

from PySide6.QtCore import QUrl, Signal, Slot
from PySide6.QtGui import QDesktopServices

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.notice import Notice
from servicedesk.words import say


class PaperNotice(Notice):
    """Hidden until a file was written. `written` may be sent from the worker: folder and name."""

    written = Signal(object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Open it"))
        self.path: Path | None = None
        self.asked.connect(self._open)
        self.written.connect(self.tell_written)

    @Slot(object)
    def tell_written(self, written: tuple[str, str]) -> None:
        """Say which file it is and in which folder."""
        folder, name = written
        self.path = Path(folder) / name
        self.tell(say("Written: {name}", name=name), folder)

    @Slot()
    def _open(self) -> None:
        if self.path is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(self.path)))
