"""The texts of the rounds page: the tray, offers, the list, before and after."""

from collections.abc import Sequence

from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.squeeze import SqueezePlace
from servicedesk.values.reason import Reason
from servicedesk.window.widgets.no_day_yet import WaitingStop
from servicedesk.window.widgets.offer_row import OfferWords
from servicedesk.window.widgets.plan_offer import Compared
from servicedesk.window.widgets.stops_table import StopLine
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats


def waiting_stops(page: RoundsPage, plan: DayPlan, formats: Formats) -> list[WaitingStop]:
    """The rows of *No day yet*, most pressing first."""
    left = {one.stop_id for one in plan.left_out}
    rows = []
    for stop_id, words in page.stops.items():
        if stop_id in left and not words.is_made:
            rows.append(
                WaitingStop(
                    stop_id=stop_id,
                    title=words.address,
                    second=words.why or words.what,
                    right=formats.minutes(words.minutes),
                    icon="" if words.kind == "inspection" else words.icon,
                    tone=words.tone,
                )
            )
    return rows


def offer_words(
    page: RoundsPage, plan: DayPlan, places: Sequence[SqueezePlace], formats: Formats
) -> list[OfferWords]:
    """Each place in words: after whom, more road, who would be late, home when."""
    return [
        OfferWords(
            where=_where(page, plan, place),
            road=formats.signed_minutes(place.extra_road_min),
            others=say_n("{n} late", "{n} late", len(place.promises_broken))
            if place.promises_broken
            else say("no one"),
            home=formats.short_time(place.home_min),
            is_bad=bool(place.promises_broken),
        )
        for place in places
    ]


def worth_telling(reasons: Sequence[Reason]) -> tuple[Reason, ...]:
    """Of the reasons for a stop that has places all the same: how little road was too much."""
    costs = [reason for reason in reasons if reason.code == "not_worth_road"]
    return (min(costs, key=lambda reason: int(reason["extra_min"])),) if costs else ()


def _where(page: RoundsPage, plan: DayPlan, place: SqueezePlace) -> str:
    name = page.names[place.crew_id]
    order = plan.day_of[place.crew_id].order
    if not order:
        return say("{technician}, alone", technician=name)
    if place.position == 0:
        return say("{technician}, first", technician=name)
    if place.position >= len(order):
        return say("{technician}, last", technician=name)
    before = page.names[order[place.position - 1]]
    return say("{technician}, after {address}", technician=name, address=before)


def stop_lines(page: RoundsPage, plan: DayPlan, formats: Formats) -> list[StopLine]:
    """All stops of all rounds in order, then those without a place."""
    lines = []
    for day in plan.days:
        for n, stop in enumerate(day.stops, start=1):
            words = page.stops[stop.stop_id]
            wanted = plan.problem.stop_of[stop.stop_id]
            until = wanted.agreed_until_min
            lines.append(
                StopLine(
                    stop.stop_id,
                    (
                        words.address,
                        page.names[day.crew_id],
                        str(n),
                        formats.time(stop.arrival_min),
                        formats.time(stop.begin_min + wanted.service_min),
                        formats.minutes(stop.drive_min),
                        words.what,
                        say("by {time}", time=formats.time(until)) if until is not None else "",
                        _state(page, stop.stop_id, stop.late_min, formats),
                    ),
                )
            )
    lines += [
        StopLine(w.stop_id, (w.title, say("no one yet"), "", "", "", "", w.second, "", ""))
        for w in waiting_stops(page, plan, formats)
    ]
    return lines


def _state(page: RoundsPage, stop_id: str, late_min: int, formats: Formats) -> str:
    words = page.stops[stop_id]
    states = []
    if late_min:
        states.append(say("{time} late", time=formats.minutes(late_min)))
    if words.is_made:
        states.append(say("made already"))
    elif words.is_held:
        states.append(say("held in place"))
    if words.is_guessed:
        states.append(say("place guessed"))
    return ", ".join(states)


def compared(stand: DayPlan, plan: DayPlan, formats: Formats) -> tuple[Compared, ...]:
    """Road, overtime, promises broken and stops placed, before and after."""
    road = (stand.road_min, plan.road_min)
    late = (len(stand.late), len(plan.late))
    over = (_over(stand), _over(plan))
    placed = (len(stand.crew_id_of), len(plan.crew_id_of))
    return (
        Compared(say("Road"), formats.minutes(road[0]), formats.minutes(road[1]),
                 _tone(road[1] - road[0]) if placed[0] == placed[1] else "ink2"),
        Compared(say("Overtime"), formats.minutes(over[0]), formats.minutes(over[1]),
                 _tone(over[1] - over[0])),
        Compared(say("Late"), str(late[0]), str(late[1]), _tone(late[1] - late[0])),
        Compared(say("Placed"), str(placed[0]), str(placed[1]), _tone(placed[0] - placed[1])),
    )  # fmt: skip


def _over(plan: DayPlan) -> int:
    return sum(day.overtime_min for day in plan.days)


def _tone(worse_by: int) -> str:
    return "clay" if worse_by > 0 else "moss" if worse_by < 0 else "ink2"


def offer_note(stand: DayPlan, plan: DayPlan) -> str:
    """What the new rounds would do, in one line."""
    was, now = stand.crew_id_of, plan.crew_id_of
    moved = sum(one in now and now[one] != crew for one, crew in was.items())
    out = sum(one not in now for one in was)
    parts = [
        say_n("{n} stop changes hands", "{n} stops change hands", moved),
        say_n("{n} stop loses its place", "{n} stops lose their places", out) if out else "",
        say("held stops stay"),
    ]
    return ", ".join(part for part in parts if part) + "."
