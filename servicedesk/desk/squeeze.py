"""All places for one more stop in the next days, ranked by the harm they do, shown before choosing.

Only rounds that are planned count, and of today only what is still to come.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.squeeze_read import NEW_STOP, Asked, StoodRound, stood_rounds, working_days
from servicedesk.desk.usual import SQUEEZE_DAYS
from servicedesk.routes.squeeze import Delay
from servicedesk.routes.squeeze_days import KEPT, SqueezeOption, squeeze_options
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterStop:
    """A stop after the new one: when it begins now and then, and how late that is for a promise."""

    address: str
    now_min: int
    then_min: int
    late_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PutOff:
    """A visit left out for the new stop, and where it would go: None and "" for nowhere yet."""

    visit_id: int
    address: str
    to_day: date | None
    to_technician: str
    begin_min: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Squeezed:
    """One way to squeeze the stop in. `harm_min` adds all harm up, in minutes of road.

    `position`: before which stop of the whole round it stands, counted from 0 without the one
    put off. `later`: every stop that begins later. `after`: the address before it, "" at first.
    """

    day: date
    technician_id: int
    technician: str
    position: int
    after: str
    begin_min: int
    leave_min: int
    extra_road_min: int
    extra_overtime_min: int
    home_min: int
    later: tuple[LaterStop, ...]
    keeps_promise: bool
    breaks: tuple[str, ...]
    put_off: PutOff | None
    harm_min: int


@dataclass(frozen=True, slots=True)
class SqueezePage:
    """The ways, best first; `why_none` is one sentence where there are none.

    `note`: days on which somebody goes to the site anyway, one sentence, else empty.
    """

    address: str
    ways: tuple[Squeezed, ...]
    n_rounds: int
    why_none: str = ""
    note: str = ""


def squeeze(
    desk: Desk,
    site_id: int,
    *,
    days: int = SQUEEZE_DAYS,
    kind: str = "callback",
    by_at: datetime | None = None,
    call_id: int | None = None,
) -> SqueezePage:
    """Every way to put a stop at a site on the rounds of the next `days` working days.

    Today counts as the first. `by_at` is the promise; a visit made for `call_id` already is left
    away. One option leaves a visit out that is neither told nor held and whose window goes on.
    Reads only. Raises Trouble for a site that is not there.
    """
    wished = working_days(desk, days)
    return _page(desk, Asked(site_id=site_id, days=wished, kind=kind, by_at=by_at, call_id=call_id))


def squeeze_stop(
    desk: Desk, stop: Wanted, *, days: int = SQUEEZE_DAYS, keep: int = KEPT
) -> SqueezePage:
    """The same for a stop that is wanted: a call, owed work or inspection without a day, or a
    visit that has its place and may get another. What it takes and by when follows from its jobs.
    At most `keep` ways.
    """
    calls = [j.call.promised_by_at for j in stop.jobs if j.call and j.call.promised_by_at]
    closes = [j.window.window.closes_on for j in stop.jobs if j.window is not None]
    closes += [j.owed.by_on for j in stop.jobs if j.owed is not None and j.owed.by_on is not None]
    opens = [j.window.window.opens_on for j in stop.jobs if j.window is not None]
    return _page(
        desk,
        Asked(
            site_id=stop.site_id,
            days=working_days(desk, days),
            stop=stop,
            by_at=min(calls, default=None),
            opens_on=max(opens, default=None),
            closes_on=min(closes, default=None),
            call_id=next((j.call_id for j in stop.jobs if j.call_id is not None), None),
        ),
        keep,
    )


def _page(desk: Desk, asked: Asked, keep: int = KEPT) -> SqueezePage:
    stood = stood_rounds(desk, asked)
    address = stood.names[NEW_STOP]
    note = _note(desk, stood.goes_there)
    if not stood.rounds:
        none = say("No rounds are planned in these days on which the site is open.")
        return SqueezePage(address, (), 0, none, note)
    options = squeeze_options([one.open for one in stood.rounds], keep=keep)
    by_id = {one.open.id: one for one in stood.rounds}
    ways = tuple(
        _way(option, by_id, stood.names) for option in options if not _is_here(option, by_id)
    )
    none = (
        "" if ways else say("No round of these days can take it without breaking hours or shifts.")
    )
    return SqueezePage(address, ways, len(stood.rounds), none, note)


def _is_here(option: SqueezeOption, by_id: Mapping[str, StoodRound]) -> bool:
    """Is it the very place where the stop stands already?"""
    one = by_id[option.round_id]
    at = (one.n_past + option.place.position, option.place.begin_min)
    return not option.dropped and at == one.stands_at


def _note(desk: Desk, goes_there: tuple[tuple[date, str], ...]) -> str:
    if not goes_there:
        return ""
    days = ", ".join(
        say("{day} ({who})", day=desk.formats.weekday(day), who=who) for day, who in goes_there
    )
    return say("Somebody goes there anyway: {days}. What waits joins that visit.", days=days)


def _way(
    option: SqueezeOption,
    by_id: Mapping[str, StoodRound],
    names: Mapping[str, str],
) -> Squeezed:
    one = by_id[option.round_id]
    place = option.place
    rest = [s for s in one.now.stops if s.stop_id != option.dropped]
    position = one.n_past + place.position
    return Squeezed(
        day=one.day,
        technician_id=one.technician.id,
        technician=one.technician.short_name or one.technician.name.split()[0],
        position=position,
        after=names[rest[position - 1].stop_id] if position else "",
        begin_min=place.begin_min,
        leave_min=place.begin_min + one.open.stop.service_min,
        extra_road_min=place.extra_road_min,
        extra_overtime_min=place.extra_overtime_min,
        home_min=place.home_min,
        later=_later(one, place.delays, names),
        keeps_promise=not option.breaks_its_promise,
        breaks=tuple(names[i] for i in place.promises_broken if i != NEW_STOP),
        put_off=_put_off(option, by_id, names),
        harm_min=round(option.harm_min),
    )


def _later(
    one: StoodRound, delays: tuple[Delay, ...], names: Mapping[str, str]
) -> tuple[LaterStop, ...]:
    """Who begins later than now, counted from the round as it is written."""
    without = {s.stop_id: s.begin_min for s in one.now.stops}
    found = (
        LaterStop(
            address=names[d.stop_id],
            now_min=one.begins[d.stop_id],
            then_min=without[d.stop_id] + d.by_min,
            late_min=d.late_min,
        )
        for d in delays
    )
    return tuple(stop for stop in found if stop.then_min > stop.now_min)


def _put_off(
    option: SqueezeOption, by_id: Mapping[str, StoodRound], names: Mapping[str, str]
) -> PutOff | None:
    if not option.dropped:
        return None
    home = option.new_home
    to = by_id[home.round_id] if home is not None else None
    return PutOff(
        visit_id=int(option.dropped[1:]),
        address=names[option.dropped],
        to_day=to.day if to is not None else None,
        to_technician=(to.technician.short_name or to.technician.name) if to is not None else "",
        begin_min=home.place.begin_min if home is not None else None,
    )
