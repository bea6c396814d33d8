"""Tell list: whom to tell what about their visits. Nothing is sent; ticking a line writes told."""

from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from typing import ClassVar

from PySide6.QtCore import QUrl, Slot
from PySide6.QtGui import QDesktopServices, QGuiApplication
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk import tell_list as desk_tell
from servicedesk.desk.office import Desk
from servicedesk.desk.out_files import write_tell_csv
from servicedesk.desk.span_rounds import week_of
from servicedesk.desk.tell_list import TellList, ToTell
from servicedesk.desk.tell_texts import texts_folder, write_own_texts
from servicedesk.window.actions import Act
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.registry import places
from servicedesk.window.places.rounds_papers import FilesWritten
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.tell_list_detail import WAYS, TellDetail
from servicedesk.window.widgets.tell_list_rows import tell_row
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n


class TellListPlace(DeskPlace):
    """() keeps what is shown; (day,) that day's list; ("changed",) what is no longer so."""

    name: ClassVar[str] = "tell_list"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._asked: object = None
        self._span = "day"
        self._day: date = self.desk.today
        self._next: int | None = None  # the visit to choose when the list has been read
        self.found = TellList(())
        self.opener: Callable[[QUrl], bool] = QDesktopServices.openUrl
        self._build()

    @property
    def chosen(self) -> ToTell | None:
        """The line that the keys act on."""
        thing = self.list.chosen
        return thing if isinstance(thing, ToTell) else None

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        group, why = say("The chosen line"), self._why_not
        ways = (
            Act(id=f"way_{way}", text=say("Told by {way}", way=desk_tell.way_text(way)),
                do=partial(self.choose_way, way), shortcut=str(n), group=group, when=why)
            for n, way in enumerate(WAYS, 1)
        )  # fmt: skip
        return (
            Act(id="told", text=say("Told"), do=self.told, shortcut="T", group=group,
                when=self._why_not_told),
            Act(id="open", text=say("Call, text or e-mail"), do=self.open_link, shortcut="O",
                group=group, when=self._why_no_link),
            Act(id="copy", text=say("Copy the words"), do=self.copy, shortcut="C", group=group,
                when=why),
            Act(id="site", text=say("Open the site's file"), do=self.open_site, shortcut="F",
                group=group, when=why),
            *ways,
            Act(id="csv", text=say("List for a spreadsheet"), do=self.write_csv,
                shortcut="Ctrl+E", group=say("The list"), when=self._why_no_line),
            Act(id="texts", text=say("Put the texts in your own words"), do=self.own_texts,
                group=say("The list")),
        )  # fmt: skip

    def title(self) -> str:
        return say("changed") if self._span == "changed" else self.desk.formats.weekday(self._day)

    def show_record(self, ids: tuple[object, ...]) -> None:
        if ids:
            if ids[0] == "changed":
                self._span = "changed"
            else:
                self._day = ids[0] if isinstance(ids[0], date) else date.fromisoformat(str(ids[0]))
                self._span = "week" if len(ids) > 1 and ids[1] == "week" else "day"
            self.pills[self._span].setChecked(True)
            self.trail_changed.emit()
            self._read()

    def refresh(self, changed: object) -> None:
        self._read()

    def position(self) -> object:
        return (self._span, self._day, self.chosen.visit_id if self.chosen else None)

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and len(position) == 3:
            self._span, self._day, self._next = position
            self.pills[self._span].setChecked(True)
            self._read()

    def first_focus(self) -> QWidget:
        return self.list

    # building

    def _build(self) -> None:
        theme = self.theme
        margin = theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        column.addLayout(self._head())
        self.notice = Notice(theme, say("Open the folder"))
        self.files = FilesWritten(self.shell, self.notice, self)
        column.addWidget(self.notice)
        self.none_words = Words(theme, color="ink2", wraps=True)
        column.addWidget(self.none_words)
        row = QHBoxLayout()
        row.setSpacing(theme.tokens.space.sheet_gap)
        self.list_sheet = Sheet(theme)
        self.list_sheet.setAccessibleName(say("Whom to tell"))
        self.list = RowsView(theme, say("Whom to tell"), RowPainter(theme, hairlines=True),
                             fits=False)  # fmt: skip
        self.list.current_changed.connect(self._moved)
        self.list.opened.connect(self._opened)
        self.list_sheet.body.addWidget(self.list, 1)
        self.detail = TellDetail(theme, open_=self.keys["open"], copy=self.keys["copy"],
                                 told=self.keys["told"])  # fmt: skip
        self.detail.way_chosen.connect(self.keys.refresh)
        row.addWidget(self.list_sheet, 5)
        row.addWidget(self.detail, 6)
        self.both = QWidget()
        row.setContentsMargins(0, 0, 0, 0)
        self.both.setLayout(row)
        column.addWidget(self.both, 1)
        column.addStretch(0)
        self.both.hide()

    def _head(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(self.theme, say("Tell list"), role="page_title"))
        row.addSpacing(8)
        self.pills: dict[str, Button] = {}
        group = QButtonGroup(self)
        for name, words in (("day", say("This day")), ("week", say("Its week")),
                            ("changed", say("Told, but changed since"))):  # fmt: skip
            pill = Button(self.theme, words, kind="pill")
            pill.setObjectName(name)
            pill.setChecked(name == self._span)
            group.addButton(pill)
            self.pills[name] = pill
            row.addWidget(pill)
        group.buttonClicked.connect(self._pressed)
        self.still = Words(self.theme, color="ink2")
        row.addWidget(self.still)
        row.addStretch(1)
        for act, words, icon in (("csv", say("Spreadsheet"), "out"),
                                 ("texts", say("Own words…"), "note")):  # fmt: skip
            button = Button(self.theme, words, icon_name=icon, small=True)
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)
            row.addWidget(button)
        return row

    # reading

    def _read(self) -> None:
        if self._span == "changed":
            job = self.shell.ask(desk_tell.tell_changed, self.desk)
        else:
            first, until = self._day, self._day + timedelta(days=1)
            if self._span == "week":
                first, until = week_of(self._day)
            job = self.shell.ask(desk_tell.tell_list, self.desk, first, until)
        self._asked = job
        job.done.connect(self._arrived)

    @Slot(object)
    def _arrived(self, found: TellList) -> None:
        if self.sender() is not self._asked:
            return
        kept = self._next if self._next is not None else self._chosen_id()
        self._next = None
        self.found = found
        self.list.show_rows([tell_row(line) for line in found.lines])
        self.both.setVisible(bool(found.lines))
        self.none_words.setVisible(not found.lines)
        self.none_words.setText(_nothing(self._span))
        words = say_n("{n} still to be told", "{n} still to be told", found.n_open)
        self.still.setText(words if found.lines else "")
        line = next((one for one in found.lines if one.visit_id == kept), None)
        if line is not None:
            self.list.choose(line)
        elif found.lines:
            self.list.setCurrentIndex(self.list.rows.index(0))
        self._show_chosen()

    def _chosen_id(self) -> int | None:
        return self.chosen.visit_id if self.chosen is not None else None

    def _show_chosen(self) -> None:
        if self.chosen is not None:
            self.detail.show_line(self.chosen)
        self.keys.refresh()

    @Slot(object)
    def _moved(self, _thing: object) -> None:
        self._show_chosen()

    @Slot(object, bool)
    def _opened(self, _thing: object, _beside: bool) -> None:
        self.keys.run("open")

    @Slot(QAbstractButton)
    def _pressed(self, pill: QAbstractButton) -> None:
        self._span = pill.objectName()
        self.trail_changed.emit()
        self._read()
        self.list.setFocus()

    # doing

    def told(self) -> None:
        """Write that the chosen line was told, as it stands beside; go on to the next one."""
        line = self.chosen
        if line is None:
            return
        left = [one.visit_id for one in self.found.lines if not one.is_told]
        at = left.index(line.visit_id)
        after = [*left[at + 1 :], *left[:at]]
        self._next = after[0] if after else line.visit_id
        self.shell.change(
            desk_tell.mark_told, self.desk, line, way=self.detail.way, text=self.detail.text
        )

    def open_link(self) -> None:
        """Open the phone, the text message or the e-mail; the words are in it where it can be."""
        link = self.detail.link
        if link and not self.opener(QUrl.fromEncoded(link.encode())):
            self.notice.button.hide()
            self.notice.tell(
                say("No program here opens that."),
                say("Copy the words with C, or write down the number."),
            )

    def copy(self) -> None:
        """The words as they stand, for any other program."""
        QGuiApplication.clipboard().setText(self.detail.text)

    def choose_way(self, way: str) -> None:
        """Tell the chosen line in another way."""
        self.detail.choose_way(way)
        self.keys.refresh()

    def open_site(self) -> None:
        """The site's file."""
        line = self.chosen
        if line is not None and any(kind.id == "sites" for kind in places()):
            self.shell.go("sites", line.site_id)

    def write_csv(self) -> None:
        """The list beside the store, for a spreadsheet."""
        name = "changed" if self._span == "changed" else f"{self._span}-{self._day}"
        self.files.write(write_tell_csv, self.desk, self.found, name)

    def own_texts(self) -> None:
        """The texts beside the store, to be put in own words."""
        self.files.write(_own_texts, self.desk)

    # why not

    def _why_not(self) -> str | None:
        return None if self.chosen is not None else say("Choose somebody in the list first.")

    def _why_not_told(self) -> str | None:
        if self.chosen is not None and self.chosen.is_told:
            return say("They were told already; take it back under All changes.")
        return self._why_not()

    def _why_no_link(self) -> str | None:
        if self.chosen is not None and not self.detail.link:
            return say("No number or address for that way is known here.")
        return self._why_not()

    def _why_no_line(self) -> str | None:
        return None if self.found.lines else say("There is nobody to tell.")


def _own_texts(desk: Desk) -> tuple[str, tuple[str, ...]]:
    """On the worker: the files to edit."""
    folder = texts_folder(desk.store.place)
    return str(folder), tuple(path.name for path in write_own_texts(folder))


def _nothing(span: str) -> str:
    if span == "changed":
        return say("Nobody was told anything that is no longer so.")
    return say("Nobody has a visit to be told of here. Plan the rounds first; days that have "
               "passed tell nobody anything.")  # fmt: skip
