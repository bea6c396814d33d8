"""What to ask while they are on the phone: danger first, then what tells most for the time."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from servicedesk.desk.cases import case_of
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.trade.checks import Check
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.phone_dangers import CANNOT_TELL, NO, YES, Danger, dangers
from servicedesk.trouble.case import Case, Found
from servicedesk.trouble.causes import Ranking, rank
from servicedesk.trouble.learning import NOTHING_LEARNED, Learned
from servicedesk.trouble.next_check import next_checks
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

LETTERS = "ABCDEF"
NOT_KNOWN_KEY = "X"
_YES_NO = {YES: "Y", NO: "N"}
# a change of the chances smaller than this is not worth a word; common practice, no source
_LEAST_CHANGE = 0.01


@dataclass(frozen=True, slots=True)
class PhoneAnswer:
    """One answer, with the key that gives it. `id` None: they cannot tell."""

    key: str
    id: str | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneQuestion:
    """A question as it is read aloud. `how` is what the asker must mind; cautions are in it whole.

    `is_danger`: one of the dangers, else a check whose answer is a finding.
    """

    id: str
    text: str
    how: str
    is_danger: bool
    answers: tuple[PhoneAnswer, ...]

    def text_of(self, answer_id: str | None) -> str:
        """The words of an answer."""
        return next((a.text for a in self.answers if a.id == answer_id), answer_id or "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reports:
    """What the call says so far: symptoms, and results of checks in the order of the answers.

    A result None: asked, they could not tell.
    """

    symptoms: tuple[str, ...] = ()
    findings: Mapping[str, str | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneSheet:
    """Questions still worth asking, the next first, and what each answer given so far changed.

    `answered`: the questions of the findings by check id.
    """

    questions: tuple[PhoneQuestion, ...] = ()
    answered: Mapping[str, PhoneQuestion] = field(default_factory=dict)
    changed: Mapping[str, str] = field(default_factory=dict)


def danger_questions() -> tuple[PhoneQuestion, ...]:
    """The questions about danger, in the order in which they are asked."""
    return tuple(_of_danger(one) for one in dangers())


def phone_sheet(
    desk: Desk,
    reports: Reports,
    *,
    case: Case | None = None,
    own: Learned = NOTHING_LEARNED,
) -> PhoneSheet:
    """What to ask next about the symptoms reported, and what the answers so far changed.

    `case` is what is known of the system apart from this call (None: nothing); `own`: what own
    cases taught. A few milliseconds once the fault knowledge is loaded.
    """
    known = knowledge_of(desk)
    answered = {
        one: _of_check(known.checks[one]) for one in reports.findings if one in known.checks
    }
    symptoms = tuple(one for one in reports.symptoms if one in known.symptoms)
    if not symptoms:  # an old own word alone says nothing of causes
        return PhoneSheet(answered=answered)
    case = replace(case or Case(symptoms=symptoms), symptoms=symptoms)
    before = rank(case, known, own)
    changed = {}
    for check_id, result in reports.findings.items():
        if result is None or check_id not in known.checks:
            continue
        case = replace(case, found=(*case.found, Found(check_id, result)))
        after = rank(case, known, own)
        changed[check_id] = _change(desk, before, after, known)
        before = after
    asked = [
        one.check
        for one in next_checks(case, before, known, own)
        if known.checks[one.check].where == "phone" and one.check not in reports.findings
    ]
    questions = tuple(_of_check(known.checks[one]) for one in asked)
    return PhoneSheet(questions=questions, answered=answered, changed=changed)


def phone_sheet_of_call(
    desk: Desk,
    reports: Reports,
    *,
    site_id: int | None = None,
    system_id: int | None = None,
    call_id: int | None = None,
    with_own: bool = True,
) -> PhoneSheet:
    """The same with what the store knows of the system (reads only).

    A site with several systems of which none is chosen, or a caller in no book, is asked as if
    nothing were known. `call_id` is the call where it is written already. `with_own`: with what own
    cases taught, which takes a moment after a change; without it the answer is at hand at once.
    """
    case = _known_case(desk, reports, site_id, system_id, call_id)
    own = learned(desk) if with_own else NOTHING_LEARNED
    return phone_sheet(desk, reports, case=case, own=own)


def _known_case(
    desk: Desk, reports: Reports, site_id: int | None, system_id: int | None, call_id: int | None
) -> Case | None:
    """The system's case without what this very call says of it; None where nothing is known."""
    if site_id is None or not reports.symptoms:
        return None
    try:
        case = case_of(desk, site_id=site_id, system_id=system_id, symptoms=reports.symptoms)
    except Trouble:  # several systems or none: nothing is known then, and that is no trouble here
        return None
    asked = set(reports.findings)
    if call_id is not None:  # its own answers come with the reports
        known = knowledge_of(desk).checks.values()
        asked |= {one.id for one in known if one.where == "phone"}
    return replace(case, found=tuple(one for one in case.found if one.check not in asked))


def _change(desk: Desk, before: Ranking, after: Ranking, known: Knowledge) -> str:
    """The cause whose chance moved most: "Infiltration 17 to 11%"."""
    causes = {one.cause for one in (*before.causes, *after.causes)}
    moved = {one: after.chance(one) - before.chance(one) for one in causes}
    most = max(moved, key=lambda one: (abs(moved[one]), one), default=None)
    if most is None or abs(moved[most]) < _LEAST_CHANGE:
        return say("changes little")
    return say(
        "{cause} {before} to {after}%",
        cause=known.causes[most].name,
        before=_percent(desk, before.chance(most)),
        after=_percent(desk, after.chance(most)),
    )


def _percent(desk: Desk, chance: float) -> str:
    return desk.formats.number(round(100 * chance))


def _of_danger(one: Danger) -> PhoneQuestion:
    return PhoneQuestion(
        id=one.id,
        text=one.question,
        how="",
        is_danger=True,
        answers=(
            PhoneAnswer("Y", YES, say("Yes")),
            PhoneAnswer("N", NO, say("No")),
            PhoneAnswer(NOT_KNOWN_KEY, CANNOT_TELL, say("Cannot tell")),
        ),
    )


def _of_check(check: Check) -> PhoneQuestion:
    is_plain = {result.id for result in check.results} == set(_YES_NO)
    answers = [
        PhoneAnswer(
            _YES_NO[result.id] if is_plain else LETTERS[n],
            result.id,
            result.text[:1].upper() + result.text[1:],
        )
        for n, result in enumerate(check.results)
    ]
    answers.append(PhoneAnswer(NOT_KNOWN_KEY, None, say("Cannot tell")))
    return PhoneQuestion(
        id=check.id, text=check.name, how=check.how, is_danger=False, answers=tuple(answers)
    )
