"""The calls of an event in the order in which they are worked: danger, by phone, by road."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from servicedesk.desk.callbacks import CallLine, open_calls
from servicedesk.desk.events import EventLine, StillCalling, running_event, still_calling
from servicedesk.desk.office import Desk
from servicedesk.desk.places import located, office_position
from servicedesk.desk.road_times import travel_between
from servicedesk.desk.told import About, tell
from servicedesk.records import event_rows, planning_rows
from servicedesk.records.store import Changed
from servicedesk.routes.near import near_one_another
from servicedesk.words import say

STEPS = ("danger", "phone", "road")


@dataclass(frozen=True, slots=True, kw_only=True)
class EventCall:
    """A call of an event and what comes next for it: danger, phone or road.

    `phoned_at`: when somebody last talked with them after the call. `road_min`: minutes by road
    from the stop before it in the list, of calls at a site in the step "road"; else None.
    """

    call: CallLine
    step: str
    phoned_at: datetime | None
    road_min: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EventWork:
    """The event that runs, with its open calls in order, and who still calls a day later."""

    event: EventLine
    calls: tuple[EventCall, ...]
    still: tuple[StillCalling, ...]

    def n_of(self, step: str) -> int:
        """How many open calls wait for this step."""
        return sum(one.step == step for one in self.calls)


def event_work(desk: Desk, waiting: Sequence[CallLine] | None = None) -> EventWork | None:
    """What is to be done in the event that runs, None if none does.

    Danger first, whoever was not phoned before those who were; then who was not phoned yet, the
    oldest call first; then by road, each the nearest to the one before, from the office on.
    `waiting` are the open calls where they are at hand.
    """
    event = running_event(desk)
    if event is None:
        return None
    found = open_calls(desk) if waiting is None else waiting
    calls = [call for call in found if call.event_id == event.id]
    with desk.store.read() as session:
        told = event_rows.told_at(session, [call.id for call in calls])
    sorted_in = [EventCall(call=c, step=_step(c, told), phoned_at=told.get(c.id)) for c in calls]
    danger = [one for one in sorted_in if one.step == "danger"]
    danger.sort(key=lambda one: (one.phoned_at is not None, one.call.called_at, one.call.id))
    phone = [one for one in sorted_in if one.step == "phone"]
    phone.sort(key=lambda one: (one.call.called_at, one.call.id))
    road = _by_road(desk, [one for one in sorted_in if one.step == "road"])
    return EventWork(
        event=event, calls=(*danger, *phone, *road), still=still_calling(desk, event.id)
    )


def _step(call: CallLine, told: dict[int, datetime]) -> str:
    if call.priority == "danger":
        return "danger"
    return "road" if call.id in told else "phone"


def _by_road(desk: Desk, calls: list[EventCall]) -> list[EventCall]:
    """Near one another from the office on; callers without a site come last."""
    calls.sort(key=lambda one: (one.call.called_at, one.call.id))
    at_site = [one for one in calls if one.call.site_id is not None]
    homeless = [one for one in calls if one.call.site_id is None]
    if not at_site:
        return homeless
    sites = [one.call.site_id or 0 for one in at_site]
    with desk.store.read() as session:
        spots = located(desk, planning_rows.site_places(session, sites))
        if any(spot.is_guessed for spot in spots.values()):  # neighbors tell where it may be
            spots = located(desk, planning_rows.site_places(session))
    places = [office_position(desk, spots), *(spots[site].position for site in sites)]
    times = travel_between(desk, places)
    chain = near_one_another(times)
    in_order = [
        EventCall(
            call=at_site[place - 1].call,
            step="road",
            phoned_at=at_site[place - 1].phoned_at,
            road_min=minutes,
        )
        for place, minutes in chain
    ]
    return [*in_order, *homeless]


def phoned(desk: Desk, call: CallLine, what: str = "") -> Changed:
    """Write that somebody was phoned about a call of an event, and what they were told."""
    whom = call.caller or call.phone or call.title
    said = what.strip() or say("We know of it and come as soon as the road allows.")
    return tell(desk, About(call_id=call.id, site_id=call.site_id), whom=whom, what=said)
