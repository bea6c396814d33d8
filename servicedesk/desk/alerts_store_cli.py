"""`servicedesk alerts --store`: the alerts of a store, newly due ones raised first."""

import argparse
from collections.abc import Callable, Iterable
from contextlib import closing
from typing import Any

from servicedesk.desk.alert_lines import AlertLine, alert_lines
from servicedesk.desk.alerts import is_over, look_for_alerts
from servicedesk.desk.office import Desk
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.words import say
from servicedesk.words.alert_reasons import state_text

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
        if chosen.json:
            print_json({"format": 1, "looked_back": back, "alerts": lines})
        else:
            if back:
                tell(_back_text(desk))
            texts = [text for line in lines for text in alert_text(desk, line)]
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


def alert_text(desk: Desk, line: AlertLine) -> list[str]:
    """One alert in lines: what came back, what was never tested, what is first, what to bring."""
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
    return texts
