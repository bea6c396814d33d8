"""The keys of the write-up, as a table: letters come from the language, digits begin readings."""

from collections.abc import Callable
from typing import Protocol

from servicedesk.desk.writeup_items import NOT_LOOKED_AT
from servicedesk.desk.writeup_parts_find import MOST_OFFERED
from servicedesk.window.actions import Act
from servicedesk.window.widgets.writeup_keys import (
    form_letters,
    grade_letters,
    grade_text,
    outcome_letters,
    outcome_name,
    result_letters,
)
from servicedesk.words import say


class WritesUp(Protocol):
    """What the keys call; `writeup.WriteUpPlace` has it."""

    def as_usual(self) -> None: ...
    def grade(self, grade: str) -> None: ...
    def answer(self, n: object) -> None: ...
    def to_behind(self) -> None: ...
    def open_known(self) -> None: ...
    def to_work(self) -> None: ...
    def to_weather(self) -> None: ...
    def set_outcome(self, outcome: str) -> None: ...
    def all_ticked(self) -> None: ...
    def to_times(self) -> None: ...
    def next_reading(self) -> None: ...
    def next_job(self) -> None: ...
    def to_part(self) -> None: ...
    def take_part(self, n: object) -> None: ...
    def to_owed(self) -> None: ...
    def to_note(self) -> None: ...
    def finish(self) -> None: ...
    def set_aside(self) -> None: ...
    def step_stop(self, by: int) -> None: ...
    def why_no_form(self) -> str | None: ...
    def why_no_items(self) -> str | None: ...
    def why_no_checks(self) -> str | None: ...
    def why_no_rows(self) -> str | None: ...


class _With:
    """Calls a verb with one fixed word."""

    def __init__(self, do: Callable[[object], None], word: object) -> None:
        self._do, self._word = do, word

    def __call__(self) -> None:
        self._do(self._word)


def writeup_acts(place: WritesUp) -> tuple[Act, ...]:
    """All acts of the place, in the order of the page of keys."""
    return (*_finding(place), *_doing(place), *_leaving(place))


def _finding(place: WritesUp) -> tuple[Act, ...]:
    letters, group = form_letters(), say("As found")
    usual = Act(
        id="as_usual",
        text=say("All as usual"),
        shortcut=letters["as_usual"],
        do=place.as_usual,
        group=group,
        when=place.why_no_items,
    )
    grades = tuple(
        Act(
            id=f"grade_{grade.replace(' ', '_')}",
            text=say("The row in hand: {grade}", grade=grade_text(grade)),
            shortcut=letter,
            do=_With(place.grade, grade),  # type: ignore[arg-type]
            group=group,
            when=place.why_no_rows if grade == NOT_LOOKED_AT else place.why_no_items,
        )
        for grade, letter in grade_letters().items()
    )
    reading = Act(
        id="next_reading",
        text=say("Next reading"),
        shortcut=letters["next_reading"],
        do=place.next_reading,
        group=group,
        when=place.why_no_rows,
    )
    results = tuple(
        Act(
            id=f"result_{n + 1}",
            text=say("The check in hand: result {n}", n=n + 1),
            shortcut=letter,
            do=_With(place.answer, n),
            group=group,
            when=place.why_no_checks,
        )
        for n, letter in enumerate(result_letters())
    )
    return (usual, *grades, reading, *results, *_behind(place))


def _behind(place: WritesUp) -> tuple[Act, ...]:
    letters = form_letters()
    others = (
        ("behind", say("What was behind it"), place.to_behind),
        ("weather", say("Weather"), place.to_weather),
    )
    known = Act(
        id="known",
        text=say("What is known about it"),
        shortcut="Ctrl+I",
        do=place.open_known,
        group=say("As found"),
        when=place.why_no_checks,
    )
    return (
        *(
            Act(
                id=act_id,
                text=text,
                shortcut=letters[act_id],
                do=do,
                group=say("As found"),
                when=place.why_no_checks,
            )
            for act_id, text, do in others
        ),
        known,
    )


def _doing(place: WritesUp) -> tuple[Act, ...]:
    group = say("Done")
    outcomes = tuple(
        Act(
            id=f"outcome_{outcome.replace(' ', '_')}",
            text=outcome_name(outcome),
            shortcut=letter,
            do=_With(place.set_outcome, outcome),  # type: ignore[arg-type]
            group=group,
            when=place.why_no_form,
        )
        for outcome, letter in outcome_letters().items()
    )
    offers = tuple(
        Act(
            id=f"take_part_{n + 1}",
            text=say("Take part {n} of those offered", n=n + 1),
            shortcut=f"Alt+{n + 1}",
            do=_With(place.take_part, n),
            group=group,
            when=place.why_no_form,  # the cause decides at once what is offered
        )
        for n in range(MOST_OFFERED)
    )
    return (*outcomes, *_doing_others(place), *offers)


def _doing_others(place: WritesUp) -> tuple[Act, ...]:
    letters, group = form_letters(), say("Done")
    others = (
        ("next_job", say("Next job"), place.next_job),
        ("work", say("What was found and done"), place.to_work),
        ("owed", say("What is still owed"), place.to_owed),
        ("part", say("A part used"), place.to_part),
        ("times", say("In and out"), place.to_times),
    )
    return tuple(
        Act(
            id=act_id,
            text=text,
            shortcut=letters[act_id],
            do=do,
            group=group,
            when=place.why_no_form,
        )
        for act_id, text, do in others
    )


def _leaving(place: WritesUp) -> tuple[Act, ...]:
    letters, group = form_letters(), say("As left")
    why = place.why_no_form
    return (
        Act(
            id="all_ticked",
            text=say("Everything before leaving is so"),
            shortcut=letters["all_ticked"],
            do=place.all_ticked,
            group=group,
            when=why,
        ),
        Act(
            id="note",
            text=say("How it was left"),
            shortcut=letters["note"],
            do=place.to_note,
            group=group,
            when=why,
        ),
        Act(
            id="finish",
            text=say("Finish visit"),
            shortcut=("Ctrl+Return", "Ctrl+Enter"),
            do=place.finish,
            icon="check",
            group=group,
            when=why,
        ),
        Act(
            id="set_aside",
            text=say("Set aside"),
            shortcut="Esc",
            do=place.set_aside,
            group=group,
            when=why,
        ),
        Act(
            id="next_stop",
            text=say("Next stop"),
            shortcut="Alt+Down",
            do=_With(place.step_stop, 1),  # type: ignore[arg-type]
            group=group,
        ),
        Act(
            id="previous_stop",
            text=say("Stop before"),
            shortcut="Alt+Up",
            do=_With(place.step_stop, -1),  # type: ignore[arg-type]
            group=group,
        ),
    )
