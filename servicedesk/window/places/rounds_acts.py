"""What can be done on the rounds page, with its keys."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from servicedesk.window.actions import Act
from servicedesk.window.widgets.ways_sheet import N_KEYS
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.rounds import RoundsPlace


def rounds_acts(place: "RoundsPlace") -> tuple[Act, ...]:
    """The table for keys, menus and the page of keys."""
    return (*_day(place), *_stop(place), *_places(place))


def _day(place: "RoundsPlace") -> tuple[Act, ...]:
    group = say("The day")
    return (
        Act(id="day_before", text=say("Day before"), do=partial(place.step_day, -1),
            shortcut="Ctrl+PgUp", group=group, icon="back"),
        Act(id="day_after", text=say("Day after"), do=partial(place.step_day, 1),
            shortcut="Ctrl+PgDown", group=group, icon="forward"),
        Act(id="plan", text=say("Plan again"), do=place.plan_again, shortcut="Ctrl+R",
            group=group, icon="again", when=partial(_why_no_plan, place)),
        Act(id="papers", text=say("Print route sheets"), do=place.write_papers,
            shortcut="Ctrl+P", group=group, icon="print", when=partial(_why_no_rounds, place)),
        Act(id="hand_out", text=say("Hand out"), do=place.hand_out, group=group, icon="out",
            when=partial(_why_no_rounds, place)),
        Act(id="tell_list", text=say("Tell list"), do=partial(_tell_list, place),
            shortcut="Ctrl+T", group=group, icon="phone", when=partial(_why_no_page, place)),
        Act(id="export", text=say("Export: GPX, GeoJSON, calendars"), do=partial(_export, place),
            shortcut="Ctrl+E", group=group, icon="out", when=partial(_why_no_rounds, place)),
        Act(id="week_wall", text=say("Week for the wall"), do=partial(_week, place),
            shortcut="Ctrl+Shift+P", group=group, icon="print",
            when=partial(_why_no_page, place)),
        Act(id="list", text=say("As a list, or as ribbons"), do=place.turn_list, shortcut="T",
            group=group),
    )  # fmt: skip


def _stop(place: "RoundsPlace") -> tuple[Act, ...]:
    group = say("The chosen stop")
    chosen = partial(_why_no_stop, place)

    def act(act_id: str, text: str, do: Callable[[], object], key: str, icon: str = "") -> Act:
        return Act(id=act_id, text=text, do=do, shortcut=key, group=group, icon=icon, when=chosen)

    return (
        act("earlier", say("One slot earlier"), partial(place.step, by=-1), "Ctrl+Left"),
        act("later", say("One slot later"), partial(place.step, by=1), "Ctrl+Right"),
        act("above", say("To the ribbon above"), partial(place.step, ribbons=-1), "Ctrl+Up"),
        act("below", say("To the ribbon below"), partial(place.step, ribbons=1), "Ctrl+Down"),
        act("to_day_before", say("To the day before"), partial(place.to_day_beside, -1),
            "Ctrl+Shift+PgUp"),
        act("to_day_after", say("To the day after"), partial(place.to_day_beside, 1),
            "Ctrl+Shift+PgDown"),
        act("tidy", say("Put this round in order"), place.tidy, "O", "again"),
        Act(id="mend", text=say("Show the mended rounds"), do=place.mender_show, shortcut="M",
            group=group, when=partial(_why_not_mended, place)),
        act("hold", say("Hold in place, or free"), place.turn_hold, "F9", "hold"),
        Act(id="ways", text=say("All ways over the next days"), do=place.show_ways, shortcut="W",
            group=group, icon="ahead", when=partial(_why_no_ways, place)),
        Act(id="another_day", text=say("Another day, the customer asks"),
            do=place.ask_another_day, shortcut="A", group=group, icon="phone",
            when=partial(_why_no_ways, place)),
        act("take_out", say("Take out of the day"), place.take_out, "Del", "cross"),
    )  # fmt: skip


def _places(place: "RoundsPlace") -> tuple[Act, ...]:
    group = say("No day yet")
    return tuple(
        Act(id=f"place_{n + 1}", text=say("Take place {n}", n=n + 1),
            do=partial(place.take_place, n), shortcut=str(n + 1), group=group)
        for n in range(N_KEYS)
    )  # fmt: skip


def _tell_list(place: "RoundsPlace") -> None:
    if place.page is not None:
        place.shell.go("tell_list", place.page.case.day)


def _export(place: "RoundsPlace") -> None:
    if place.page is not None:
        place.papers.write_files(place.desk, place.page.case.day)


def _week(place: "RoundsPlace") -> None:
    if place.page is not None:
        place.papers.write_week(place.desk, place.page.case.day)


def _why_no_page(place: "RoundsPlace") -> str | None:
    return None if place.page is not None else say("The day is still being read.")


def _why_no_stop(place: "RoundsPlace") -> str | None:
    page = place.page
    if page is None or not place.bench.stop:
        return say("Choose a stop on a ribbon first.")
    if place.bench.stop in page.stops and page.stops[place.bench.stop].is_made:
        return say("This stop was made already; it stays where it was.")
    if not place.bench.may_move:
        return say("Take or leave the new rounds first.")
    return None


def _why_no_ways(place: "RoundsPlace") -> str | None:
    page = place.page
    if page is None or place.stop not in page.stops:
        return say("Choose a stop first.")
    if page.stops[place.stop].is_made:
        return say("This stop was made already; it stays where it was.")
    return None


def _why_not_mended(place: "RoundsPlace") -> str | None:
    if place.mender.found is None:
        return say("Nothing to mend: it is looked for after a stop was moved by hand.")
    return None


def _why_no_rounds(place: "RoundsPlace") -> str | None:
    page = place.page
    if page is None or not page.case.rounds:
        return say("This day has no rounds yet: plan it first.")
    return None


def _why_no_plan(place: "RoundsPlace") -> str | None:
    page = place.page
    if page is None:
        return say("The day is still being read.")
    if place.offer.is_planning:
        return say("The day is being planned already.")
    if not place.hands.is_idle:
        return say("The last change is still being written.")
    return page.nobody or None
