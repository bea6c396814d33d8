"""What the page of the weeks ahead says about a plan: how good, and beside the one that is."""

from collections.abc import Callable

from servicedesk.desk.office import Desk
from servicedesk.desk.period import BestSoFar, Draft
from servicedesk.desk.period_draft import Totals
from servicedesk.window.widgets.plan_offer import Compared
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats

M_PER_MILE = 1609.344  # international mile, exact by definition


def gain_words(best: BestSoFar, f: Formats) -> str:
    """The best so far."""
    return say(
        "Best so far: {placed} of {all} placed, {road} on the road.",
        placed=best.n_placed,
        all=best.n_placed + best.n_not_placed,
        road=f.minutes(best.road_min),
    )


def draft_words(draft: Draft, f: Formats) -> str:
    """What the draft is."""
    page = draft.page
    if not draft.changes:
        return say("No better weeks were found: the rounds stay as they are")
    return say(
        "A draft for {first} to {last}: {new} new, {moved} moved. Nothing is written yet.",
        first=f.weekday(page.first),
        last=f.weekday(page.last),
        new=say_n("{n} visit", "{n} visits", page.n_new),
        moved=page.n_moved,
    )


def draft_note(draft: Draft) -> str:
    """What else is to be known before it is taken."""
    page = draft.page
    parts = []
    if page.not_placed:
        n = len(page.not_placed)
        parts.append(say_n("{n} found no day", "{n} found no day", n))
    if page.n_closing_missed:
        parts.append(say("{n} of them close within these weeks", n=page.n_closing_missed))
    if page.n_frozen:
        parts.append(
            say_n("{n} left as handed out or held", "{n} left as handed out or held", page.n_frozen)
        )
    if page.was_stopped:
        parts.append(say("taken as it was before the time was up"))
    if page.planner == "simple":
        parts.append(say("simple planner"))
    if page.roads != "roads":
        parts.append(say("road times are estimated from straight lines"))
    return " \u00b7 ".join(parts)


def compared(draft: Draft, desk: Desk) -> tuple[Compared, ...]:
    """The figures of the plan as it is written and of the draft."""
    before, after, f = draft.page.before, draft.page.after, desk.formats
    found = [
        _figure(say("without a day"), *_without_day(draft), f.number, says_tone=True),
        _figure(say("stops"), before.n_stops, after.n_stops, f.number),
        _figure(say("days"), before.n_days, after.n_days, f.number),
        _figure(say("road"), before.road_min, after.road_min, f.minutes),
        _figure(say("road a stop"), _each(before), _each(after), f.minutes, says_tone=True),
        _figure(say("after their last day"), before.n_late, after.n_late, f.number),
    ]
    if before.road_m is not None and after.road_m is not None:
        us = desk.company.units == "us"
        unit, name = (M_PER_MILE, say("miles")) if us else (1000.0, say("km"))
        found.insert(
            4,
            _figure(name, round(before.road_m / unit), round(after.road_m / unit), f.number),
        )
    return tuple(found)


def _without_day(draft: Draft) -> tuple[int, int]:
    """What the weeks ask for that has no day now, and what has none in the draft."""
    page = draft.page
    n_asked = page.after.n_stops + len(page.not_placed)
    return n_asked - page.before.n_stops, len(page.not_placed)


def _each(totals: Totals) -> int:
    return round(totals.road_min / totals.n_stops) if totals.n_stops else 0


def _figure(
    name: str,
    before: int,
    after: int,
    text: Callable[[int], str],
    *,
    says_tone: bool = False,
) -> Compared:
    tone = "ink2"
    if before != after and says_tone:
        tone = "moss" if after < before else "clay"
    return Compared(name, text(before), text(after), tone)
