"""The office as the window's frame sees it: company, counts, last change, undo, find."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from servicedesk.desk import changes
from servicedesk.desk.apart import work_apart
from servicedesk.desk.conclusion_files import keep_conclusions
from servicedesk.desk.doing import Doing
from servicedesk.desk.find import Found, Noted, find
from servicedesk.desk.office import Desk, desk_at, open_desk
from servicedesk.desk.shelf_count import shelf_waiting
from servicedesk.records import company_rows, desk_counts
from servicedesk.records.store import Changed, Store
from servicedesk.values.progress import Progress
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.seats import seat_text

if TYPE_CHECKING:
    from servicedesk.desk.knowledge_find import KnowledgeFound

_ICONS = {
    "site": "sites",
    "customer": "person",
    "technician": "person",
    "contract": "note",
    "unit": "panel",
    "part": "shelf",
    "call": "phone",
    "visit": "check",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CompanySeen:
    """Who works here, for the spine and the change line."""

    name_lines: tuple[str, str]
    seat_name: str
    seat_kind: str
    standing: str


@dataclass(frozen=True, slots=True)
class SeatShown:
    """Somebody who may sit here, as what in words."""

    id: int
    name: str
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatsShown:
    """Who may sit at which store, who does, and who did before and cannot any more."""

    store: str
    seats: tuple[SeatShown, ...]
    now: int | None
    before: str
    asks: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeShown:
    """One change in words; `why_not` is empty if it can be taken back."""

    change_id: int
    words: str
    when: str
    who: str
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundShown:
    """One answer of the find box."""

    group: str
    icon: str
    title: str
    second: str
    place: str
    ids: tuple[object, ...]
    act: str = ""


class FrontOffice:
    """Satisfies the window's `Office`; `desk` goes on to the places.

    Called on the store's worker only. Opening another store replaces `desk` at once.
    """

    def __init__(self, desk: Desk, *, asks_seat: bool = True) -> None:
        self.desk = desk
        self._asks_seat = asks_seat
        self._seat_id: int | None = None
        self._before = ""
        _sit_for_long(desk.store)
        self._patterns_waiting: tuple[Desk, int] | None = None
        self._begun: Store | None = None  # whose counts were asked for once

    def company(self) -> CompanySeen | None:
        """Name and seat, None while the store is empty."""
        facts = self.desk.company
        with self.desk.store.read() as session:
            n_sites = desk_counts.sites(session)
            seats = company_rows.seats(session)
        self._look_at_seat({seat_id: name for seat_id, name, _ in seats})
        if not facts.name and not n_sites:
            return None
        standing = [
            facts.region,
            say_n("{n} site", "{n} sites", n_sites),
            say("one seat") if self.desk.store.is_file else say("several seats"),
        ]
        return CompanySeen(
            name_lines=_two_lines(facts.name or self.desk.store.name),
            seat_name=self.desk.who,
            seat_kind=say("office seat") if self.desk.who else "",
            standing=" · ".join(part for part in standing if part),
        )

    def seats(self) -> SeatsShown | None:
        """Who may sit here; None while no seat is set up."""
        with self.desk.store.read() as session:
            found = company_rows.seats(session)
        if not found:
            return None
        return SeatsShown(
            store=self.desk.store.shown,
            seats=tuple(SeatShown(i, name, seat_text(role)) for i, name, role in found),
            now=self._seat_id,
            before=self._before,
            asks=self._asks_seat,
        )

    def sit(self, seat_id: int | None, *, before: str = "") -> None:
        """Somebody sits here from now on; None: nobody yet, `before` is who did.

        Raises Trouble for a seat that has ended meanwhile.
        """
        self._before = before
        if seat_id is None:
            self._seat_id, self.desk = None, self.desk.seated("")
            return
        with self.desk.store.read() as session:
            names = {i: name for i, name, _ in company_rows.seats(session)}
        if seat_id not in names:
            raise Trouble(say("That seat has ended."), do=say("Choose another one."))
        self._seat_id, self.desk = seat_id, self.desk.seated(names[seat_id])

    def _look_at_seat(self, names: Mapping[int, str]) -> None:
        """Whoever was renamed keeps the seat; one that ended is left, and asked about."""
        if self._seat_id is None:
            return
        name = names.get(self._seat_id)
        if name is None:
            self.sit(None, before=self.desk.who)
        elif name != self.desk.who:
            self.desk = self.desk.seated(name)

    def ways_to_begin(self) -> Sequence[str]:
        """What the first page offers."""
        return ("sample", "spreadsheet", "empty", "open", "backup")

    def begin(self, way: str, path: Path | None) -> object:
        """Open the sample, another store, or a backup as a new store beside it."""
        before = self.desk
        self._seat_id, self._before, self._asks_seat = None, "", way != "sample"
        match way:
            case "sample":
                from servicedesk.desk.sample import sample_store

                self.desk = open_desk(sample_store(before.today), today=before.clock.fixed_day)
            case "open" if path is not None:
                self.desk = open_desk(path, today=before.clock.fixed_day)
            case "backup" if path is not None:
                from servicedesk.desk.stores import restore_store

                target = path.with_name(f"{path.stem}-restored{path.suffix or '.store'}")
                restore_store(path, str(target))
                self.desk = open_desk(target, today=before.clock.fixed_day)
            case _:
                raise Trouble(say("There is no such way to begin."))
        _sit_for_long(self.desk.store)
        before.store.close()
        return None

    def reread(self) -> None:
        """Company details may have changed: sit down anew at the same store."""
        who = self.desk.who
        anew = desk_at(self.desk.store, who=who, today=self.desk.clock.fixed_day)
        self.desk = anew.seated(who)  # nobody stays nobody

    def counts(self) -> Mapping[str, int]:
        """Things that ask for action, by place."""
        clock = self.desk.clock
        with self.desk.store.read() as session:
            found = {
                "today": desk_counts.late_calls(session, clock.now())
                + desk_counts.open_alerts(session, self.desk.today, level="act"),
                "phone": desk_counts.open_calls(session),
                "owed": desk_counts.open_owed(session),
            }
        if self._patterns_waiting is not None and self._patterns_waiting[0] is self.desk:
            found["patterns"] = self._patterns_waiting[1]
        if self._begun is self.desk.store:  # not while the first page waits
            found["shelf"] = shelf_waiting(self.desk)
        self._begun = self.desk.store
        return {place: n for place, n in found.items() if n}

    def slow_count(self) -> Callable[[Progress], int | None]:
        """Count the patterns that ask for action, in a process of its own."""
        from servicedesk.desk.pattern_count import patterns_waiting_apart

        return partial(patterns_waiting_apart, self.desk.store.place, self.desk.clock.fixed_day)

    def take_slow_count(self, n: int) -> None:
        """Patterns that ask for action, as last counted."""
        self._patterns_waiting = (self.desk, n)

    def last_change(self) -> ChangeShown | None:
        """The latest change of anybody."""
        shown = self.changes(1)
        return shown[0] if shown else None

    def changes(self, limit: int) -> Sequence[ChangeShown]:
        """The latest changes, newest first."""
        return [_shown(line) for line in changes.all_changes(self.desk, limit=limit)]

    def undo(self) -> Changed:
        """Take back this person's latest change."""
        return changes.undo(self.desk)

    def undo_change(self, change_id: int) -> Changed:
        """Take back this change."""
        return changes.undo(self.desk, change_id)

    def redo(self) -> Changed:
        """Do again what was last taken back."""
        return changes.redo(self.desk)

    def find(self, text: str) -> "Sequence[FoundShown | KnowledgeFound]":
        """Answers to what was typed: records, things to do, words in notes, fault knowledge."""
        from servicedesk.desk.knowledge_find import found_in_knowledge  # read when first asked

        answer = find(self.desk, text)
        return [
            *(_found(one) for one in answer.records),
            *(_doing(one) for one in answer.doings if _can_do(one)),
            *(_noted(one) for one in answer.notes),
            *found_in_knowledge(self.desk, text),
        ]


def _sit_for_long(store: Store) -> None:
    """The window stays at this store: keep what is slow to conclude, hold little memory."""
    keep_conclusions(store)
    work_apart(store)


def _two_lines(name: str) -> tuple[str, str]:
    """A company name in two lines, broken where they come out most alike."""
    words = name.split()
    if len(words) < 2:
        return name, ""
    breaks = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(breaks, key=lambda two: (abs(len(two[0]) - len(two[1])), len(two[1])))


def _shown(line: changes.ChangeLine) -> ChangeShown:
    why_not = ""
    if line.undone:
        why_not = say("It was taken back already.")
    elif not line.can_undo:
        why_not = say("It filled the store in one go; restore a backup made before it.")
    return ChangeShown(
        change_id=line.id, words=line.what, when=line.when, who=line.who, why_not=why_not
    )


def _found(one: Found) -> FoundShown:
    place = "sites"
    ids: tuple[object, ...] = () if one.site_id is None else (one.site_id,)
    if one.kind == "technician":
        place, ids = "rounds", ()
    return FoundShown(
        group=say("Records"),
        icon=_ICONS.get(one.kind, "look"),
        title=one.title,
        second=one.line,
        place=place,
        ids=ids,
    )


def _can_do(one: Doing) -> bool:
    acts = {"open", "log_call", "plan_day", "move_visit", "contracts", "to_bill", "went_out"}
    return one.act in acts


def _doing(one: Doing) -> FoundShown:
    place, icon = "sites", "out"
    ids: tuple[object, ...] = (one.values.get("site_id"),)
    if one.act == "log_call":
        site = one.values.get("site_id")
        place, ids, icon = "phone", ("new", site) if site is not None else ("new",), "phone"
    elif one.act == "contracts":
        ids, icon = (one.values.get("site_id"), "contracts"), "note"
    elif one.act in {"to_bill", "went_out"}:
        place = "bills" if one.act == "to_bill" else "register"
        ids, icon = (), "note"
    elif one.act in {"plan_day", "move_visit"}:
        place, ids, icon = "rounds", (one.values.get("day"),), "rounds"
    return FoundShown(
        group=say("Things to do"),
        icon=icon,
        title=one.title,
        second=one.line,
        place=place,
        ids=tuple(i for i in ids if i is not None),
    )


def _noted(one: Noted) -> FoundShown:
    return FoundShown(
        group=say("In notes and visits"),
        icon="note",
        title=one.snippet,
        second=one.line,
        place="sites",
        ids=(one.site_id,) if one.site_id is not None else (),
    )
