"""One truck: the chance that every visit is finished the first time, and what to put on."""

from PySide6.QtCore import QPointF, QRectF, QSize, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.load import PickLine, TruckLoad
from servicedesk.desk.load_text import chance_lines, percent_text, span_text, whom_text
from servicedesk.window.ink import Ink
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n

MOST_FURTHER = 5


class ChanceBar(QWidget):
    """Before (solid), after what is to be put on (hatch), and an upright at what is aimed at."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._before = self._after = self._wanted = 0.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def show_load(self, load: TruckLoad) -> None:
        """Another load."""
        self._before, self._after = load.before, load.after
        self._wanted = load.service * load.most
        self.setAccessibleName(" ".join(chance_lines(load)))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(200, self._theme.px(22))

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        high = self._theme.px(9)
        bar = QRectF(box.left(), box.center().y() - high / 2, box.width(), high)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.panel(bar, fill="sunken", radius=3)
            solid = QRectF(bar.left(), bar.top(), bar.width() * self._before, high)
            if solid.width() >= 1:
                ink.panel(solid, fill="edge", radius=3)
            more = QRectF(
                solid.right(), bar.top(), bar.width() * (self._after - self._before), high
            )
            if more.width() >= 1:
                ink.panel(more, fill="soft.water", edge="water")
                ink.hatch(more.adjusted(1, 1, -1, -1), "water")
            x = bar.left() + bar.width() * self._wanted
            ink.line(QPointF(x, box.top() + 1), QPointF(x, box.bottom() - 1), "ink", width=2)


class TruckSheet(Sheet):
    """A truck's sheet. `stepped_on`: the keys are on its list."""

    stepped_on = Signal(object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._load: TruckLoad | None = None
        self.chance = Words(theme, role="sum")
        self.head.addWidget(self.chance)
        self.bar = ChanceBar(theme)
        self.told = Words(theme, role="axis", color="ink2", wraps=True)
        self.list = RowsView(theme, say("What to put on"), RowPainter(theme, hairlines=True),
                             fits=False)  # fmt: skip
        self.list.setMinimumHeight(theme.px(60))
        self.list.current_changed.connect(self._stepped)
        self.body.setSpacing(4)
        self.body.addWidget(self.bar)
        self.body.addWidget(self.told)
        self.body.addWidget(self.list, 1)

    @property
    def load(self) -> TruckLoad | None:
        """What it shows."""
        return self._load

    def show_load(self, load: TruckLoad) -> None:
        """Another truck."""
        self._load = load
        who = load.technician
        if load.truck:
            who = say("{technician}, truck {truck}", technician=who, truck=load.truck)
        self.set_title(who, say_n("{n} visit", "{n} visits", load.n_visits))
        self.chance.setText(percent_text(load.after))
        self.bar.show_load(load)
        self.told.setText(_told(load))
        self.list.setAccessibleName(say("What to put on: {who}", who=who))
        self.list.show_rows(load_rows(load))

    @Slot(object)
    def _stepped(self, _thing: object) -> None:
        self.stepped_on.emit(self)


def _told(load: TruckLoad) -> str:
    parts = [
        _first_time(load),
        say("now {before}", before=percent_text(load.before)),
        say("upright: aim"),
    ]
    if load.at_least:
        parts.append(say("lower limits"))
    if load.unclear:
        n = len(load.unclear)
        parts.append(say_n("{n} call without symptom left out",
                           "{n} calls without symptom left out", n))  # fmt: skip
    return " · ".join(parts)


def _first_time(load: TruckLoad) -> str:
    """What the chance above is of, with its range where there is one."""
    if not span_text(load):
        return say("first time")
    return say("first time, {low} to {high}",
               low=round(100 * load.low), high=percent_text(load.high))  # fmt: skip


def _second(pick: PickLine) -> str:
    """Who it is for and what it adds come first: a narrow sheet cuts the rest."""
    parts = [
        whom_text(pick),
        say("adds {adds}", adds=percent_text(pick.adds)),
        pick.numbers,
        say("{there} on the truck", there=pick.on_truck),
    ]
    return " · ".join(part for part in parts if part)


def load_rows(load: TruckLoad) -> list[Row]:
    """The pick list, what one more would add, and parts that the catalogue lacks."""
    rows = [
        Row(
            title=pick.name,
            second=_second(pick),
            icon="plus",
            right=say("put on {n}", n=pick.quantity) if not pick.buy
            else say("put on {n} · buy {m}", n=pick.quantity, m=pick.buy),
            right_color="water" if not pick.buy else "ochre",
            thing=pick,
        )
        for pick in load.picks
    ]  # fmt: skip
    if not rows:
        reached = say("what is on the truck reaches the aim")
        rows.append(Row(title=say("Nothing to put on"), icon="check", second=reached, thing=load))
    if load.further:
        rows.append(Row(title=say("One more would add"), is_heading=True))
        rows += [
            Row(title=one.name, second=one.numbers, right=f"+{percent_text(one.adds)}",
                right_color="ink2", thing=one)
            for one in load.further[:MOST_FURTHER]
        ]  # fmt: skip
    if load.not_kept:
        rows.append(Row(title=say("Not in the catalogue, not counted"), is_heading=True))
        rows += [
            Row(title=name, right=percent_text(chance), right_color="ochre", icon="warn",
                thing=(name, chance))
            for name, chance in load.not_kept
        ]  # fmt: skip
    return rows
