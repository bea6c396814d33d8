"""`servicedesk alerts --store`: the alerts of a store, newly due ones raised first."""

import argparse
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import fields
from typing import Any

from servicedesk.desk.alert_lines import AlertDetail, AlertLine, alert_detail, alert_lines
from servicedesk.desk.alerts import is_over, look_for_alerts
from servicedesk.desk.fleet_evidence import CLEAR, fleet_text
from servicedesk.desk.office import Desk
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.words import say
from servicedesk.words.alert_reasons import state_text
from servicedesk.words.as_json import plain

DONE, LOOK = 0, 1
OPEN, ACT = "open", "act"


def alerts_of_store(
    chosen: argparse.Namespace,
    *,
    print_json: Callable[[Any], None],
    tell: Tell,
) -> int:
    """Look for alerts and list those that want somebody; exit code 1 if one is to act on."""
    desk = desk_of(chosen)
    with closing(desk.store):
        back = is_over(desk)
        look_for_alerts(desk, with_fleet=True)
        lines = [line for line in alert_lines(desk) if line.raised_on <= desk.today]
        details = [alert_detail(desk, line.id, with_fleet=True) for line in lines]
        if chosen.json:
            told = [_as_json(detail) for detail in details]
            print_json({"format": 1, "looked_back": back, "alerts": told})
        else:
            if back:
                tell(_back_text(desk))
            texts = [text for detail in details for text in alert_text(desk, detail)]
            tell(*(texts or [say("No alerts.")]), *_take_care(lines))
    return LOOK if any(line.level == ACT and line.state == OPEN for line in lines) else DONE


def _back_text(desk: Desk) -> str:
    day = desk.formats.day(desk.today)
    return say(
        "The store knows of more after {day}: nothing is raised anew, here are the alerts raised "
        "until then, as they stand now.",
        day=day,
    )


def _take_care(lines: Iterable[AlertLine]) -> list[str]:
    """The cautions of all checks named above, in full, each once."""
    texts = dict.fromkeys(text for line in lines for text in line.cautions)
    return ["", say("Take care:"), *(f"  {text}" for text in texts)] if texts else []


def _as_json(detail: AlertDetail) -> dict[str, Any]:
    """The alert as its line, with the ids it was raised with and all that stands behind it now."""
    now = {f.name: getattr(detail, f.name) for f in fields(detail) if f.name != "line"}
    return {**plain(detail.line), **plain(now)} | {
        "first_check": detail.line.first_check,
        "untested": detail.line.untested,
        "to_bring": detail.line.to_bring,
    }


def alert_text(desk: Desk, detail: AlertDetail) -> list[str]:
    """One alert in lines: what came back, what was never tested, what is first, what to bring.

    And what the fleet says of the parts in question.
    """
    line = detail.line
    level = say("ACT") if line.level == ACT else say("watch")
    state = "" if line.state == OPEN else f" [{state_text(line.state)}]"
    where = f"{line.address}, {line.label}" if line.label else line.address
    about = f" ({line.about})" if line.about else ""
    texts = [f"{level}{state}  {where}: {line.why}{about}"]
    if line.watching_since is not None:
        day = desk.formats.day(line.watching_since, near=desk.today)
        texts.append("    " + say("Watching since {day}: a root cause was repaired then", day=day))
    if line.untested:
        texts.append("    " + say("Never tested: {parts}", parts="; ".join(line.untested)))
    if line.first_check:
        minutes = desk.formats.minutes(round(line.first_check_min or 0))
        texts.append("    " + say("First: {check} ({time})", check=line.first_check, time=minutes))
    if line.cause:
        share = round(100 * (line.cause_chance or 0))
        texts.append("    " + say("Likeliest: {cause}, {n} %", cause=line.cause, n=share))
    if line.to_bring:
        texts.append("    " + say("Bring: {parts}", parts="; ".join(line.to_bring)))
    clear = [one for one in detail.fleet if one["flag"] == CLEAR]
    told = [say("{what}; they go together, no proof", what=fleet_text(one)) for one in clear]
    return [*texts, *(f"    {one}" for one in told)]
