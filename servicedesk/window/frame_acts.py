"""What can be done everywhere: the table behind the frame's keys, buttons, menu and find box."""

from collections.abc import Callable, Sequence
from typing import Protocol

from servicedesk.window.actions import Act
from servicedesk.window.places.registry import PlaceKind
from servicedesk.words import say


class Frame(Protocol):
    """The verbs that the acts call; `main.MainWindow` has them."""

    def go_to(self, place_id: str) -> None: ...
    def back(self) -> None: ...
    def forward(self) -> None: ...
    def open_find(self) -> None: ...
    def log_call(self) -> None: ...
    def undo(self) -> None: ...
    def redo(self) -> None: ...
    def open_changes(self) -> None: ...
    def open_keys(self) -> None: ...
    def ask_seat(self) -> None: ...
    def text_larger(self) -> None: ...
    def text_smaller(self) -> None: ...
    def text_usual(self) -> None: ...
    def next_sheet(self, by: int = 1) -> None: ...
    def why_no_back(self) -> str | None: ...
    def why_no_forward(self) -> str | None: ...
    def close(self) -> bool: ...


class _Going:
    """Goes to one place."""

    def __init__(self, frame: Frame, place_id: str) -> None:
        self._frame, self._place_id = frame, place_id

    def __call__(self) -> None:
        self._frame.go_to(self._place_id)


class _Stepping:
    """Moves the keys to the sheet before."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame

    def __call__(self) -> None:
        self._frame.next_sheet(-1)


def frame_acts(frame: Frame, kinds: Sequence[PlaceKind]) -> tuple[Act, ...]:
    """Acts of the frame, in the order of the page of keys. Only places that exist have one."""
    going = tuple(
        Act(
            id=kind.id,
            text=kind.title,
            icon=kind.icon,
            shortcut=kind.shortcut,
            do=_Going(frame, kind.id),
            group=say("Places"),
        )
        for kind in kinds
        if kind.group or kind.id in ("setup", "knowledge", "came_back")
    )
    has_phone = any(kind.id == "phone" for kind in kinds)
    return going + _walking(frame) + _doing(frame, has_phone=has_phone) + _reading(frame)


def _walking(frame: Frame) -> tuple[Act, ...]:
    group = say("Going about")
    return (
        _act("back", say("Back"), frame.back, "Alt+Left", group, "back", frame.why_no_back),
        _act(
            "forward",
            say("Forward"),
            frame.forward,
            "Alt+Right",
            group,
            "forward",
            frame.why_no_forward,
        ),
        _act("find", say("Find or do"), frame.open_find, ("Ctrl+K", "/"), group, "find"),
        _act("next_sheet", say("Next part of the window"), frame.next_sheet, "F6", group),
        _act(
            "previous_sheet",
            say("Previous part of the window"),
            _Stepping(frame),
            "Shift+F6",
            group,
        ),
    )


def _doing(frame: Frame, *, has_phone: bool) -> tuple[Act, ...]:
    group = say("Doing")
    call = _act("log_call", say("Log a call"), frame.log_call, "F4", group, "phone")
    others = (
        _act("undo", say("Undo"), frame.undo, "Ctrl+Z", group, "undo"),
        _act("redo", say("Do it again"), frame.redo, "Ctrl+Shift+Z", group, "redo"),
        _act("all_changes", say("All changes…"), frame.open_changes, "Ctrl+H", group, "clock"),
        _act("seat", say("Who sits here…"), frame.ask_seat, "", group, "person"),
        _act("quit", say("Close the window"), frame.close, "Ctrl+Q", group, "cross"),
    )
    return (call, *others) if has_phone else others


def _reading(frame: Frame) -> tuple[Act, ...]:
    group = say("Reading")
    larger = ("Ctrl++", "Ctrl+=")
    return (
        _act("keys", say("Keys of this page"), frame.open_keys, "F1", group, "ask"),
        _act("text_larger", say("Larger text"), frame.text_larger, larger, group, "plus"),
        _act("text_smaller", say("Smaller text"), frame.text_smaller, "Ctrl+-", group),
        _act("text_usual", say("Usual text size"), frame.text_usual, "Ctrl+0", group),
    )


def _act(
    act_id: str,
    text: str,
    do: Callable[[], object],
    shortcut: str | tuple[str, ...],
    group: str,
    icon: str = "",
    when: Callable[[], str | None] | None = None,
) -> Act:
    return Act(id=act_id, text=text, do=do, shortcut=shortcut, group=group, icon=icon, when=when)
