"""Set up: the company and its lists, and how this window looks on this computer."""

from functools import partial
from typing import Any, ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QBoxLayout,
    QButtonGroup,
    QHBoxLayout,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.company import set_up
from servicedesk.desk.office import Desk
from servicedesk.window.actions import Act
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import places
from servicedesk.window.seats import sit_here
from servicedesk.window.settings import remember_look
from servicedesk.window.shell import Shell
from servicedesk.window.theme import TEXT_SIZES
from servicedesk.window.widgets import setup_company as company
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.setup_entries import kinds_of_list
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.setup_roads import RoadsSheet
from servicedesk.window.widgets.setup_rules import open_rule
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say

_BESIDE_PX = 980
_LIST_PX = 190


class SetupPlace(Place):
    """The company's rows open as forms; text size and light or dark are kept on this computer."""

    name: ClassVar[str] = "setup"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self.seen: company.SetUp | None = None
        self._asked: object = None
        self._opens = ""
        self._forms = Forms(shell, self)
        self.sizes = QButtonGroup(self)
        self.looks = QButtonGroup(self)
        margin = self.theme.tokens.space.page_margin
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(margin, 16, margin, margin)
        column.setSpacing(self.theme.tokens.space.sheet_gap)
        column.addWidget(Words(self.theme, say("Set up"), role="page_title"))
        self.sheet = Sheet(self.theme, say("This window"), say("kept on this computer only"))
        self.roads = RoadsSheet(shell, lambda: self.desk)
        self.roads.opened.connect(partial(self.shell.go, "sites"))
        # side by side where there is room: the list, which one comes for, needs the height
        self._beside = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._beside.setSpacing(self.theme.tokens.space.sheet_gap)
        self._beside.addWidget(self.sheet, 2)
        self._beside.addWidget(self.roads, 3)
        column.addLayout(self._beside)
        self._build_company()
        column.addWidget(self.company_sheet, 1)
        column.addStretch()
        self._scroll(inside)
        self._add_row(
            say("Text size"),
            self.sizes,
            [(str(size), say("{size} %", size=size)) for size in TEXT_SIZES],
        )
        self._add_row(
            say("Light or dark"),
            self.looks,
            [("", say("As the system")), ("light", say("Light")), ("dark", say("Dark"))],
        )
        self.sizes.buttonClicked.connect(self._size_chosen)
        self.looks.buttonClicked.connect(self._look_chosen)
        self.theme.changed.connect(self._show_chosen)
        self.theme.changed.connect(self._arrange)
        self._arrange()

    def _build_company(self) -> None:
        self.company_sheet = Sheet(self.theme, say("The company"), say("Enter opens a row"))
        painter = RowPainter(self.theme, hairlines=True)
        self.list = RowsView(self.theme, say("The company"), painter, fits=False)
        self.list.opened.connect(self._open)
        self.list.doubleClicked.connect(self._open_chosen)
        self.list.current_changed.connect(self.keys.refresh)
        self.company_sheet.body.addWidget(self._adding())
        self.company_sheet.body.addWidget(self.list, 1)
        self.company_sheet.hide()

    def _scroll(self, inside: QWidget) -> None:
        """A window too low for the page scrolls it."""
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(inside)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(area)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    @Slot()
    def _arrange(self) -> None:
        """Two sheets side by side only where neither is cut; the list always shows some rows."""
        has_room = self.width() >= self.theme.px(_BESIDE_PX)
        direction = QBoxLayout.Direction
        self._beside.setDirection(direction.LeftToRight if has_room else direction.TopToBottom)
        self.list.setMinimumHeight(self.theme.px(_LIST_PX))

    @property
    def desk(self) -> Desk | None:
        """The desk that the office sits at now."""
        return getattr(self.shell.office, "desk", None)

    def acts(self) -> tuple[Act, ...]:
        group, why = say("The company"), self._why_not

        def act(act_id: str, text: str, key: str, do: Any) -> Act:
            return Act(id=act_id, text=text, shortcut=key, do=do, group=group, when=why)

        return (
            act("company", say("Company details"), "C", self._open_company),
            act("prices", say("Prices and bills"), "P", partial(self._open_own, "prices")),
            act("rule", say("New service rule of your own"), "U", partial(self._new, "rule")),
            *(
                act(kind, new, key, partial(self._new, kind))
                for kind, _, new, key in kinds_of_list()
            ),
            Act(id="knowledge", text=say("Fault knowledge"), shortcut="F", group=group,
                do=partial(self.shell.go, "knowledge"), when=self._why_no_knowledge),
            Act(id="roads", text=say("Build roads from an extract…"), shortcut="B",
                do=self.roads_from, group=group, when=self._why_no_roads),
            Act(id="sit", text=say("Sit here"), shortcut="G", do=self.sit_down, group=group,
                when=self._why_no_seat),
        )  # fmt: skip

    def show_record(self, ids: tuple[object, ...]) -> None:
        """`ids`: ("company",) opens the form of the company at once, ("prices",) that of prices."""
        if ids in (("company",), ("prices",)):
            self._opens = str(ids[0])
            self.refresh(None)

    def refresh(self, changed: object) -> None:
        self._show_chosen()
        if self.desk is not None:
            self.roads.refresh()
            anew = changed is not None
            read, of = (company.read_anew, self.shell.office) if anew else (set_up, self.desk)
            job = self.shell.ask(read, of)
            self._asked = job
            job.done.connect(self._arrived)

    @Slot(object)
    def _arrived(self, seen: company.SetUp) -> None:
        desk = self.desk
        if self.sender() is not self._asked or desk is None:
            return
        self.seen = seen
        self.list.show_rows(company.rows_of(desk, seen))
        self.company_sheet.show()
        self.keys.refresh()
        if self._opens:
            opens, self._opens = self._opens, ""
            self._open_own(opens)

    @Slot(object, bool)
    def _open(self, thing: object, beside: bool) -> None:
        if isinstance(thing, company.Entry):
            self._open_entry(thing)

    @Slot()
    def _open_chosen(self) -> None:
        self._open(self.list.chosen, False)

    def _open_company(self) -> None:
        self._open_own("company")

    def _open_own(self, kind: str) -> None:
        """The form of something the company has once. Without a company its details come first."""
        if self.seen is not None:
            company_id = self.seen.company.get("id")
            self._open_entry(company.Entry(kind if company_id else "company", company_id))

    def sit_down(self) -> None:
        """The chosen seat is mine from now on."""
        entry = self.list.chosen
        if isinstance(entry, company.Entry) and entry.row_id is not None:
            self.shell.change(sit_here, self.shell.office, entry.row_id)

    def roads_from(self) -> None:
        """Ask for an extract and build its roads."""
        self.roads.choose_file()

    def _why_no_roads(self) -> str | None:
        if self.seen is None:
            return self._why_not()
        return say("Roads are being built.") if self.roads.is_busy else None

    def _why_no_seat(self) -> str | None:
        entry = self.list.chosen
        is_seat = isinstance(entry, company.Entry) and entry.kind == "office_user"
        return None if is_seat else say("Choose a seat in the list first.")

    def _new(self, kind: str) -> None:
        self._open_entry(company.Entry(kind, None))

    def _open_entry(self, entry: company.Entry) -> None:
        desk, seen = self.desk, self.seen
        if desk is None or seen is None:
            return
        if entry.kind == "rule":
            open_rule(self._forms.form(desk), desk, company.rule_of(desk, entry))
            return
        values = company.values_of(seen, entry)
        first = company.is_first(seen, entry)
        self._forms.form(desk).open_form(
            company.title_of(entry),
            company.fields_of(entry.kind, seen, is_new=first),
            values,
            partial(company.write, self.shell.office, entry),
            button=say("Write it"),
            seen=values.get("revision"),
            only_changed=not first,
        )

    def _why_not(self) -> str | None:
        return None if self.seen is not None else say("The company is being read.")

    def _why_no_knowledge(self) -> str | None:
        known = any(kind.id == "knowledge" for kind in places())
        return None if known else say("This program has no page of knowledge.")

    def first_focus(self) -> QWidget:
        return self.sizes.checkedButton() or self.sizes.buttons()[0]

    def _adding(self) -> Flow:
        """A button for each kind of row that can be added, and to sit down at the chosen seat."""
        flow = Flow(gap=8)
        offered = [(kind, new, key) for kind, _, new, key in kinds_of_list()]
        more = (("sit", say("Sit here"), "G"), ("knowledge", say("Fault knowledge"), "F"))
        for act, words, key in (*offered, *more):
            button = Button(self.theme, words, key=key, small=True, shows_only=True)
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)
            flow.flow.addWidget(button)
        return flow

    def _add_row(self, label: str, group: QButtonGroup, choices: list[tuple[str, str]]) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        lead = Words(self.theme, label, color="ink2")
        lead.setMinimumWidth(self.theme.px(112))
        row.addWidget(lead)
        for value, words in choices:
            button = Button(self.theme, words, kind="pill", name=f"{label}: {words}")
            button.setObjectName(value)
            group.addButton(button)
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addStretch(1)
        self.sheet.body.addLayout(row)

    @Slot()
    def _show_chosen(self) -> None:
        for group, value in (
            (self.sizes, str(self.theme.text_size)),
            (self.looks, self.theme.chosen or ""),
        ):
            for button in group.buttons():
                button.setChecked(button.objectName() == value)

    @Slot(QAbstractButton)
    def _size_chosen(self, pressed: QAbstractButton) -> None:
        self.theme.set_text_size(int(pressed.objectName()))
        remember_look(self.theme)

    @Slot(QAbstractButton)
    def _look_chosen(self, pressed: QAbstractButton) -> None:
        name = pressed.objectName()
        self.theme.use("light" if name == "light" else "dark" if name == "dark" else None)
        remember_look(self.theme)
