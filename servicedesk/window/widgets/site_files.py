"""Photos and papers in a site's file: added by a dialog or dropped, opened, noted, taken off."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from PySide6.QtCore import QSize, Qt, QUrl, Slot
from PySide6.QtGui import QDesktopServices, QDragEnterEvent, QDropEvent, QImage, QPixmap
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import IconSign, OneLine, Words
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_file_data import SiteSeen
from servicedesk.window.widgets.site_rows import Flow, emptied
from servicedesk.words import say, say_n

if TYPE_CHECKING:  # the reader of photos stays out of the window's start
    from servicedesk.desk.attachments import Added, Attached

_PICTURE_PX = 56
_MOST_VISITS = 20  # to choose from


class Page(Protocol):
    """What is needed of the place."""

    shell: Shell
    theme: Theme

    @property
    def desk(self) -> Desk: ...
    @property
    def forms(self) -> Forms: ...


class FilesSheet(Sheet):
    """One row a file, the newest first. Files dropped anywhere on it are added."""

    def __init__(self, page: Page, notice: PaperNotice) -> None:
        hint = say("drop files here; copies that leave the house lose time and place")
        super().__init__(page.theme, say("Photos and papers"), hint)
        self._page, self._notice = page, notice
        self._seen: SiteSeen | None = None
        self._reading: object = None
        self.files: tuple[Attached, ...] = ()
        self.setAcceptDrops(True)
        self.add = Button(page.theme, say("Add…"), icon_name="plus", key="A", small=True,
                          shows_only=True)  # fmt: skip
        self.head.addWidget(self.add)
        self.rows = QVBoxLayout()
        self.rows.setSpacing(6)
        self.body.addLayout(self.rows)

    def show_seen(self, seen: SiteSeen | None) -> None:
        """The site that is open now; its files come in a moment."""
        is_other = (
            seen is None or self._seen is None or seen.file.head.id != self._seen.file.head.id
        )
        self._seen = seen
        if is_other:
            self.files = ()
            emptied(self.rows)
        if seen is not None:
            job = self._page.shell.ask(_read, self._page.desk, seen.file.head.id)
            self._reading = job
            job.done.connect(self._show)

    def choose_files(self) -> None:
        """Ask which files."""
        if self._seen is None:
            return
        dialog = QFileDialog(self, say("Add photos and papers"))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFiles)
        photos = "*.jpg *.jpeg *.png *.webp *.heic *.tif *.tiff"
        papers = "*.pdf *.txt *.csv *.docx *.xlsx *.odt *.ods"
        dialog.setNameFilters(
            [
                say("Photos and papers ({kinds})", kinds=f"{photos} {papers}"),
                say("All files (*)"),
            ]
        )
        dialog.filesSelected.connect(self.add_files)
        dialog.open()

    @Slot(list)
    def add_files(self, files: list[str]) -> None:
        """Keep these with the site."""
        if self._seen is None or not files:
            return
        paths = [Path(file) for file in files]
        title = say_n("Adding {n} file", "Adding {n} files", len(paths))
        job = self._page.shell.work.start(
            _add, self._page.desk, self._seen.file.head.id, paths, title=title
        )
        job.done.connect(self._added)
        job.failed.connect(self._page.shell.show_trouble)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        files = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if files:
            event.acceptProposedAction()
            self.add_files(files)

    # what comes home

    @Slot(object)
    def _added(self, added: "Added") -> None:
        if added.changed is not None:
            self._page.shell.bus.changed.emit(added.changed)
        if added.refused:
            n = len(added.refused)
            what = say_n("{n} file was not added.", "{n} files were not added.", n)
            means = say("The others were.") if added.n else ""
            self._page.shell.show_trouble(Trouble(what, means=means, do="\n".join(added.refused)))

    @Slot(object)
    def _show(self, files: "tuple[Attached, ...]") -> None:
        if self.sender() is not self._reading:
            return
        self.files = files
        emptied(self.rows)
        for number, one in enumerate(files):
            if number:
                self.rows.addWidget(Hairline(self._page.theme))
            self.rows.addWidget(self._row(one))
        if not files:
            words = say("No photo and no paper yet.")
            self.rows.addWidget(Words(self._page.theme, words, color="ink2"))

    def _row(self, one: "Attached") -> QWidget:
        theme, row = self._page.theme, QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(12)
        line.addWidget(self._picture(one), 0, Qt.AlignmentFlag.AlignTop)
        words = QVBoxLayout()
        words.setSpacing(1)
        words.addWidget(OneLine(theme, one.row.name, weight=600))
        words.addWidget(OneLine(theme, self._about(one), role="second", color="ink2"))
        if one.row.note:
            words.addWidget(Words(theme, one.row.note, wraps=True))
        line.addLayout(words, 1)
        flow = Flow(gap=6)
        for name, text in self._offers(one):
            button = Button(theme, text, small=True, name=f"{text}: {one.row.name}")
            button.setObjectName(f"{name}:{one.row.id}")
            button.clicked.connect(self._pressed)
            flow.flow.addWidget(button)
        line.addWidget(flow, 1)
        return row

    def _picture(self, one: "Attached") -> QWidget:
        side = self._page.theme.px(_PICTURE_PX)
        if not one.small:
            icon = IconSign(self._page.theme, "look" if one.is_photo else "note", "ink2", 28)
            icon.setFixedSize(QSize(side, side))
            return icon
        label = QLabel()
        label.setFixedSize(QSize(side, side))
        ratio = self.devicePixelRatioF()
        image = QImage.fromData(one.small).scaled(
            round(side * ratio), round(side * ratio),
            Qt.AspectRatioMode.KeepAspectRatioByExpanding,
            Qt.TransformationMode.SmoothTransformation,
        )  # fmt: skip
        picture = QPixmap.fromImage(image)
        picture.setDevicePixelRatio(ratio)
        label.setPixmap(picture)
        label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        label.setAccessibleName(say("Small picture of {name}", name=one.row.name))
        return label

    def _about(self, one: "Attached") -> str:
        desk = self._page.desk
        parts = []
        if one.row.taken_at is not None:
            day = desk.formats.day(desk.clock.day_of(one.row.taken_at), near=desk.today)
            time = desk.formats.time(desk.clock.minute_of(one.row.taken_at))
            parts.append(say("taken {day}, {time}", day=day, time=time))
        if one.row.visit_on is not None:
            day = desk.formats.day(one.row.visit_on, near=desk.today)
            parts.append(say("with the visit of {day}", day=day))
        size = desk.formats.number(max(1, round(one.row.n_bytes / 1000)))
        parts.append(say("{n} kB", n=size))
        return " · ".join(parts)

    def _offers(self, one: "Attached") -> list[tuple[str, str]]:
        offers = [("open", say("Open")), ("note", say("Note, visit…")), ("copy", say("Copy…"))]
        if one.place is not None:
            offers.append(("place", say("Take its place")))
        return [*offers, ("off", say("Take off"))]

    # what is pressed

    @Slot()
    def _pressed(self) -> None:
        name, _, number = self.sender().objectName().partition(":")
        self.do(name, int(number))

    def do(self, name: str, file_id: int) -> None:
        """Open, note, copy, take the place of ("place"), or take off ("off") one file."""
        one = next((f for f in self.files if f.row.id == file_id), None)
        if one is None or self._seen is None:
            return
        shell, desk = self._page.shell, self._page.desk
        if name == "open":
            shell.ask(_open, desk, file_id).done.connect(_show_outside)
        elif name == "note":
            self._ask_note(one)
        elif name == "copy":
            self._ask_copy(one)
        elif name == "place":
            head = self._seen.file.head
            shell.change(_take_place, desk, file_id, head.id, head.revision)
        else:
            shell.change(_take_off, desk, file_id, one.row.revision)

    def _ask_note(self, one: "Attached") -> None:
        desk = self._page.desk
        self._page.forms.form(desk).open_form(
            one.row.name,
            (
                FieldSpec(name="note", label=say("Note"), kind="long"),
                FieldSpec(name="visit_id", label=say("Belongs to"), kind="choice",
                          options=self._visits(one)),
            ),
            {"note": one.row.note, "visit_id": one.row.visit_id},
            partial(_edit, desk, one.row.id),
            button=say("Write it"),
            seen=one.row.revision,
        )  # fmt: skip

    def _visits(self, one: "Attached") -> tuple[tuple[int | None, str], ...]:
        """The site itself, the latest visits, and the one that it belongs to."""
        formats = self._page.desk.formats
        happened = self._seen.file.history if self._seen is not None else ()
        visits = [entry for entry in happened if entry.kind == "visit"]
        some = [v for n, v in enumerate(visits) if n < _MOST_VISITS or v.row_id == one.row.visit_id]
        told = tuple((v.row_id, f"{formats.day(v.on)} · {v.title}") for v in some)
        planned = self._seen.file.planned if self._seen is not None else ()
        to_come = tuple(
            (v.id, say("planned {day}", day=formats.day(v.planned_on)))
            for v in planned
            if v.planned_on is not None
        )
        return ((None, say("the site itself")), *to_come, *told)

    def _ask_copy(self, one: "Attached") -> None:
        dialog = QFileDialog(self, say("A copy that may leave the house"))
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(one.row.name)
        dialog.setObjectName(str(one.row.id))
        dialog.fileSelected.connect(self._copy_to)
        dialog.open()

    @Slot(str)
    def _copy_to(self, path: str) -> None:
        file_id = int(self.sender().objectName())
        job = self._page.shell.ask(_save, self._page.desk, file_id, Path(path))
        job.done.connect(self._copied)

    @Slot(object)
    def _copied(self, path: Path) -> None:
        self._notice.tell_written((str(path.parent), path.name))


@Slot(object)
def _show_outside(path: Path) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))


# on the worker; what reads photos is loaded there, when it is first needed


def _read(desk: Desk, site_id: int) -> "tuple[Attached, ...]":
    from servicedesk.desk.attachments import attached

    return attached(desk, site_id)


def _add(desk: Desk, site_id: int, files: list[Path], *, progress: Progress = quiet) -> "Added":
    from servicedesk.desk.attachments import add_files

    return add_files(desk, site_id, files, progress=progress)


def _open(desk: Desk, file_id: int) -> Path:
    from servicedesk.desk.attachments import open_copy

    return open_copy(desk, file_id)


def _save(desk: Desk, file_id: int, path: Path) -> Path:
    from servicedesk.desk.attachments import save_copy

    return save_copy(desk, file_id, path)


def _edit(desk: Desk, file_id: int, values: dict[str, Any], seen: int | None) -> object:
    from servicedesk.desk.attachments import edit_file

    return edit_file(desk, file_id, **values, seen=seen or 0)


def _take_off(desk: Desk, file_id: int, seen: int) -> object:
    from servicedesk.desk.attachments import take_off

    return take_off(desk, file_id, seen=seen)


def _take_place(desk: Desk, file_id: int, site_id: int, seen: int) -> object:
    from servicedesk.desk.attachments import take_place

    return take_place(desk, file_id, site_id=site_id, seen=seen)
