"""The right sheet of the year: why the chosen price is what it is, and what to do about it."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalLine
from servicedesk.desk.year_page import YearPage
from servicedesk.desk.year_rows import YearRow
from servicedesk.desk.year_steps import cost_steps, price_steps, told
from servicedesk.desk.year_words import exact
from servicedesk.papers.year_figures import StepsShown, steps_figure
from servicedesk.renewals.price import AFTER_VISIT, CALL_FIRST, NOT_RENEW, RAISE, RENEW
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.actions import Actions
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.patterns_painted import FigureView, TextView
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.words import say, say_n
from servicedesk.words.renewal_reasons import decision_text

DECISIONS = (RAISE, CALL_FIRST, RENEW, AFTER_VISIT, NOT_RENEW)


class ReasonsSheet(Sheet):
    """Steps of the price, cost, the year behind in words; decisions and buttons at the foot."""

    def __init__(self, theme: Theme, keys: Actions) -> None:
        super().__init__(theme, " ")
        self.second = TextView(theme, role="second", color="ink2")
        self.cost_title = Words(theme, role="row_lead", color="ink2")
        self.cost = FigureView(theme, say("What the next year will likely cost"))
        self.price_title = Words(theme, role="row_lead", color="ink2")
        self.price = FigureView(theme, say("Steps of the price"))
        self.none = TextView(theme, color="ink2")
        self.told = TextView(theme, color="ink2")
        self.flags = TextView(theme, role="second", color="ink2")
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(8)
        for widget in (self.second, self.price_title, self.price, self.none, self.cost_title,
                       self.cost, self.told, self.flags):  # fmt: skip
            column.addWidget(widget)
        column.addStretch(1)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setWidget(inner)
        self.body.addWidget(self.area, 1)
        self._build_foot(theme, keys)

    def _build_foot(self, theme: Theme, keys: Actions) -> None:
        pills = Flow(gap=6)
        self.pills: dict[str, Button] = {}
        for n, code in enumerate(DECISIONS, 1):
            pill = Button(theme, decision_text(code), kind="pill", key=str(n), shows_only=True)
            pill.clicked.connect(keys[f"decide_{code}"].trigger)
            keys[f"decide_{code}"].enabledChanged.connect(pill.setEnabled)
            self.pills[code] = pill
            pills.flow.addWidget(pill)
        self.body.addWidget(pills)
        row = Flow(gap=8)
        self.take = Button(theme, say("Take the price"), kind="main", key="T", shows_only=True)
        self.own = Button(theme, say("Own…"), key="P", shows_only=True)
        for act, button in (("take", self.take), ("own", self.own)):
            button.clicked.connect(keys[act].trigger)
            keys[act].enabledChanged.connect(button.setEnabled)
            row.flow.addWidget(button)
        self.body.addWidget(row)

    def show_line(
        self, desk: Desk, page: YearPage, line: RenewalLine | None, row: YearRow | None
    ) -> None:
        """Show another contract; None where none is chosen."""
        if line is None or row is None:
            self.set_title(say("No contract is chosen"))
            for view in (self.second, self.none, self.told, self.flags):
                view.set_text("")
            for widget in (self.cost_title, self.cost, self.price_title, self.price):
                widget.hide()
            return
        self.set_title(row.address)
        self.second.set_text(
            say("{holder} · contract {number}, ends {day}", holder=line.holder, number=line.number,
                day=desk.formats.day(line.ends_on, near=desk.today)), row.offer
        )  # fmt: skip
        cost, price = cost_steps(desk, page, line), price_steps(desk, page, line)
        self._show(self.cost, self.cost_title, say("What next year will likely cost"), cost)
        title = say("Why {money}", money=exact(desk, line.price.next_minor)) if line.price else ""
        self._show(self.price, self.price_title, title, price)
        self.none.set_text("" if price else say("No price is written: write your own to renew it."))
        self.told.set_text(" ".join(told(desk, line)))
        self.flags.set_text(*(f"· {flag}" for flag in row.flags))
        for code, pill in self.pills.items():
            pill.setChecked(row.is_decided and row.decision == code)
        self.area.verticalScrollBar().setValue(0)

    def _show(self, view: FigureView, title: Words, words: str, shown: StepsShown | None) -> None:
        view.setVisible(shown is not None)
        title.setVisible(shown is not None)
        title.setText(words)
        if shown is None:
            return
        steps = shown

        def draw(width: float, measure: Measure, scale: float) -> tuple[list[Shape], float]:
            return steps_figure(steps, width, measure, scale)

        said = "; ".join(f"{one.words} {one.text}" for one in steps.steps)
        view.show_figure(draw, f"{said}; {steps.sum_words} {steps.sum_text}")

    def show_choice(self, desk: Desk, row: YearRow | None, n_ticked: int) -> None:
        """What the main button takes: the ticked ones, else the chosen one."""
        if n_ticked:
            words = say_n("Take {n} at its price", "Take {n} at their prices", n_ticked)
        elif row is not None and row.next_minor is not None:
            words = say("Take {money}", money=exact(desk, row.next_minor))
        else:
            words = say("Take the price")
        self.take.setText(words)
