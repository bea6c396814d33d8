"""Actions as data: menus, key hints, the page of keys and the tests read the same table."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject, Qt, Slot
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

from servicedesk.window.icons import icon
from servicedesk.window.theme import Theme


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing a person can do.

    `when()` answers why it cannot be done now, or None if it can; it becomes the tooltip of the
    greyed action. `plain_key` marks a shortcut of one letter or digit: it acts outside text
    fields only. `group` is the heading on the page of keys.
    """

    id: str
    text: str
    do: Callable[[], object]
    icon: str = ""
    shortcut: str | tuple[str, ...] = ()
    tip: str = ""
    group: str = ""
    when: Callable[[], str | None] | None = None

    @property
    def shortcuts(self) -> tuple[str, ...]:
        """All its keys in Qt's portable spelling: "Ctrl+K", "F4"."""
        return (self.shortcut,) if isinstance(self.shortcut, str) else self.shortcut

    @property
    def is_plain_key(self) -> bool:
        """Whether it has only bare letters, digits or signs for keys."""
        return all(len(keys) == 1 for keys in self.shortcuts)


class Actions(QObject):
    """The actions of one window or place, each built once, with this object as parent."""

    def __init__(self, owner: QWidget, theme: Theme, acts: Iterable[Act]) -> None:
        super().__init__(owner)
        self._owner = owner
        self._theme = theme
        self._acts: dict[str, Act] = {}
        self._built: dict[str, QAction] = {}
        for act in acts:
            self.add(act)
        theme.changed.connect(self._dress_all)

    def add(self, act: Act) -> QAction:
        """Build and keep one more action. Raises ValueError if its id is taken."""
        if act.id in self._acts:
            raise ValueError(f"two actions are called {act.id}")
        action = QAction(act.text, self)
        action.setObjectName(act.id)
        action.setShortcuts([QKeySequence(keys) for keys in act.shortcuts])
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.triggered.connect(self._triggered)
        self._acts[act.id] = act
        self._built[act.id] = action
        self._owner.addAction(action)
        self._dress(act, action)
        return action

    def __getitem__(self, act_id: str) -> QAction:
        return self._built[act_id]

    def table(self) -> tuple[Act, ...]:
        """All of them, in the order given."""
        return tuple(self._acts.values())

    def run(self, act_id: str) -> str | None:
        """Do it now; the reason why not if it cannot be done. Raises KeyError if unknown."""
        act = self._acts[act_id]
        why_not = act.when() if act.when else None
        if why_not is None:
            act.do()
        return why_not

    @Slot()
    def refresh(self) -> None:
        """Ask every action again whether it can be done."""
        for act_id, act in self._acts.items():
            why_not = act.when() if act.when else None
            action = self._built[act_id]
            action.setEnabled(why_not is None)
            action.setToolTip(why_not or act.tip or act.text)

    @Slot()
    def _triggered(self) -> None:
        action = self.sender()
        act = self._acts[action.objectName()]
        if act.is_plain_key and is_writing(QApplication.focusWidget()):
            return
        self.run(act.id)

    @Slot()
    def _dress_all(self) -> None:
        for act_id, act in self._acts.items():
            self._dress(act, self._built[act_id])

    def _dress(self, act: Act, action: QAction) -> None:
        action.setToolTip(act.tip or act.text)
        if act.icon:
            action.setIcon(icon(act.icon, self._theme.color("ink2"), self._theme.color("ink3")))


def is_writing(widget: QWidget | None) -> bool:
    """Whether keys typed now are text of a field and not single-letter commands."""
    if isinstance(widget, QLineEdit | QPlainTextEdit | QTextEdit):
        return not widget.isReadOnly()
    return isinstance(widget, QAbstractSpinBox | QComboBox)


def keys_in_words(keys: str) -> str:
    """Keys "Ctrl+Shift+Z" as they stand on a key cap: "Ctrl Shift Z"."""
    parts = keys.replace("Return", "Enter").replace("++", "+plus").split("+")
    signs = {"plus": "+", "-": "\u2212", "": "+"}
    return " ".join(signs.get(part, part) for part in parts)


def by_group(acts: Sequence[Act]) -> dict[str, list[Act]]:
    """Acts that have a key, under their headings, in the order given."""
    groups: dict[str, list[Act]] = {}
    for act in acts:
        if act.shortcuts and act.shortcuts != ("",):
            groups.setdefault(act.group, []).append(act)
    return groups
