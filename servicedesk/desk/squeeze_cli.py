"""`servicedesk squeeze`: room for one more stop, from the shell."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.carry import stop_asked
from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.second_opinion import site_named
from servicedesk.desk.squeeze import Squeezed, SqueezePage, squeeze, squeeze_stop
from servicedesk.desk.squeeze_take import take_stop
from servicedesk.desk.verb_options import desk_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

DONE, LOOK = 0, 1
Tell = Callable[..., None]


def squeeze_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """All ways in lines or as JSON, or one of them taken; exit code 1 where there is none."""
    desk = desk_of(chosen)
    site_id = site_named(desk, chosen.site)
    stop = stop_asked(desk, site_id)
    page = (
        squeeze(desk, site_id, days=chosen.days)
        if stop is None
        else squeeze_stop(desk, stop, days=chosen.days)
    )
    if chosen.take is not None:
        return _take(desk, stop, page, chosen.take, tell=tell)
    if chosen.json:
        print_json(page)
    else:
        tell(*squeeze_lines(page, desk))
    return DONE if page.ways else LOOK


def _take(desk: Desk, stop: Wanted | None, page: SqueezePage, number: int, *, tell: Tell) -> int:
    if stop is None:
        raise Trouble(
            say("Nothing waits for a visit at {address}.", address=page.address),
            do=say("Write the call first, then look for room."),
            exit_code=2,
        )
    if not 1 <= number <= len(page.ways):
        raise Trouble(
            say("There is no way {n} for {address}.", n=number, address=page.address),
            do=page.why_none or say("Choose one from 1 to {n}.", n=len(page.ways)),
            exit_code=2,
        )
    way = page.ways[number - 1]
    take_stop(desk, stop, way)
    tell(page.address, _head(way, desk), *(f"     {one}" for one in _harm(way, desk)))
    return DONE


def squeeze_lines(page: SqueezePage, desk: Desk) -> list[str]:
    """Every way with what it does to each later stop."""
    lines = [page.address, *([page.note] if page.note else [])]
    if not page.ways:
        return [*lines, page.why_none]
    for number, way in enumerate(page.ways, start=1):
        lines.append(f"{number}. {_head(way, desk)}")
        lines.extend(f"     {one}" for one in _harm(way, desk))
    return lines


def _head(way: Squeezed, desk: Desk) -> str:
    f = desk.formats
    return say(
        "{day}, {who}, {begins} to {ends}, {after}: {road} road, harm {harm}",
        day=f.weekday(way.day),
        who=way.technician,
        begins=f.time(way.begin_min),
        ends=f.time(way.leave_min),
        after=say("after {address}", address=way.after) if way.after else say("first stop"),
        road=f.signed_minutes(way.extra_road_min),
        harm=f.minutes(way.harm_min),
    )


def _harm(way: Squeezed, desk: Desk) -> list[str]:
    f = desk.formats
    lines = []
    if not way.keeps_promise:
        lines.append(say("after its promise"))
    if way.put_off is not None:
        off = way.put_off
        if off.to_day is None:
            lines.append(say("puts off {address}; no other day found yet", address=off.address))
        else:
            lines.append(
                say(
                    "puts off {address} to {day}, {who}",
                    address=off.address,
                    day=f.weekday(off.to_day),
                    who=off.to_technician,
                )
            )
    if way.extra_overtime_min > 0:
        lines.append(say("{time} more overtime", time=f.minutes(way.extra_overtime_min)))
    for stop in way.later:
        text = say(
            "{address}: {now} becomes {then}",
            address=stop.address,
            now=f.time(stop.now_min),
            then=f.time(stop.then_min),
        )
        if stop.late_min:
            text += ", " + say("{time} after its promise", time=f.minutes(stop.late_min))
        lines.append(text)
    return lines or [say("nobody begins later")]
