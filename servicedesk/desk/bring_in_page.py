"""A list or a file of places as the window shows it: lines, questions, one thing to press."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from servicedesk.desk.bring_in import Proposal, look_at, take
from servicedesk.desk.bring_in_places import (
    PlacesProposal,
    is_of_places,
    look_at_places,
    place_text,
    take_places,
)
from servicedesk.desk.bring_in_plan import RowPlan
from servicedesk.desk.bring_in_words import counts_line
from servicedesk.desk.office import Desk
from servicedesk.exchange import columns
from servicedesk.exchange.sheetfile import SheetFile
from servicedesk.exchange.understood import Answers, Question
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say, say_n

Tick = tuple[int, str]
NEW, CHANGED, KEPT, ASKED, SKIPPED, MISSING, SAME = (
    "new", "changed", "kept", "asked", "skipped", "missing", "same",
)  # fmt: skip
STATES = (NEW, CHANGED, KEPT, ASKED, SKIPPED, MISSING, SAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLine:
    """One line of the preview. `tick` is what a tick on it lets through, None without one."""

    state: str
    where: str
    title: str
    text: str
    tick: Tick | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PageQuestion:
    """A question with its answer so far, None while it is open."""

    code: str
    text: str
    examples: str
    choices: tuple[tuple[bool | str, str], ...]
    suggestion: str
    answer: bool | str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BringInPage:
    """What the page shows. Exactly one of `proposal` and `places` is there.

    `button` says what pressing it does, `why_not` why it cannot be pressed yet ("" if it can).
    """

    name: str
    summary: str
    assumed: tuple[str, ...]
    lines: tuple[PageLine, ...] = field(repr=False)
    questions: tuple[PageQuestion, ...]
    button: str
    why_not: str
    proposal: Proposal | None = field(repr=False, default=None)
    places: PlacesProposal | None = field(repr=False, default=None)

    def count(self, state: str) -> int:
        """Lines of this state."""
        return sum(line.state == state for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What a person chose so far for one file: sheet, heading row, columns, answers."""

    file: Path
    sheet: SheetFile | None = None
    table: str | None = None
    header_row: int | None = None
    mapping: columns.Mapping | None = None
    answers: Answers = field(default_factory=Answers)


def look_at_file(desk: Desk, chosen: Chosen, progress: Progress = quiet) -> BringInPage:
    """Read a file and compare it with the book. Writes nothing.

    Raises Trouble for files that cannot be used; Stopped as `progress` does.
    """
    if chosen.sheet is None and is_of_places(chosen.file):
        return page_of_places(look_at_places(desk, chosen.file, progress=progress))
    proposal = look_at(
        desk,
        chosen.sheet or chosen.file,
        table=chosen.table,
        header_row=chosen.header_row,
        mapping=chosen.mapping,
        answers=chosen.answers,
        progress=progress,
    )
    return page_of(proposal)


def take_page(
    desk: Desk, page: BringInPage, ticks: Iterable[Tick], progress: Progress = quiet
) -> Changed:
    """Write what the page shows, with the ticked lines, as one undoable change."""
    ticked = frozenset(ticks)
    if page.proposal is not None:
        return take(desk, page.proposal, overwrite=ticked, progress=progress)
    if page.places is None:
        raise ValueError("a page without a list or places")
    wheres = frozenset(where for _n, where in ticked)
    return take_places(desk, page.places, ticked=wheres)


def page_of(proposal: Proposal) -> BringInPage:
    """The page of a list."""
    open_order = any(question.code == "day_first" for question in proposal.questions)
    why_not = ""
    if open_order:
        why_not = say("Say first whether dates begin with the day or with the month.")
    elif not proposal.writes:
        why_not = say("Everything stands as the list says; tick a line to overwrite it.")
    return BringInPage(
        name=proposal.name,
        summary=counts_line(proposal),
        assumed=proposal.assumed,
        lines=tuple(_lines(proposal)),
        questions=_questions(proposal),
        button=_button(proposal),
        why_not=why_not,
        proposal=proposal,
    )


def _button(proposal: Proposal) -> str:
    n = proposal.counts
    if n.new_sites:
        return say_n("Bring in {n} site", "Bring in {n} sites", n.new_sites)
    if n.new_systems or n.changed:
        return say_n("Write {n} row", "Write {n} rows", n.new_systems + n.changed)
    return say("Remember this list") if proposal.writes else say("Nothing to write")


def _lines(proposal: Proposal) -> Iterable[PageLine]:
    for plan in proposal.rows:
        yield from _lines_of(plan)
    for skipped in proposal.skipped:
        yield PageLine(
            state=SKIPPED, where=str(skipped.row), title=say("Left out"), text=skipped.why
        )
    for missing in proposal.missing:
        yield PageLine(
            state=MISSING,
            where="\u2014",
            title=missing.title,
            text=say("Not in the list any more; left as it is."),
        )


def _lines_of(plan: RowPlan) -> Iterable[PageLine]:
    where, title = str(plan.row), plan.title
    if plan.state == SAME:
        yield PageLine(state=SAME, where=where, title=title, text=say("As it stands"))
    if plan.made:
        state = NEW if plan.state == NEW else CHANGED
        yield PageLine(state=state, where=where, title=title, text="; ".join(plan.made))
    for change in plan.changes:
        yield PageLine(
            state=KEPT if change.kept else CHANGED,
            where=change.ref or where,
            title=title,
            text=say(
                "{field}: {old} \u2192 {new}", field=change.title, old=change.old, new=change.new
            ),
            tick=(plan.row, change.name) if change.kept else None,
        )
    for what in plan.asked:
        yield PageLine(state=ASKED, where=where, title=title, text=what)


def _questions(proposal: Proposal) -> tuple[PageQuestion, ...]:
    found = [_open(question) for question in proposal.questions]
    answered = {
        "day_first": (
            say("Dates such as 3/4 begin"),
            ((False, say("With the month")), (True, say("With the day"))),
        ),
        "swap_latlon": (
            say("Latitude and longitude that look exchanged"),
            ((True, say("Exchange them")), (False, say("Leave them as written"))),
        ),
        "west": (
            say("Longitudes without a minus"),
            ((True, say("They lie west")), (False, say("Leave them as written"))),
        ),
    }
    there = {question.code for question in found}
    for code, (text, choices) in answered.items():
        answer = getattr(proposal.answers, code)
        if answer is not None and code not in there:
            found.append(
                PageQuestion(
                    code=code, text=text, examples="", choices=choices, suggestion="",
                    answer=answer,
                )
            )  # fmt: skip
    return tuple(found)


def _open(question: Question) -> PageQuestion:
    return PageQuestion(
        code=question.code,
        text=question.text,
        examples=", ".join(question.examples[:3]),
        choices=question.choices,
        suggestion=question.suggestion,
        answer=None,
    )


# --- places

_PLACE_STATES = {"set": NEW, "same": SAME, "kept": KEPT, "unsure": ASKED, "nobody": SKIPPED}


def page_of_places(proposal: PlacesProposal) -> BringInPage:
    """The page of a file of named places."""
    n_set = sum(place.state == "set" for place in proposal.places)
    lines = tuple(
        PageLine(
            state=_PLACE_STATES[place.state],
            where=place.where,
            title=f"{place.name} \u2192 {place.title}" if place.title else place.name,
            text=place_text(place) or say("As it stands"),
            tick=(0, place.where) if place.state in ("kept", "unsure") else None,
        )
        for place in proposal.places
    )
    nowhere = say_n(
        "{n} site still has no position; it is planned amid its village.",
        "{n} sites still have no position; they are planned amid their villages.",
        proposal.still_nowhere,
    )
    placed = say_n("Place {n} site", "Place {n} sites", n_set)
    return BringInPage(
        name=proposal.name,
        summary=say_n("{n} named place", "{n} named places", len(proposal.places)),
        assumed=(nowhere,) if proposal.still_nowhere else (),
        lines=lines,
        questions=(),
        button=placed,
        why_not="" if n_set else say("No site is placed; tick a line to place it."),
        places=proposal,
    )


def field_choices() -> tuple[tuple[str, str], ...]:
    """What a column may mean: key and title, in the order of the fields."""
    names = (*columns.known_fields(), columns.EXTRA, columns.IGNORE)
    return tuple((name, columns.field_title(name)) for name in names)
