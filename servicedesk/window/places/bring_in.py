"""Bring in: a list is looked at row by row, corrected, and taken as one change."""

from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar, cast

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from servicedesk.desk.bring_in_page import (
    BringInPage,
    Chosen,
    Tick,
    look_at_file,
    take_page,
)
from servicedesk.desk.office import Desk
from servicedesk.values.progress import Progress, quiet
from servicedesk.window.actions import Act
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.bring_in_drop import BringInDrop
from servicedesk.window.widgets.bring_in_view import BringInView
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.work import Job
from servicedesk.words import say


class BringInPlace(Place):
    """A file is chosen or dropped; every correction looks at it anew, on the worker."""

    name: ClassVar[str] = "bring_in"

    def __init__(self, shell: Shell) -> None:
        self._chosen: Chosen | None = None
        self._looking: Job | None = None
        self._taking: Job | None = None
        super().__init__(shell)
        self.setAcceptDrops(True)
        self.drop = BringInDrop(self.theme)
        self.view = BringInView(self.theme)
        self.notice = Notice(self.theme, say("Show the sites"))
        self.file_name = OneLine(self.theme, "", color="ink2")
        self.tables = Choice(self.theme, say("Sheet"))
        self.another = Button(self.theme, say("Another file…"), icon_name="in", small=True)
        self.pages = QStackedWidget()
        self.pages.addWidget(self.drop)
        self.pages.addWidget(self.view)
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 16, margin, margin)
        column.setSpacing(self.theme.tokens.space.sheet_gap)
        column.addLayout(self._head())
        column.addWidget(self.notice)
        column.addWidget(self.pages, 1)
        self.drop.wanted.connect(self.choose_file)
        self.another.clicked.connect(self.choose_file)
        self.tables.activated.connect(self._table_chosen)
        self.notice.asked.connect(self._show_sites)
        self.view.taken.connect(self.take)
        self.view.questions.answered.connect(self._answered)
        self.view.columns.corrected.connect(self._corrected)
        self._show_head(None)

    @property
    def desk(self) -> Desk:
        """The desk of this window."""
        return cast(Any, self.shell.office).desk  # type: ignore[no-any-return]

    @property
    def page(self) -> BringInPage | None:
        """What is shown, None while there is no file."""
        return self.view.page if self.pages.currentWidget() is self.view else None

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        return (
            Act(
                id="choose",
                text=say("Choose a file"),
                do=self.choose_file,
                icon="in",
                group=say("This page"),
            ),
        )

    def title(self) -> str:
        return self._chosen.file.name if self._chosen else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        if ids and isinstance(ids[0], Path):
            self.load(ids[0])

    def refresh(self, changed: object) -> None:
        if self._chosen is not None and self._taking is None:
            self._look()

    def first_focus(self) -> QWidget:
        return self.view.rows if self.page is not None else self.drop.button

    # one file

    def load(self, file: Path) -> None:
        """Look at a file."""
        self._chosen = Chosen(file=file)
        self.notice.hide()
        self.view.page = None
        self.view.rows.clear_ticks()
        self.trail_changed.emit()
        self._look()

    @Slot()
    def choose_file(self) -> None:
        """Ask which file."""
        dialog = QFileDialog(self, say("Choose a list"))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilters(
            [say("Lists and places (*.csv *.tsv *.txt *.xlsx *.gpx)"), say("All files (*)")]
        )
        dialog.fileSelected.connect(self._file_chosen)
        dialog.open()

    @Slot()
    def take(self) -> None:
        """Write what is shown, with the ticked lines."""
        page = self.page
        if page is None or self.view.foot.is_busy:
            return
        job = self.shell.change(
            _take,
            self.shell.office,
            page,
            self.view.rows.ticked,
            title=self.view.foot.button.text(),
        )
        self._taking = job
        self.view.foot.watch(job, say("Bringing in {name}", name=page.name))
        job.done.connect(self._taken)
        job.ended.connect(self._taking_ended)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        files = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if files:
            event.acceptProposedAction()
            self.load(Path(files[0]))

    def _head(self) -> QHBoxLayout:
        head = QHBoxLayout()
        head.setSpacing(self.theme.px(12))
        head.addWidget(Words(self.theme, say("Bring in a spreadsheet"), role="page_title"))
        head.addWidget(self.file_name, 1, Qt.AlignmentFlag.AlignVCenter)
        head.addWidget(self.tables, 0, Qt.AlignmentFlag.AlignVCenter)
        head.addWidget(self.another, 0, Qt.AlignmentFlag.AlignVCenter)
        return head

    def _show_head(self, page: BringInPage | None) -> None:
        self.file_name.set_text(page.name if page else "")
        self.another.setVisible(page is not None)
        proposal = page.proposal if page else None
        names = proposal.tables if proposal else ()
        self.tables.setVisible(len(names) > 1)
        if proposal is not None:
            self.tables.clear()
            self.tables.addItems(list(names))
            self.tables.setCurrentText(proposal.table)

    def _look(self) -> None:
        if self._chosen is None:
            return
        if self._looking is not None:
            self._looking.cancel()
        job = self.shell.ask(look_at_file, self.desk, self._chosen, title=say("Reading the list"))
        self._looking = job
        self.pages.setCurrentWidget(self.view)
        self.view.foot.watch(job, say("Reading {name}", name=self._chosen.file.name))
        job.done.connect(self._looked)
        job.ended.connect(self._looking_ended)

    def _away(self) -> None:
        """No file any more."""
        self._chosen = None
        self.view.page = None
        self.pages.setCurrentWidget(self.drop)
        self._show_head(None)
        self.trail_changed.emit()

    @Slot(object)
    def _looked(self, page: BringInPage) -> None:
        if self.sender() is not self._looking or self._chosen is None:
            return
        if page.proposal is not None:  # read once; a correction needs no file
            self._chosen = replace(self._chosen, sheet=page.proposal.sheet)
        is_first = self.view.page is None
        self._show_head(page)
        self.view.show_page(page)
        if is_first and self.isVisible():
            self.view.rows.setFocus(Qt.FocusReason.OtherFocusReason)

    @Slot()
    def _looking_ended(self) -> None:
        if self.sender() is not self._looking:
            return
        self._looking = None
        if self.view.page is None:  # it could not be read, or reading was stopped
            self._away()

    @Slot(object)
    def _taken(self, _changed: object) -> None:
        page = self.view.page
        if page is not None:
            self.notice.tell(
                say("Brought in {name}", name=page.name),
                page.summary,
            )
        self._away()

    @Slot()
    def _taking_ended(self) -> None:
        if self.sender() is self._taking:
            self._taking = None

    @Slot(str)
    def _file_chosen(self, path: str) -> None:
        self.load(Path(path))

    @Slot(int)
    def _table_chosen(self, at: int) -> None:
        if self._chosen is not None:
            name = self.tables.itemText(at)
            self._chosen = replace(self._chosen, table=name, header_row=None, mapping=None)
            self._look()

    @Slot(int, str)
    def _corrected(self, col: int, field: str) -> None:
        page = self.page
        if self._chosen is not None and page is not None and page.proposal is not None:
            mapping = page.proposal.mapping.with_choice(col, field)
            self._chosen = replace(self._chosen, mapping=mapping)
            self._look()

    @Slot(str, object)
    def _answered(self, code: str, answer: object) -> None:
        if self._chosen is None:
            return
        if code == "header_row":
            if str(answer).isdigit():
                self._chosen = replace(self._chosen, header_row=int(str(answer)), mapping=None)
                self._look()
            return
        given: Any = {code: answer.upper() if code == "currency" and isinstance(answer, str)
                      else answer}  # fmt: skip
        self._chosen = replace(self._chosen, answers=replace(self._chosen.answers, **given))
        self._look()

    @Slot()
    def _show_sites(self) -> None:
        there = {kind.id for kind in places()}
        self.shell.go("sites" if "sites" in there else "today")


def _take(
    office: Any, page: BringInPage, ticks: frozenset[Tick], progress: Progress = quiet
) -> object:
    """On the worker: write it, and sit down anew if the company changed with it."""
    changed = take_page(office.desk, page, ticks, progress)
    if changed.touches("company", "technician"):
        office.reread()
    return changed
