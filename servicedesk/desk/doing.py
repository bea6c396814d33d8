"""Things to do from the find box: for the best record, or with the verb typed first."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, NamedTuple

from servicedesk.desk.coming import day_text
from servicedesk.desk.office import Desk
from servicedesk.records.search import words_of
from servicedesk.records.visit_rows import VisitRow
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Doing:
    """Something to do: the window runs `act` with the values.

    `act`: open, log_call, move_visit, print_history, add_owed, contracts, print_round, plan_day,
    new_site, all_changes, to_bill, went_out. Values among site_id, visit_id, technician_id, day.
    """

    act: str
    title: str
    line: str = ""
    values: dict[str, Any] = field(default_factory=dict)


class Target(NamedTuple):
    """The record that things are done with."""

    kind: str
    row_id: int
    site_id: int | None
    title: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed: the acts a first word may mean, a day at the end, and what is between."""

    verbs: tuple[str, ...]
    day: date | None
    rest: str


def _verbs() -> dict[str, tuple[str, ...]]:
    """The acts by the words that may begin them, in the reader's language."""
    lists = {
        say("log call"): ("log_call",),
        say("open go"): ("open",),
        say("move place"): ("move_visit",),
        say("print"): ("print_round", "print_history"),
        say("owe owed"): ("add_owed",),
        say("plan"): ("plan_day",),
        say("new add"): ("new_site",),
        say("undo changes"): ("all_changes",),
        say("contract contracts sold"): ("contracts",),
        say("bill bills"): ("to_bill",),
        say("sent"): ("went_out",),
    }
    return {word: acts for words, acts in lists.items() for word in words_of(words)}


def asked_for(desk: Desk, text: str) -> Asked:
    """Take a leading verb and a closing day off `text`. A single word is a verb only if whole."""
    words = text.split()
    verbs: tuple[str, ...] = ()
    if words:
        folded = "".join(words_of(words[0]))
        verbs = _verbs().get(folded, ())
    rest = words[1:] if verbs else words
    day = None
    if verbs and rest:
        day = _day_of(desk, rest[-1])
        rest = rest[:-1] if day is not None else rest
    return Asked(verbs, day, " ".join(rest))


def _day_of(desk: Desk, word: str) -> date | None:
    """The day a word means: "today", "tomorrow", or the next weekday that begins so."""
    folded = "".join(words_of(word))
    if len(folded) < 3:
        return None
    for ahead in range(7):
        day = desk.today + timedelta(days=ahead)
        names = [*words_of(desk.formats.long_day(day))[:1]]
        if ahead < 2:
            names += words_of(day_text(desk, day))
        if any(name.startswith(folded) for name in names):
            return day
    return None


def things_to_do(
    desk: Desk,
    asked: Asked,
    best: Target | None,
    stop: VisitRow | None,
) -> tuple[Doing, ...]:
    """What can be done with the best record; a typed verb comes alone.

    `stop` is the next planned stop at its site.
    """
    offered = [*_for_record(desk, best, stop, asked.day), *_for_all(desk, best, asked)]
    if asked.verbs:
        return tuple(d for verb in asked.verbs for d in offered if d.act == verb)
    return tuple(d for d in offered if best is not None and d.act in _SITE_ACTS | _CREW_ACTS)


_SITE_ACTS = {"log_call", "move_visit", "print_history", "add_owed"}
_CREW_ACTS = {"print_round"}


def _for_record(
    desk: Desk,
    best: Target | None,
    stop: VisitRow | None,
    day: date | None,
) -> list[Doing]:
    if best is None:
        return []
    kind, row_id, site_id, title = best
    if kind == "technician":
        on = day or desk.today
        words = say("Print the round of {name}, {day}", name=title, day=day_text(desk, on))
        return [
            Doing(act="print_round", title=words, values={"technician_id": row_id, "day": on}),
        ]
    if site_id is None:
        return []
    values = {"site_id": site_id}
    found = [
        Doing(
            act="log_call",
            title=say("Log a call for {site}", site=title),
            line=say("opens the call with the site filled in"),
            values=values,
        )
    ]
    if stop is not None and kind == "site":
        found.append(_move(desk, stop, title, day))
    found += [
        Doing(
            act="print_history",
            title=say("Print the history of {site}", site=title),
            line=say("sensitive notes left out"),
            values=values,
        ),
        Doing(act="add_owed", title=say("Owe something at {site}…", site=title), values=values),
        Doing(act="open", title=say("Open {site}", site=title), values=values),
        Doing(act="contracts", title=say("Contracts of {site}", site=title), values=values),
    ]
    return found


def _move(desk: Desk, stop: VisitRow, title: str, day: date | None) -> Doing:
    parts = [day_text(desk, stop.planned_on) if stop.planned_on else say("no day yet")]
    parts += [stop.technician] if stop.technician else []
    if stop.arrive_min is not None:
        parts.append(desk.formats.time(stop.arrive_min))
    parts += [say("held in place")] if stop.held else []
    parts += [say("they were told")] if stop.told else []
    words = (
        say("Move the visit to {site}…", site=title)
        if day is None
        else say("Move the visit to {site} to {day}", site=title, day=day_text(desk, day))
    )
    values: dict[str, Any] = {"site_id": stop.site_id, "visit_id": stop.id}
    if day is not None:
        values["day"] = day
    return Doing(
        act="move_visit", title=words, line=say("now: {now}", now=", ".join(parts)), values=values
    )


def _for_all(desk: Desk, best: Target | None, asked: Asked) -> list[Doing]:
    """What needs no record."""
    day = asked.day or desk.today
    found = [
        Doing(
            act="plan_day",
            title=say("Plan the rounds of {day}", day=day_text(desk, day)),
            values={"day": day},
        ),
        Doing(act="new_site", title=say("Write a new site"), values={"address": asked.rest}),
        Doing(act="all_changes", title=say("Look at all changes")),
        Doing(act="to_bill", title=say("Look at what is to be billed")),
        Doing(act="went_out", title=say("Look at what went out")),
    ]
    if best is None:
        found.append(Doing(act="log_call", title=say("Log a call"), values={"text": asked.rest}))
        words = say("Print the rounds of {day}", day=day_text(desk, day))
        found.append(Doing(act="print_round", title=words, values={"day": day}))
    return found
