"""What went out: the register of papers, each opened as it left, its confirmation written later."""

from functools import partial
from typing import Any, ClassVar

from PySide6.QtCore import QRectF, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.reports_kept import RegisterRow, paper_file, went_out
from servicedesk.desk.sitehistory import how_text
from servicedesk.exchange.addresses import folded_once, folded_text
from servicedesk.window.actions import Act
from servicedesk.window.ink import Ink
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.axis_rows import AxisHead, AxisPainter, Cell, cell_box
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.rows_sheet import RowsSheet
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n
from servicedesk.words.formats import UNKNOWN
from servicedesk.words.papers import paper_text

MOST_ROWS = 500


class RegisterPlace(DeskPlace):
    """A list read on the worker, searched as one types."""

    name: ClassVar[str] = "register"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._forms = Forms(shell, self)
        self._asked: object = None
        self._cells: tuple[SentCells, ...] = ()
        self.search = QLineEdit()
        self.search.setPlaceholderText(say("Search: number, address, to whom"))
        self.search.setAccessibleName(say("Search what went out"))
        self.search.setMinimumWidth(self.theme.px(250))
        self.search.setMaximumWidth(self.theme.px(340))
        self.search.textChanged.connect(self._show)
        self.told = Words(self.theme, color="ink2")
        self.notice = PaperNotice(self.theme)
        self.empty = Words(self.theme, say("Reading what went out…"), color="ink2")
        self.list = RowsView(self.theme, say("What went out"), SentPainter(self.theme), fits=False)
        self.list.setUniformItemSizes(True)
        self.list.opened.connect(self._opened)
        self.list.current_changed.connect(self.keys.refresh)
        self.sheet = RowsSheet(self.theme, SentHead(self.theme), self.list)
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        column.addLayout(self._head())
        column.addWidget(self.told)
        column.addWidget(self.notice)
        column.addWidget(self.empty)
        column.addWidget(self.sheet, 1)
        column.addStretch(0)

    def _head(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(self.theme, say("What went out"), role="page_title"))
        row.addSpacing(8)
        row.addWidget(self.search)
        row.addStretch(1)
        for act, words, icon, key in (
            ("open_paper", say("Open as it left"), "look", "O"),
            ("confirm", say("Confirmation…"), "check", "C"),
            ("open_site", say("Its site"), "sites", "S"),
        ):
            button = Button(self.theme, words, icon_name=icon, key=key, shows_only=True)
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)
            row.addWidget(button)
        return row

    @property
    def chosen(self) -> RegisterRow | None:
        """What the keys are on."""
        thing = self.list.chosen
        return thing.row if isinstance(thing, SentCells) else None

    def acts(self) -> tuple[Act, ...]:
        group = say("What went out")

        def act(act_id: str, text: str, key: str, do: Any, when: Any = None) -> Act:
            return Act(id=act_id, text=text, shortcut=key, do=do, group=group, when=when)

        return (
            act("open_paper", say("Open as it left"), "O", self.open_paper, self._why_not_kept),
            act("confirm", say("Confirmation number…"), "C", self.ask_confirm, self._why_none),
            act("open_site", say("Its site"), "S", self.open_site, self._why_no_site),
            act("search", say("Search"), "Ctrl+F", self.find_in),
        )

    def refresh(self, changed: object) -> None:
        job = self.shell.ask(_read, self.desk)
        self._asked = job
        job.done.connect(self._arrived)

    def first_focus(self) -> QWidget:
        return self.list

    def find_in(self) -> None:
        """The keys go to the search field."""
        self.search.setFocus()

    def open_paper(self) -> None:
        """The very bytes that left, written beside the store."""
        if self.chosen is not None:
            job = self.shell.ask(paper_file, self.desk, self.chosen.paper_id)
            job.done.connect(self.notice.tell_written)

    def ask_confirm(self) -> None:
        """The number that came back from the authority."""
        one = self.chosen
        if one is None:
            return
        self._forms.form(self.desk).open_form(
            say("Confirmation"),
            (FieldSpec(name="confirmation", label=say("Confirmation number")),),
            {"confirmation": one.confirmation},
            partial(_confirm, self.desk, one.paper_id),
            button=say("Write it"),
            hint=_title(one),
            seen=one.revision,
        )

    def open_site(self) -> None:
        """The file of the site that the paper is about."""
        one = self.chosen
        if one is not None and one.site_id is not None:
            self.shell.go("sites", one.site_id)

    def _why_none(self) -> str | None:
        return None if self.chosen is not None else say("Choose something in the list first.")

    def _why_not_kept(self) -> str | None:
        if self.chosen is not None and self.chosen.sha256 is None:
            return say("No file was kept of that paper.")
        return self._why_none()

    def _why_no_site(self) -> str | None:
        has_sites = any(kind.id == "sites" for kind in places())
        if self.chosen is not None and (self.chosen.site_id is None or not has_sites):
            return say("No site stands behind that paper.")
        return self._why_none()

    @Slot(object)
    def _arrived(self, cells: "tuple[SentCells, ...]") -> None:
        if self.sender() is self._asked:
            self._cells = cells
            self._show()

    @Slot()
    def _show(self) -> None:
        words = folded_text(self.search.text()).split()
        found = [one for one in self._cells if all(word in one.searched for word in words)]
        rows = [_row(one) for one in found[:MOST_ROWS]]
        self.list.show_rows(rows)
        self.sheet.setVisible(bool(rows))
        self.empty.setText(say("Nothing went out like that in the last year."))
        self.empty.setVisible(not rows)
        told = say_n("{n} paper of the last year", "{n} papers of the last year", len(found))
        if len(found) > MOST_ROWS:
            told = say("{told}; the latest {n} are shown", told=told, n=MOST_ROWS)
        self.told.setText(told)
        if rows and not self.list.currentIndex().isValid():
            self.list.setCurrentIndex(self.list.rows.index(0))
        self.keys.refresh()

    @Slot(object, bool)
    def _opened(self, _thing: object, _beside: bool) -> None:
        self.keys["open_paper"].trigger()


class SentCells:
    """One paper in words."""

    __slots__ = ("day", "how", "kept", "row", "searched", "title")

    def __init__(self, row: RegisterRow, title: str, day: str, how: str, kept: str) -> None:
        self.row, self.title, self.day, self.how, self.kept = row, title, day, how, kept
        texts = (title, row.address, row.to_whom, row.confirmation, day, str(row.number or ""))
        self.searched = folded_once(" ".join(texts))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, SentCells) and other.row == self.row

    def __hash__(self) -> int:
        return hash(self.row.paper_id)

    @classmethod
    def of(cls, desk: Desk, row: RegisterRow) -> "SentCells":
        """The paper in the company's way of writing."""
        day = desk.formats.day(desk.clock.day_of(row.sent_at))
        how = say("the authority's own form") if row.how == "own form" else how_text(row.how)
        kept = "" if row.sha256 is not None else say("no file kept")
        return cls(row, _title(row), day, how, kept)


def _read(desk: Desk) -> tuple[SentCells, ...]:
    """On the worker: the papers of the last year in words."""
    return tuple(SentCells.of(desk, one) for one in went_out(desk))


def _title(row: RegisterRow) -> str:
    text = first_upper(paper_text(row.kind_of))
    return text if row.number is None else say("{paper}, number {n}", paper=text, n=row.number)


def _row(cells: SentCells) -> Row:
    row = cells.row
    parts = (row.address, row.to_whom, cells.how, cells.day, row.confirmation, cells.kept)
    return Row(title=cells.title, second=" · ".join(p for p in parts if p), icon="note",
               right=cells.day, thing=cells)  # fmt: skip


def _confirm(desk: Desk, paper_id: int, values: dict[str, Any], seen: int | None) -> object:
    """On the worker: the number that came back."""
    from servicedesk.desk.reports import confirm

    return confirm(desk, paper_id, values["confirmation"] or "", seen=seen)


def sent_columns(width: float, scale: float) -> tuple[Cell, Cell, Cell, Cell]:
    """What, to whom, how, confirmation; from and to in pixels from the left."""
    gap = 16 * scale
    rest = width - 5 * gap - 30 * scale
    cells, x = [], gap + 30 * scale
    for share in (0.36, 0.26, 0.16, 0.22):
        cells.append((x, x + rest * share))
        x += rest * share + gap
    what, whom, how, confirmation = cells
    return what, whom, how, confirmation


class SentPainter(AxisPainter):
    """Paints `Row`s whose thing is a `SentCells`."""

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        cells = row.thing
        if not isinstance(cells, SentCells):
            return
        what, whom, how, confirmation = sent_columns(box.width(), self._theme.scale)
        self.paint_icon(ink, box, "note", "water" if not cells.kept else "ink2")
        two_lines(ink, cell_box(box, what), cells.title, cells.row.address or UNKNOWN, lead=True)
        ink.text(cell_box(box, whom), cells.row.to_whom, color="ink2")
        two_lines(ink, cell_box(box, how), cells.day, cells.how)
        two_lines(ink, cell_box(box, confirmation), cells.row.confirmation or UNKNOWN, cells.kept)


class SentHead(AxisHead):
    """The headings over the rows."""

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        cells = sent_columns(box.width(), self._theme.scale)
        heads = (say("What, and where"), say("To whom"), say("When, and how"), say("Confirmation"))
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.line(box.bottomLeft(), box.bottomRight(), "edge")
            for words, cell in zip(heads, cells, strict=True):
                ink.text(cell_box(box, cell), words, role="second", color="ink2")
