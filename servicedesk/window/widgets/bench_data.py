"""What the route bench shows of a plan, in words and minutes; nothing here knows pixels."""

from dataclasses import dataclass

from servicedesk.desk.rounds_page import RoundsPage, StopWords
from servicedesk.papers.crew_look import CrewLook, crew_look
from servicedesk.routes.plan import CrewDay, DayPlan, PlannedStop
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchBlock:
    """A stop on a ribbon. `delta_min` is how much later it begins than before this drag."""

    stop_id: str
    lead: str
    second: str
    spoken: str
    kind: str
    arrival_min: int
    begin_min: int
    end_min: int
    time: str
    delta: str
    delta_min: int
    promise_from_min: int | None
    promise_until_min: int | None
    late_min: int
    late: str
    is_held: bool
    is_made: bool
    is_slot: bool


@dataclass(frozen=True, slots=True)
class SideLine:
    """A line in the right column, with a sign where one helps."""

    text: str
    color: str
    icon: str = ""
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRow:
    """One technician's day."""

    crew_id: str
    name: str
    look: CrewLook
    facts: tuple[str, ...]
    leave_min: int
    home_min: int
    shift_from_min: int
    shift_until_min: int
    break_from_min: int | None
    break_until_min: int | None
    blocks: tuple[BenchBlock, ...]
    home: str
    side: tuple[SideLine, ...]
    is_target: bool


@dataclass(frozen=True, slots=True)
class BenchData:
    """All ribbons, and the minutes that the axis covers: whole hours."""

    rows: tuple[BenchRow, ...]
    from_min: int
    until_min: int


def bench_data(
    page: RoundsPage,
    plan: DayPlan,
    formats: Formats,
    *,
    base: DayPlan | None = None,
    carried: str = "",
    target: str = "",
    covers: tuple[int, int] = (1440, 0),
) -> BenchData:
    """The bench of `plan`. `base` is the plan to tell differences from, `carried` the stop in
    hand and `target` the crew it is held over. The axis covers at least the minutes of `covers`,
    so that it does not run from under the hand.
    """
    rows = tuple(
        _row(page, plan, day, formats, index, base, carried, target)
        for index, day in enumerate(plan.days)
    )
    if not rows:
        return BenchData((), 7 * 60, 18 * 60)
    first = min(min(row.leave_min, row.shift_from_min) for row in rows)
    last = max(max(row.home_min + 20, row.shift_until_min + 30) for row in rows)
    first, last = min(first - 20, covers[0]), max(last, covers[1])
    return BenchData(rows, first // 60 * 60, -(-last // 60) * 60)


def _row(
    page: RoundsPage,
    plan: DayPlan,
    day: CrewDay,
    formats: Formats,
    index: int,
    base: DayPlan | None,
    carried: str,
    target: str,
) -> BenchRow:
    crew = plan.problem.crew_of[day.crew_id]
    before = _begins(base) if base is not None else {}
    old = base.day_of.get(day.crew_id) if base is not None else None
    pause = day.pause if day.pause is not None and day.pause.at in ("before", "after") else None
    return BenchRow(
        crew_id=day.crew_id,
        name=page.names[day.crew_id],
        look=crew_look(index),
        facts=(
            say_n("{n} stop", "{n} stops", len(day.stops)),
            say("{time} driving", time=formats.minutes(day.road_min)),
        ),
        leave_min=day.leave_home_min,
        home_min=day.home_min,
        shift_from_min=crew.shift_from_min,
        shift_until_min=crew.shift_until_min,
        break_from_min=pause.begin_min if pause else None,
        break_until_min=pause.end_min if pause else None,
        blocks=tuple(
            _block(page, plan, stop, formats, before.get(stop.stop_id), carried)
            for stop in day.stops
        ),
        home=say("home {time}", time=formats.time(day.home_min)) if day.stops else say("no stops"),
        side=_side(day, old, crew.shift_until_min, formats),
        is_target=day.crew_id == target,
    )


def _begins(plan: DayPlan) -> dict[str, int]:
    return {stop.stop_id: stop.begin_min for day in plan.days for stop in day.stops}


def _block(
    page: RoundsPage,
    plan: DayPlan,
    stop: PlannedStop,
    formats: Formats,
    before_min: int | None,
    carried: str,
) -> BenchBlock:
    words = page.stops[stop.stop_id]
    wanted = plan.problem.stop_of[stop.stop_id]
    is_slot = stop.stop_id == carried
    delta = 0 if before_min is None or is_slot else stop.begin_min - before_min
    lead, second = block_words(words)
    late = formats.minutes(stop.late_min) if stop.late_min else ""
    return BenchBlock(
        stop_id=stop.stop_id,
        lead=lead,
        second=second,
        spoken=spoken(page, stop, formats),
        kind=words.kind,
        arrival_min=stop.arrival_min,
        begin_min=stop.begin_min,
        end_min=stop.begin_min + wanted.service_min,
        time=formats.short_time(stop.begin_min),
        delta=_signed(delta) if delta else "",
        delta_min=delta,
        promise_from_min=None if words.is_made else wanted.promise_from_min,
        promise_until_min=None if words.is_made else wanted.agreed_until_min,
        late_min=stop.late_min,
        late=say("{time} late", time=late) if late else "",
        is_held=words.is_held,
        is_made=words.is_made,
        is_slot=is_slot,
    )


def block_words(words: StopWords) -> tuple[str, str]:
    """The two lines of a block: an ordinary inspection names its street, all else its work."""
    if words.kind != "inspection":
        return words.address, words.what
    if words.number:
        return words.number, words.street
    return words.street, words.what


def spoken(page: RoundsPage, stop: PlannedStop, formats: Formats) -> str:
    """A stop as one sentence, as a screen reader says it."""
    words = page.stops[stop.stop_id]
    wanted = page.case.problem.stop_of[stop.stop_id]
    parts = [
        words.address,
        words.what,
        say("arrives {time}", time=formats.time(stop.arrival_min)),
        say("leaves {time}", time=formats.time(stop.begin_min + wanted.service_min)),
    ]
    if wanted.agreed_until_min is not None:
        parts.append(say("promised by {time}", time=formats.time(wanted.agreed_until_min)))
    if stop.late_min:
        parts.append(say("{time} late", time=formats.minutes(stop.late_min)))
    if words.is_made:
        parts.append(say("made already"))
    elif words.is_held:
        parts.append(say("held in place"))
    if words.is_guessed:
        parts.append(say("place guessed"))
    return ", ".join(parts)


def _side(
    day: CrewDay, old: CrewDay | None, shift_until_min: int, formats: Formats
) -> tuple[SideLine, ...]:
    """What changed while something is in hand, else overtime or what is to spare."""
    if old is not None and old.order != day.order:
        was, now = _length(old), _length(day)
        lines = [
            _change(now - was, say("{time} day", time=formats.signed_minutes(now - was))),
            _change(
                day.road_min - old.road_min,
                say("{time} road", time=formats.signed_minutes(day.road_min - old.road_min)),
            ),
        ]
        found = tuple(line for line in lines if line is not None)
        if found:
            return found
    if not day.stops:
        return ()
    if day.overtime_min:
        text = say("{time} over", time=formats.minutes(day.overtime_min))
        return (SideLine(text, "clay", "warn", strong=True),)
    spare = max(0, shift_until_min - day.home_min)
    return (SideLine(say("{time} to spare", time=formats.minutes(spare)), "ink2", "check"),)


def _length(day: CrewDay) -> int:
    return day.home_min - day.leave_home_min if day.stops else 0


def _change(minutes: int, text: str) -> SideLine | None:
    if not minutes:
        return None
    return SideLine(text, "clay" if minutes > 0 else "moss", strong=True)


def _signed(minutes: int) -> str:
    return f"+{minutes}" if minutes > 0 else f"\u2212{-minutes}"


def hour_text(minute: int) -> str:
    """An hour of the axis: "7 am", "noon", "1 pm"."""
    hour = minute // 60 % 24
    if hour == 12:
        return say("noon")
    shown = (hour - 1) % 12 + 1
    return say("{n} am", n=shown) if hour < 12 else say("{n} pm", n=shown)
