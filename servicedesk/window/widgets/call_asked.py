"""What was asked while they are on the phone: answers, skipped questions, what comes. No Qt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from servicedesk.desk.phone_questions import (
    PhoneQuestion,
    PhoneSheet,
    danger_questions,
)
from servicedesk.trade.phone_dangers import CANNOT_TELL, NO, YES, dangers
from servicedesk.words import say

State = Literal["done", "skipped", "open", "coming"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A question as it stands now. `tone`: the color of its answer; `right`: what it changed."""

    question: PhoneQuestion
    state: State
    answer: str = ""
    tone: str = "ink"
    right: str = ""


@dataclass
class Asked:
    """Answers to dangers (`said`) and checks (`findings`), in the order in which they came.

    `wants_checks` is off where site and lamp are enough (a call of a storm).
    """

    said: dict[str, str] = field(default_factory=dict)
    findings: dict[str, str | None] = field(default_factory=dict)
    skipped: set[str] = field(default_factory=set)
    coming: tuple[PhoneQuestion, ...] = ()
    known: dict[str, PhoneQuestion] = field(default_factory=dict)  # every check seen so far
    changed: Mapping[str, str] = field(default_factory=dict)
    wants_checks: bool = True
    _again: str = ""  # the question that is asked again, before all others

    def take(self, sheet: PhoneSheet, *, keeps_open: bool) -> None:
        """Other questions come; the one that is open stays open where `keeps_open`."""
        stays = self.open_check if keeps_open else None
        self.changed = sheet.changed
        self.known.update(sheet.answered)
        self.known.update((one.id, one) for one in sheet.questions)
        self.coming = sheet.questions
        if stays is not None and stays in sheet.questions:
            rest = (one for one in sheet.questions if one != stays)
            self.coming = (stays, *rest)

    def answer(self, question_id: str, answer_id: str | None) -> None:
        """Answer a question, or change its answer."""
        self.skipped.discard(question_id)
        self._again = ""
        if question_id in _danger_ids():
            self.said[question_id] = str(answer_id)
        else:
            self.findings[question_id] = answer_id

    def skip(self, question_id: str) -> None:
        """Go on without an answer."""
        self.skipped.add(question_id)
        self._again = ""

    def reopen(self, question_id: str) -> None:
        """Ask once more what was answered or skipped."""
        self.skipped.discard(question_id)
        self.said.pop(question_id, None)
        self.findings.pop(question_id, None)
        self.changed = {name: text for name, text in self.changed.items() if name != question_id}
        self._again = question_id

    def open_danger(self, symptoms: Sequence[str]) -> PhoneQuestion | None:
        """The danger that is asked now; one that a symptom tells is not asked."""
        told = {one.id for one in dangers() if set(one.told_by) & set(symptoms)}
        left = [
            one
            for one in danger_questions()
            if one.id not in self.said and one.id not in self.skipped and one.id not in told
        ]
        return next((one for one in left if one.id == self._again), left[0] if left else None)

    @property
    def open_check(self) -> PhoneQuestion | None:
        """The check that is asked now, dangers apart."""
        left = self._left()
        return left[0] if left else None

    def danger_lines(self, symptoms: Sequence[str]) -> list[Line]:
        """The dangers as they stand."""
        asked = self.open_danger(symptoms)
        by_id = {one.id: one for one in dangers()}
        lines = []
        for one in danger_questions():
            said = self.said.get(one.id)
            if said is not None:
                tone = {YES: "clay", CANNOT_TELL: "ochre"}.get(said, "ink")
                right = {YES: say("danger: goes first"), NO: ""}.get(said, say("urgent at least"))
                text = one.text_of(said)
                lines.append(Line(question=one, state="done", answer=text, tone=tone, right=right))
            elif set(by_id[one.id].told_by) & set(symptoms):
                right = say("danger: goes first")
                text = one.text_of(YES)
                lines.append(
                    Line(question=one, state="done", answer=text, tone="clay", right=right)
                )
            elif one.id in self.skipped:
                lines.append(Line(question=one, state="skipped", answer=say("not asked")))
            else:
                is_open = asked is not None and one.id == asked.id
                lines.append(Line(question=one, state="open" if is_open else "coming"))
        return lines

    def check_lines(self, *, is_blocked: bool) -> list[Line]:
        """Answered checks first, then the open one, what comes, and at last what was skipped.

        `is_blocked`: something else is asked first, so no check is open yet.
        """
        lines = []
        for check_id, result in self.findings.items():
            if check_id not in self.known:
                continue  # of a written call; its question comes with the sheet
            one = self.known[check_id]
            right = self.changed.get(check_id, "")
            lines.append(Line(question=one, state="done", answer=one.text_of(result), right=right))
        if not self.wants_checks:
            return lines
        for n, one in enumerate(self._left()):
            is_open = n == 0 and not is_blocked
            lines.append(Line(question=one, state="open" if is_open else "coming"))
        lines += [
            Line(question=one, state="skipped", answer=say("not asked"))
            for one in self.coming
            if one.id in self.skipped
        ]
        return lines

    def _left(self) -> list[PhoneQuestion]:
        if not self.wants_checks:
            return []
        left = [
            one for one in self.coming if one.id not in self.findings and one.id not in self.skipped
        ]
        if self._again in self.known:
            left = [one for one in left if one.id != self._again]
            left.insert(0, self.known[self._again])
        return left

    @classmethod
    def of(cls, answers: Mapping[str, object], findings: Mapping[str, str | None]) -> "Asked":
        """Back from a call."""
        ids = _danger_ids()
        return cls(
            said={name: str(value) for name, value in answers.items() if name in ids},
            findings=dict(findings),
        )


def _danger_ids() -> frozenset[str]:
    return frozenset(one.id for one in dangers())
