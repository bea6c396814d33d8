"""Why a stop has no day in the weeks, what would free one, and why one moved, in words."""

from collections.abc import Callable, Mapping

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say

Names = Mapping[str, str]


def _name(names: Names, value: object) -> str:
    return names.get(str(value), str(value))


PERIOD_TELLERS: dict[str, Callable[[Reason, Formats, Names], str]] = {
    # routes.period_why
    "no_shift_then": lambda _r, _f, _n: say(
        "nobody who may come works on a day on which it can be done"
    ),
    "weeks_full": lambda r, f, n: say(
        "the days are full: the best, {day} with {crew}, would end {time} too late",
        day=f.weekday(r["day"]),
        crew=_name(n, r["crew"]),
        time=f.minutes(r["over_min"]),
    ),
    "hours_taken": lambda r, f, n: say(
        "its hours are taken: {crew} would come {time} too late on {day}",
        crew=_name(n, r["crew"]),
        time=f.minutes(r["by_min"]),
        day=f.weekday(r["day"]),
    ),
    "can_wait": lambda r, f, _n: say("there is time until {day}", day=f.weekday(r["day"])),
    "frees_kept": lambda r, f, n: say(
        "{time} of what {crew} keeps for callbacks on {day}",
        time=f.minutes(r["by_min"]),
        crew=_name(n, r["crew"]),
        day=f.weekday(r["day"]),
    ),
    "frees_longer": lambda r, f, n: say(
        "{time} more for {crew} on {day}",
        time=f.minutes(r["by_min"]),
        crew=_name(n, r["crew"]),
        day=f.weekday(r["day"]),
    ),
    "frees_instead": lambda r, f, n: say(
        "{stop} later ({crew}, {day}): it can wait until {until}",
        stop=_name(n, r["stop"]),
        crew=_name(n, r["crew"]),
        day=f.weekday(r["day"]),
        until=f.weekday(r["waits_until"]),
    ),
    # desk.period_draft
    "earlier_one_first": lambda _r, _f, _n: say("the inspection before it comes first"),
    "wholly_shut": lambda _r, _f, _n: say("the site cannot be visited on any of its days"),
    "move_saves": lambda r, f, _n: say("saves {time} of road", time=f.minutes(r["by_min"])),
    "move_no_room": lambda r, f, n: say(
        "{day} with {crew} would end {time} too late",
        day=f.weekday(r["day"]),
        crew=_name(n, r["crew"]),
        time=f.minutes(r["over_min"]),
    ),
    "move_hours": lambda r, f, _n: say(
        "it could not be begun in its hours on {day}", day=f.weekday(r["day"])
    ),
    "move_nobody": lambda r, f, n: say(
        "{crew} does not work on {day}", crew=_name(n, r["crew"]), day=f.weekday(r["day"])
    ),
    "move_into_window": lambda r, f, _n: say(
        "{day} is outside its window", day=f.weekday(r["day"])
    ),
    "move_others": lambda _r, _f, _n: say("makes room for others"),
    "same_stop": lambda r, f, _n: say(
        "same stop: {more}, saves {road} of road",
        more=f.signed_minutes(r["plus_min"]),
        road=f.minutes(r["saves_min"]),
    ),
}  # fmt: skip
