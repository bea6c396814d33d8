"""`servicedesk bring-in FILE --store S`: a list brought in from the shell."""

import argparse
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from servicedesk.desk.bring_in import Proposal, look_at, take
from servicedesk.desk.bring_in_places import (
    PlacesProposal,
    is_of_places,
    look_at_places,
    place_lines,
    take_places,
)
from servicedesk.desk.bring_in_words import counts_line, report_lines
from servicedesk.desk.office import Desk, open_desk
from servicedesk.desk.places_on_disk import default_store
from servicedesk.desk.stores import machine_zone, new_store
from servicedesk.exchange.understood import Answers, Question
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

DONE, LOOK = 0, 1


def bring_in_from_shell(chosen: argparse.Namespace, *, print_json: Callable[[Any], None]) -> int:
    """Look at the list, say row by row what would be done and, without --check, do it.

    Exit code 1 if rows were skipped, kept or left something to look at. A store that is not there
    is made once the file has proved good. Raises Trouble for files and stores that cannot be used
    and while it is not known whether dates begin with the day or with the month.
    """
    desk, made = _desk(chosen)
    try:
        if is_of_places(chosen.file):
            return _places(desk, chosen, print_json)
        return _list(desk, chosen, print_json, made)
    finally:
        desk.store.close()
        if made is not None and (chosen.check or not made.kept):
            made.remove()


class _Made:
    """A store made for this list: taken away again if nothing came into it."""

    def __init__(self, place: str) -> None:
        self.place, self.kept = place, False

    def remove(self) -> None:
        for ending in ("", "-wal", "-shm"):
            Path(self.place + ending).unlink(missing_ok=True)


def _desk(chosen: argparse.Namespace) -> tuple[Desk, _Made | None]:
    place = str(chosen.store or default_store())
    if "://" in place or Path(place).exists():
        return open_desk(place, who=chosen.who, today=chosen.today), None
    if not chosen.file.exists():  # nothing to bring in: no store is made for it
        from servicedesk.exchange.sheetfile import read_sheet_file

        read_sheet_file(chosen.file)
    new_store(place, time_zone=machine_zone())
    return open_desk(place, who=chosen.who, today=chosen.today), _Made(place)


def _list(
    desk: Desk,
    chosen: argparse.Namespace,
    print_json: Callable[[Any], None],
    made: _Made | None,
) -> int:
    answers = Answers(
        day_first=chosen.day_first,
        swap_latlon=chosen.swap_positions,
        west=chosen.west,
        currency=chosen.currency,
        area_code=chosen.area_code,
    )
    proposal = look_at(
        desk, chosen.file, table=chosen.sheet, answers=answers, corrections=_corrections(chosen)
    )
    _refuse_unknown_order(proposal.questions)
    changed = Changed(0, {})
    if not chosen.check:
        ticks = _all_kept(proposal) if chosen.overwrite else ()
        changed = take(desk, proposal, overwrite=ticks)
    if made is not None:
        made.kept = bool(changed.change_id)
    if chosen.json:
        print_json(as_plain(proposal, changed, checked=chosen.check))
    else:
        first = _of_new(desk, made) if made and made.kept else []
        ending = _checked() if chosen.check else _written(proposal, changed)
        _tell([*first, *report_lines(proposal), *ending])
    kept = [] if chosen.overwrite else _all_kept(proposal)
    n = proposal.counts
    return LOOK if n.skipped or n.asked or n.missing or kept else DONE


def _of_new(desk: Desk, made: _Made) -> list[str]:
    zone = desk.clock.zone.key
    return [
        say("Made a new store: {place}", place=made.place),
        say("Its time zone is {zone}, as on this machine: it can be changed in Set up.", zone=zone),
    ]


def _tell(lines: Iterable[str]) -> None:
    sys.stdout.write("\n".join(lines) + "\n")


def _checked() -> list[str]:
    return [say("Only looked: nothing was written.")]


def _written(proposal: Proposal, changed: Changed) -> list[str]:
    if not changed.change_id:
        return [say("Nothing to write: everything stands as the list says.")]
    lines = [say("Written as one change; undo takes all of it back.")]
    if proposal.questions:
        options = [option_of(q) for q in proposal.questions if option_of(q)]
        lines.append(
            say("What was asked is left empty. Answer with: {options}", options=", ".join(options))
        )
    return lines


def option_of(question: Question) -> str:
    """The option that answers a question."""
    return {
        "day_first": "--day-first, --no-day-first",
        "swap_latlon": "--swap-positions, --no-swap-positions",
        "west": "--west, --no-west",
        "currency": "--currency",
        "area_code": "--area-code",
    }.get(question.code, "")


def _refuse_unknown_order(questions: tuple[Question, ...]) -> None:
    for question in questions:
        if question.code == "day_first":
            raise Trouble(
                say(
                    "{question} Say --day-first or --no-day-first; nothing was written "
                    "(examples: {examples}).",
                    question=question.text,
                    examples=", ".join(question.examples[:3]),
                )
            )


def _corrections(chosen: argparse.Namespace) -> dict[str, str]:
    found = {}
    for text in chosen.column:
        heading, equals, meaning = text.rpartition("=")
        if not equals or not heading.strip() or not meaning.strip():
            raise Trouble(
                say("“{text}” does not tell a column and its meaning.", text=text),
                do=say("Write it like --column Ring=phone, or --column Ring=nothing."),
            )
        found[heading] = meaning
    return found


def _all_kept(proposal: Proposal) -> list[tuple[int, str]]:
    return [(plan.row, c.name) for plan in proposal.rows for c in plan.changes if c.kept]


def as_plain(proposal: Proposal, changed: Changed, *, checked: bool) -> dict[str, Any]:
    """The whole report as plain values; gate codes are not in it."""
    rows = [plan for plan in proposal.rows if plan.state != "same"]
    return {
        "file": proposal.name,
        "sheet": proposal.table,
        "header_row": proposal.header_row,
        "checked_only": checked,
        "change_id": changed.change_id or None,
        "summary": counts_line(proposal),
        "counts": proposal.counts,
        "columns": [
            {"column": c.col, "heading": c.heading, "means": c.field, "confidence": c.confidence}
            for c in proposal.mapping.choices
        ],
        "answers": proposal.answers,
        "questions": proposal.questions,
        "assumed": proposal.assumed,
        "rows": [_row(plan) for plan in rows],
        "skipped": proposal.skipped,
        "missing": proposal.missing,
        "warnings": proposal.warnings,
        "left_out": [
            {"row": number, "why": why, "text": text} for number, why, text in proposal.left
        ],
    }


def _row(plan: Any) -> dict[str, Any]:
    return {
        "row": plan.row,
        "rows": plan.source.rows,
        "state": plan.state,
        "title": plan.title,
        "made": plan.made,
        "changes": [
            {"field": c.name, "title": c.title, "old": c.old, "new": c.new, "cell": c.ref,
             "kept": c.kept}
            for c in plan.changes
        ],
        "visits": len(plan.visits),
        "assumed": plan.assumed,
        "asked": plan.asked,
    }  # fmt: skip


def _places(desk: Desk, chosen: argparse.Namespace, print_json: Callable[[Any], None]) -> int:
    proposal: PlacesProposal = look_at_places(desk, chosen.file)
    ticked = frozenset(p.where for p in proposal.places if p.state == "kept")
    changed = Changed(0, {})
    if not chosen.check:
        changed = take_places(desk, proposal, ticked=ticked if chosen.overwrite else frozenset())
    if chosen.json:
        print_json({"change_id": changed.change_id or None, "places": proposal})
    else:
        _tell([*place_lines(proposal), *(_checked() if chosen.check else [])])
    unsure = any(p.state in ("unsure", "nobody", "kept") for p in proposal.places)
    return LOOK if unsure else DONE
