"""Fault knowledge as lists: symptoms, causes, checks, parts and the company's own, with words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from servicedesk.desk.knowledge import OwnRow, knowledge_of, own
from servicedesk.desk.office import Desk
from servicedesk.records.search import words_of
from servicedesk.trade.fault_lists import PartKind
from servicedesk.trade.faults import Knowledge, knowledge
from servicedesk.trouble.learning import NOTHING_LEARNED, Learned
from servicedesk.trouble.table import Table, table
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

LEARNED = "learned"  # the page of what own cases taught, among the own entries


@dataclass(frozen=True, slots=True, kw_only=True)
class KnowledgeLine:
    """One entry of a list. `kind`: symptom, cause, check, part, own (an entry without a page of
    its own) or learned. `id` of an own one is its key in words. `words` are what finds it.
    """

    kind: str
    id: str
    name: str
    second: str
    is_own: bool = False
    words: tuple[str, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnowledgeSeen:
    """Everything at one moment. `trouble`: why the own entries could not be used ("" if they are).

    `learned` is that of nothing until somebody has counted (`is_counted`).
    """

    known: Knowledge
    own: tuple[OwnRow, ...]
    lists: Mapping[str, tuple[KnowledgeLine, ...]]
    telling: Table
    trouble: str = ""
    learned: Learned = NOTHING_LEARNED
    is_counted: bool = False

    def own_row(self, kind: str, entry_id: str) -> OwnRow | None:
        """The standing own entry behind a page, None for one of the program's."""
        wanted = KINDS_OF_RECORD.get(kind, kind)
        return next(
            (
                row
                for row in self.own
                if (row.ended_on is None and (row.kind_of, row.entry_id) == (wanted, entry_id))
                or (kind == "own" and str(row.id) == entry_id)
            ),
            None,
        )


KINDS_OF_RECORD: Mapping[str, str] = {"part": "part_kind"}
_PAGES_OF_RECORD = {"cause": "cause", "check": "check", "part_kind": "part"}


def knowledge_seen(desk: Desk) -> KnowledgeSeen:
    """Read everything but what was learned, which may take a moment. Own entries that the program
    has overtaken do not close the page: it tells the trouble, and shows what the program knows.
    """
    rows = own(desk, ended=True)
    try:
        known, trouble = knowledge_of(desk), ""
    except Trouble as wrong:
        known, trouble = knowledge(), wrong.what
    return KnowledgeSeen(
        known=known,
        own=rows,
        lists=_lists(desk, known, [row for row in rows if row.ended_on is None]),
        telling=table(known),
        trouble=trouble,
    )


def found_lines(lines: Sequence[KnowledgeLine], text: str) -> tuple[KnowledgeLine, ...]:
    """Lines in which each word typed begins a word; names before the rest. All for no text."""
    typed = words_of(text)
    if not typed:
        return tuple(lines)
    by_name = found_by_name(lines, text)
    others = [line for line in lines if _all_begin(typed, line.words) and line not in by_name]
    return (*by_name, *others)


def found_by_name(lines: Iterable[KnowledgeLine], text: str) -> tuple[KnowledgeLine, ...]:
    """Lines in whose names each word typed begins a word."""
    typed = words_of(text)
    return tuple(line for line in lines if _all_begin(typed, words_of(line.name)))


def _all_begin(typed: Iterable[str], words: Sequence[str]) -> bool:
    return all(any(word.startswith(one) for word in words) for one in typed)


def _lists(
    desk: Desk, known: Knowledge, rows: Sequence[OwnRow]
) -> Mapping[str, tuple[KnowledgeLine, ...]]:
    ours = {(row.kind_of, row.entry_id) for row in rows}
    symptoms = [
        _line("symptom", one.id, one.name, one.urgency, (*one.caller_says, one.note or ""))
        for one in known.symptoms.values()
    ]
    causes = [
        _line("cause", one.id, one.name, known.components[one.component].name,
              (one.mechanism, one.permanent_fix, one.why_missed or ""), ours)
        for one in known.causes.values()
    ]  # fmt: skip
    checks = [
        _line("check", one.id, one.name, check_facts(desk, one.where, one.minutes),
              (one.how, *(result.text for result in one.results)), ours)
        for one in known.checks.values()
    ]  # fmt: skip
    parts = [
        _line("part", one.id, one.name, truck_text(one), (), ours)
        for one in known.part_kinds.values()
    ]
    return {
        "symptom": tuple(symptoms),
        "cause": _by_name(causes),
        "check": _by_name(checks),
        "part": _by_name(parts),
        "own": (_learned_line(), *(_own_line(row, known) for row in rows)),
    }


def _line(
    kind: str,
    entry_id: str,
    name: str,
    second: str,
    more: Iterable[str],
    ours: Iterable[tuple[str, str]] = (),
) -> KnowledgeLine:
    record = (KINDS_OF_RECORD.get(kind, kind), entry_id)
    words = words_of(" ".join((name, second, entry_id.replace("-", " "), *more)))
    return KnowledgeLine(
        kind=kind, id=entry_id, name=name, second=second, is_own=record in ours,
        words=tuple(dict.fromkeys(words)),
    )  # fmt: skip


def _learned_line() -> KnowledgeLine:
    name = say("What was learned")
    second = say("counts of our own confirmed cases")
    words = tuple(words_of(f"{name} {second}"))
    return KnowledgeLine(kind=LEARNED, id=LEARNED, name=name, second=second, words=words)


def _own_line(row: OwnRow, known: Knowledge) -> KnowledgeLine:
    name = own_name(row, known)
    kind = _PAGES_OF_RECORD.get(row.kind_of, "own")
    entry_id = row.entry_id if kind != "own" else str(row.id)
    there = {"cause": known.causes, "check": known.checks, "part": known.part_kinds}.get(kind)
    if there is not None and entry_id not in there:
        kind, entry_id = "own", str(row.id)  # the knowledge stands without it: see `trouble`
    second = " · ".join(part for part in (kind_text(row.kind_of), row.note) if part)
    words = words_of(f"{name} {second} {row.entry_id.replace('-', ' ')}")
    return KnowledgeLine(
        kind=kind, id=entry_id, name=name, second=second, is_own=True, words=tuple(words)
    )


def own_name(row: OwnRow, known: Knowledge) -> str:
    """What an own entry is called; of a weight: which cause behind which symptom."""
    if row.kind_of != "weight":
        return str(row.body.get("name") or row.entry_id)
    symptom, cause = str(row.body.get("symptom")), str(row.body.get("cause"))
    return say(
        "{symptom}: how often {cause}",
        symptom=known.symptoms[symptom].name if symptom in known.symptoms else symptom,
        cause=known.causes[cause].name.lower() if cause in known.causes else cause,
    )


def kind_text(kind: str) -> str:
    """What kind of entry it is, in words."""
    return {
        "symptom": say("symptom"),
        "cause": say("cause"),
        "check": say("check"),
        "part": say("kind of part"),
        "part_kind": say("kind of part"),
        "component": say("kind of component"),
        "weight": say("how often"),
    }.get(kind, kind)


def check_facts(desk: Desk, where: str, minutes: float) -> str:
    """As "at the panel, about 5 min"."""
    time = desk.formats.minutes(max(1, round(minutes)))
    return say("{where}, about {minutes}", where=where_text(where), minutes=time)


def where_text(where: str) -> str:
    """Where a check is made."""
    return {
        "phone": say("on the phone"),
        "panel": say("at the panel"),
        "tank": say("at the tank"),
        "field": say("in the field"),
        "house": say("in the house"),
    }.get(where, where)


def truck_text(part: PartKind) -> str:
    """Whether a kind of part usually rides along."""
    return say("usually on the truck") if part.usually_on_truck else say("not usually on the truck")


def cases_text(n: int) -> str:
    """As "3 own cases"."""
    return say_n("{n} own case", "{n} own cases", n)


def _by_name(lines: Iterable[KnowledgeLine]) -> tuple[KnowledgeLine, ...]:
    return tuple(sorted(lines, key=lambda line: line.name.casefold()))
