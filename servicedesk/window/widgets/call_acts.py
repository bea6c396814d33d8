"""The keys of the call page as a table: symptoms, answers, places, writing, setting aside."""

from collections.abc import Callable
from typing import Protocol

from servicedesk.window.actions import Act
from servicedesk.window.widgets.call_reported import LETTERS
from servicedesk.words import say

_DIGITS = "1234567890"
N_PLACES = 3


class Writes(Protocol):
    """The verbs that the acts call; `call_page.CallPage` has them."""

    def press_digit(self, number: int) -> None: ...
    def answer_letter(self, at: int) -> None: ...
    def answer_sign(self, key: str) -> None: ...
    def stand_apart(self) -> None: ...
    def take_place(self, n: int) -> None: ...
    def to_own_words(self) -> None: ...
    def open_known(self) -> None: ...
    def write(self) -> None: ...
    def set_aside(self) -> None: ...


class With:
    """A call with arguments, for tables of actions and for signals."""

    def __init__(self, do: Callable[..., object], *args: object) -> None:
        self._do, self._args = do, args

    def __call__(self, *more: object) -> None:
        self._do(*self._args, *more)


def call_acts(page: Writes) -> tuple[Act, ...]:
    """Digits and letters act outside text fields only; the others everywhere on the page."""
    group = say("On the phone")
    acts = [
        _act(f"symptom_{digit}", say("Symptom {n}", n=digit), digit, page.press_digit, int(digit))
        for digit in _DIGITS
    ]
    acts += [
        _act(f"answer_{letter}", say("Answer {n}", n=letter), letter, page.answer_letter, n)
        for n, letter in enumerate(LETTERS)
    ]
    acts += [
        _act("answer_Y", say("Answer yes"), "Y", page.answer_sign, "Y"),
        _act("answer_N", say("Answer no"), "N", page.answer_sign, "N"),
        _act("answer_X", say("They cannot tell"), "X", page.answer_sign, "X"),
    ]
    acts += [
        _act(f"place_{n + 1}", say("Take place {n}", n=n + 1), f"Alt+{n + 1}", page.take_place, n)
        for n in range(N_PLACES)
    ]
    write_keys = ("Ctrl+Return", "Ctrl+Enter")
    return (
        *acts,
        Act(id="own_words", text=say("In their own words"), shortcut="W",
            do=page.to_own_words, group=group),
        Act(id="apart", text=say("The call is none of the event"), shortcut="V",
            do=page.stand_apart, group=group),
        Act(id="known", text=say("What is known about it"), shortcut="Ctrl+I",
            do=page.open_known, group=group),
        Act(id="write", text=say("Write the call"), icon="check", shortcut=write_keys,
            do=page.write, group=group),
        Act(id="aside", text=say("Set aside"), shortcut="Esc", do=page.set_aside, group=group),
    )  # fmt: skip


def _act(act_id: str, text: str, keys: str, do: Callable[..., object], arg: int | str) -> Act:
    return Act(id=act_id, text=text, shortcut=keys, do=With(do, arg), group=say("On the phone"))
