"""The stops of the round in the order of its sheet, with a tick at those that are written up."""

from collections.abc import Collection, Sequence

from PySide6.QtCore import QModelIndex, Qt, Signal, Slot
from PySide6.QtWidgets import QFrame, QListView

from servicedesk.desk.writeup_form import RoundStop
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row, RowList
from servicedesk.window.theme import Theme
from servicedesk.words import say
from servicedesk.words.formats import Formats
from servicedesk.words.jobs import kind_text


class StopList(QListView):
    """`chosen` with the visit whose form is wanted."""

    chosen = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._rows = RowList(self)
        self.setModel(self._rows)
        self.setItemDelegate(RowPainter(theme, hairlines=True, parent=self))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(say("Stops of the round"))
        self.clicked.connect(self._clicked)
        self.activated.connect(self._clicked)
        theme.changed.connect(self.scheduleDelayedItemsLayout)

    def show_stops(
        self,
        stops: Sequence[RoundStop],
        formats: Formats,
        *,
        set_aside: Collection[int],
        now: int | None,
    ) -> None:
        """These stops; `set_aside` have a draft, `now` is the one in hand."""
        self._rows.set_rows([_row(stop, formats, set_aside) for stop in stops])
        for n, stop in enumerate(stops):
            if stop.visit_id == now:
                self.setCurrentIndex(self._rows.index(n, 0))

    @Slot(QModelIndex)
    def _clicked(self, index: QModelIndex) -> None:
        row = self._rows.rows[index.row()]
        self.chosen.emit(row.thing)


def _row(stop: RoundStop, formats: Formats, set_aside: Collection[int]) -> Row:
    kinds = ", ".join(dict.fromkeys(kind_text(kind) for kind in stop.kinds))
    at = "" if stop.arrive_min is None else formats.short_time(stop.arrive_min)
    second = " · ".join(part for part in (at, kinds) if part)
    if stop.is_done:
        return Row(title=stop.address, second=second, right_icon="check", right_color="moss",
                   thing=stop.visit_id)  # fmt: skip
    if stop.visit_id in set_aside:
        return Row(title=stop.address, second=say("{about} · draft", about=second),
                   right_icon="note", right_color="ochre", thing=stop.visit_id)  # fmt: skip
    return Row(title=stop.address, second=second, right=str(stop.place), right_color="ink3",
               thing=stop.visit_id)  # fmt: skip
