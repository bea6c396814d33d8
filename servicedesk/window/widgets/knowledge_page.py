"""A page of knowledge on a sheet: read with the arrows, Enter opens what a line names."""

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, Slot
from PySide6.QtWidgets import QListView, QSizePolicy

from servicedesk.desk.knowledge_bits import PageLine
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.knowledge_painter import PagePainter
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say


class PageView(RowsView):
    """Lines of a page. `opened` carries a `PageLine`; only those that lead somewhere are sent."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("The chosen entry"), PagePainter(theme), fits=False)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.clicked.connect(self._pressed)

    def show_lines(self, lines: Sequence[PageLine]) -> None:
        """Show another page from its top; the same one anew where it is."""
        self.setCurrentIndex(QModelIndex())
        self.show_rows([_row(line) for line in lines])

    def scroll_to(self, value: int) -> None:
        """Scroll there, when the lines have their heights."""
        self.doItemsLayout()
        self.verticalScrollBar().setValue(value)

    @property
    def chosen_line(self) -> PageLine | None:
        """The line that the keys are on."""
        thing = self.chosen
        return thing if isinstance(thing, PageLine) else None

    @Slot(QModelIndex)
    def _pressed(self, index: QModelIndex) -> None:
        line = self.chosen_line
        if line is not None and line.to is not None:
            self.opened.emit(line, False)


class PageSheet(Sheet):
    """The sheet of the chosen entry: its name and kind on top, its page below."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.page = PageView(theme)
        self.title_label.setWordWrap(True)
        # the name has the room, the kind of entry stands at the right end
        self.hint_label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.head.setStretch(0, 1)
        self.head.setStretch(1, 0)
        self.body.addWidget(self.page, 1)

    def show_page(self, lines: Sequence[PageLine]) -> None:
        """Show a page; its title line becomes the sheet's."""
        first = lines[0] if lines else None
        has_title = first is not None and first.kind == "title"
        title, hint = (first.text, first.second) if first is not None and has_title else ("", "")
        self.set_title(title, hint)
        self.page.show_lines(lines[1:] if has_title else lines)


def _row(line: PageLine) -> Row:
    return Row(
        title=line.text,
        second=line.second,
        right=line.right,
        is_heading=line.kind == "heading",
        thing=line,
    )
