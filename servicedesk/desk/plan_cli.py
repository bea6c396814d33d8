"""`servicedesk plan`: the weeks ahead from the shell."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.desk.period import named_technicians, propose, take
from servicedesk.desk.period_draft import DraftDay, DraftPage, DraftStop, NotPlaced, Totals
from servicedesk.desk.verb_options import desk_of
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.jobs import kind_text

DONE, LOOK = 0, 1
M_PER_MILE = 1609.344  # international mile, exact by definition
Tell = Callable[..., None]


def plan_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The draft in lines or as JSON; with --take written. Exit code 1 if something found no day."""
    desk = desk_of(chosen)
    named = named_technicians(desk, chosen.technician) if chosen.technician else None
    draft = propose(
        desk, chosen.weeks, from_day=chosen.from_day, technicians=named, seconds=chosen.seconds
    )
    if chosen.take:
        take(desk, draft)
    if chosen.json:
        print_json({"taken": chosen.take, "draft": draft.page})
    else:
        tell(*plan_lines(draft.page, desk))
        tell(
            say("Taken: these are the rounds now. It can be taken back in one step.")
            if chosen.take
            else say("A draft: nothing was written. --take makes it the rounds.")
        )
    return LOOK if draft.page.not_placed else DONE


def plan_lines(page: DraftPage, desk: Desk) -> list[str]:
    """Every day with its stops, what has no day and why, and the figures beside the plan now."""
    f = desk.formats
    lines = [
        say(
            "{first} to {last} · {who}",
            first=f.weekday(page.first),
            last=f.weekday(page.last),
            who=", ".join(page.technicians),
        )
    ]
    for day in page.days:
        lines.extend(_day_lines(day, f))
    lines.extend(_not_placed_lines(page, f))
    lines.append("")
    lines.append(_totals(say("now"), page.before, desk))
    lines.append(_totals(say("draft"), page.after, desk))
    lines.append(
        say(
            "{new} new, {moved} moved; {frozen} left as handed out or held elsewhere",
            new=page.n_new,
            moved=page.n_moved,
            frozen=page.n_frozen,
        )
    )
    lines.extend(say("! {address} was told another day", address=one) for one in page.to_tell)
    if page.roads != "roads":
        lines.append(say("Road times are estimated from straight lines."))
    return lines


def _day_lines(day: DraftDay, f: Formats) -> list[str]:
    head = say(
        "{day}, {who}: {stops}, {road} on the road, home {home}",
        day=f.weekday(day.day),
        who=day.technician,
        stops=say_n("{n} stop", "{n} stops", len(day.stops)),
        road=f.minutes(day.road_min),
        home=f.time(day.home_min),
    )
    return ["", head, *(f"  {_stop_line(stop, f)}" for stop in day.stops)]


def _stop_line(stop: DraftStop, f: Formats) -> str:
    parts = [f"{f.time(stop.begin_min):>8}  {stop.address}"]
    parts.append(", ".join(kind_text(one) for one in stop.jobs))
    if stop.closes_on is not None:
        parts.append(say("by {day}", day=f.weekday(stop.closes_on)))
    if stop.is_held:
        parts.append(say("held"))
    if stop.joins:
        parts.append(stop.joins)
    if stop.is_moved and stop.was_on is not None:
        parts.append(say("was {day} {who}", day=f.weekday(stop.was_on), who=stop.was_with).strip())
        parts.extend(stop.why)
    return " · ".join(parts)


def _not_placed_lines(page: DraftPage, f: Formats) -> list[str]:
    if not page.not_placed:
        return ["", say("Everything found a day.")]
    lines = ["", say_n("{n} without a day:", "{n} without a day:", len(page.not_placed))]
    for one in page.not_placed:
        lines.extend(_left_lines(one, f))
    return lines


def _left_lines(one: NotPlaced, f: Formats) -> list[str]:
    by = say("by {day}", day=f.weekday(one.closes_on)) if one.closes_on else ""
    jobs = ", ".join(kind_text(kind) for kind in one.jobs)
    head = " · ".join(part for part in (one.address, jobs, by) if part)
    lines = [f"  {head}: {'; '.join(one.why)}"]
    if one.frees:
        lines.append("    " + say("What would free a day: {frees}", frees="; ".join(one.frees)))
    return lines


def _totals(name: str, totals: Totals, desk: Desk) -> str:
    f = desk.formats
    text = say(
        "{name}: {stops} on {days}, {road} on the road, {work} of work, {late} late",
        name=name,
        stops=say_n("{n} stop", "{n} stops", totals.n_stops),
        days=say_n("{n} day", "{n} days", totals.n_days),
        road=f.minutes(totals.road_min),
        work=f.minutes(totals.work_min),
        late=totals.n_late,
    )
    if totals.road_m is not None:
        text += ", " + _length(totals.road_m, desk)
    return text


def _length(metres: int, desk: Desk) -> str:
    if desk.company.units == "us":
        return say("{n} miles", n=desk.formats.number(round(metres / M_PER_MILE)))
    return say("{n} km", n=desk.formats.number(round(metres / 1000)))
