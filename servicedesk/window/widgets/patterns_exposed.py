"""Systems still exposed to a pattern, best saving first, and which of them are chosen."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QMouseEvent

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_exposed import Exposed
from servicedesk.desk.pattern_told import about, one_digit
from servicedesk.desk.patterns import Pattern
from servicedesk.papers.exposed_figure import EDGE, TICK, ExposedShown, exposed_figure
from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.patterns_painted import PaintedRows
from servicedesk.words import say, say_n

FEW = 10  # shown at first


class ExposedRows(PaintedRows):
    """Space ticks, Enter opens the site. `ticked_changed` after each tick."""

    ticked_changed = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Systems still exposed"))
        self._desk: Desk | None = None
        self._pattern: Pattern | None = None
        self._owing: frozenset[int] = frozenset()
        self.ticked: set[int] = set()
        self.is_long = False
        self.turned.connect(self.turn)

    def show_pattern(
        self, desk: Desk, pattern: Pattern | None, ticked: set[int], owing: frozenset[int]
    ) -> None:
        """Show the systems of a pattern; `ticked` is kept and changed in place."""
        if pattern is None or self._pattern is None or pattern.title != self._pattern.title:
            self.is_long, self.current = False, ""
        self._desk, self._pattern, self._owing, self.ticked = desk, pattern, owing, ticked
        self.redraw()

    @property
    def all_exposed(self) -> tuple[Exposed, ...]:
        """Every line there is, shown or not."""
        return self._pattern.exposed if self._pattern else ()

    @property
    def open_ids(self) -> frozenset[int]:
        """Systems that do not owe it yet."""
        return frozenset(one.system_id for one in self.all_exposed) - self._owing

    def exposed_of(self, key: str) -> Exposed | None:
        """The line of a key."""
        return next((one for one in self.all_exposed if _key(one) == key), None)

    def show_all(self, *, long: bool) -> None:
        """All lines, or the first ones."""
        self.is_long = long
        self.redraw()

    def turn(self, key: str) -> None:
        """Choose a system, or not."""
        one = self.exposed_of(key)
        if one is not None and one.system_id in self.open_ids:
            self.ticked ^= {one.system_id}
            self.redraw()
            self.stand_on(key)
            self.ticked_changed.emit()

    def turn_all(self) -> None:
        """Choose all, or none where all are chosen."""
        every = self.open_ids
        had_all = self.ticked >= every
        self.ticked.clear()
        if not had_all:
            self.ticked |= every
        self.redraw()
        self.ticked_changed.emit()

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        if self._desk is None or self._pattern is None:
            return (), (), 0.0
        exposed = self.all_exposed if self.is_long else self.all_exposed[:FEW]
        rows = [_shown(self._desk, one, self.ticked, self._owing) for one in exposed]
        return exposed_figure(rows, _names(self._pattern), width, measure, scale=scale)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        row = self.row_at(event.position().y())
        if row is not None and event.position().x() <= (2 * EDGE + TICK) * self._theme.scale:
            self.turn(row.key)


def _key(one: Exposed) -> str:
    return f"{one.system_id}/{one.unit_id}"


def _names(pattern: Pattern) -> tuple[str, ...]:
    saves = say("saves") if pattern.saving_minor is not None else ""
    return (say("looked at"), say("age"), say("calls in 2 years"), saves)


def _shown(desk: Desk, one: Exposed, ticked: set[int], owing: frozenset[int]) -> ExposedShown:
    f = desk.formats
    age = "" if one.age_years is None else say("{n} y", n=one_digit(f, one.age_years))
    saving, tone = "", "ink2"
    if one.saving_minor is not None:
        saving = about(desk, one.saving_minor)
        tone = "moss" if one.saving_minor > 0 else "ink2"
    owes, chosen = one.system_id in owing, one.system_id in ticked
    never = say("never") if one.never_looked else ""
    said = (
        one.address,
        say("owed already") if owes else say("chosen") if chosen else say("not chosen"),
        say("never looked at") if one.never_looked else "",
        say("{age} old", age=age) if age else "",
        say_n("{n} call in two years", "{n} calls in two years", one.n_calls),
        say("saves {sum}", sum=saving) if saving else "",
    )
    return ExposedShown(
        key=_key(one),
        address=one.address,
        cells=(never, age, f.number(one.n_calls), saving),
        tone=tone,
        ticked=chosen,
        owes=owes,
        spoken=", ".join(part for part in said if part),
    )
