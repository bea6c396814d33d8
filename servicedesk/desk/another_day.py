"""*Another day*: what a customer asks of the day is kept, other places are offered, one is taken.

The old day is freed, the wishes are kept on this visit or for good, and what the customer was told
is written, all in one change.
"""

from dataclasses import dataclass, replace
from datetime import date

from servicedesk.desk.carry import let_go
from servicedesk.desk.day_wishes import DayWishes, day_wishes, joined_wishes, wish_words
from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.planning import day_case, write_left_out
from servicedesk.desk.squeeze import Squeezed, squeeze_stop
from servicedesk.desk.squeeze_read import released
from servicedesk.desk.squeeze_take import Ready, ready_stop
from servicedesk.desk.tell_list import ABOUT_MIN
from servicedesk.records import planning_rows as rows
from servicedesk.records.sites import Site
from servicedesk.records.store import Changed, Work
from servicedesk.records.told import Told
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

N_OFFERED = 3
LOOK_WAYS = 80  # so that not all of them lie on the first days
LOOK_DAYS = 15  # working days looked at: the next three weeks


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked: `wishes` of the day, for this visit or `for_good`; who asked, and how."""

    wishes: DayWishes
    for_good: bool = False
    whom: str = ""
    how: str = "phone"


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherPlaces:
    """At most three other places, the least harm first, on as many days as may be.

    `stop` is what they are for, as it wishes now; `was_on` its day until now; `asked` are the
    wishes in words; `why_none` is one sentence where there are none.
    """

    stop: Wanted
    address: str
    was_on: date | None
    asked: str
    places: tuple[Squeezed, ...]
    why_none: str = ""


def other_places(desk: Desk, stop: Wanted, wish: Wish, *, days: int = LOOK_DAYS) -> OtherPlaces:
    """Three other places for a stop that keep what is asked. Reads only.

    A wish that names nothing means: any day but the one it has. Nobody else's promise is broken
    for it. Raises Trouble if the stop was made already.
    """
    visit = stop.visit
    if visit is not None and visit.arrived_at is not None:
        raise Trouble(say("This visit was made already."))
    wishes = _meant(stop, wish.wishes)
    asked = replace(stop, visit=_wishing(visit, wishes)) if visit is not None else stop
    page = squeeze_stop(desk, asked, days=days, keep=LOOK_WAYS)
    fitting = [w for w in page.ways if _suits(w, wishes) and not w.breaks]
    clean = [w for w in fitting if w.put_off is None]
    places = _spread(clean or fitting)
    none = page.why_none or say("No round of the next {n} working days has room then.", n=days)
    return OtherPlaces(
        stop=asked,
        address=page.address,
        was_on=visit.planned_on if visit is not None else None,
        asked=wish_words(wishes, desk.formats),
        places=places,
        why_none="" if places else none,
    )


def _meant(stop: Wanted, wishes: DayWishes) -> DayWishes:
    """The day it has does not suit, unless an hour or a person is asked for."""
    visit = stop.visit
    if visit is None or visit.planned_on is None:
        return wishes
    if wishes.is_empty:
        return replace(wishes, not_on=frozenset({visit.planned_on}))
    return wishes


def _wishing(visit: rows.VisitRow, wishes: DayWishes) -> rows.VisitRow:
    """What was agreed before does not bind any more: they ask for something else."""
    return replace(released(visit), wishes=_kept(visit.wishes, wishes))


def _kept(kept: object, wishes: DayWishes) -> dict[str, object]:
    """What a visit keeps, with these wishes beside what it kept before."""
    before = dict(kept) if isinstance(kept, dict) else {}
    return before | joined_wishes(day_wishes(before), wishes).kept()


def _suits(way: Squeezed, wishes: DayWishes) -> bool:
    """A stop without a visit keeps no wishes yet: they are asked of each way."""
    if way.day.weekday() in wishes.not_days or way.day in wishes.not_on:
        return False
    if wishes.from_min is not None and way.begin_min < wishes.from_min:
        return False
    return wishes.until_min is None or way.leave_min <= wishes.until_min


def _spread(ways: list[Squeezed]) -> tuple[Squeezed, ...]:
    """The best of each day first, then what is best besides."""
    days: set[date] = set()
    firsts = []
    for way in ways:
        if way.day not in days:
            days.add(way.day)
            firsts.append(way)
    rest = [way for way in ways if way not in firsts]
    return tuple((firsts + rest)[:N_OFFERED])


def take_other(desk: Desk, offer: OtherPlaces, wish: Wish, way: Squeezed | None) -> Changed:
    """Free the old day, keep the wishes, move to `way` and write what they were told.

    None for a way: the visit waits without a day. All of it is one change. Raises Trouble where
    the rounds are no longer those shown, or where nothing would be kept and nothing moved.
    """
    stop, visit = offer.stop, offer.stop.visit
    wishes = _meant(stop, wish.wishes)
    if way is None and visit is None and not wish.for_good:
        raise Trouble(
            say("{address} has no visit yet that could keep what is asked.", address=offer.address),
            do=say("Take one of the places, or keep it for good."),
            exit_code=2,
        )
    ready = ready_stop(desk, stop, way) if way is not None else None
    freed = _freed(desk, stop) if way is None else None
    with desk.store.change(desk.who, _words(desk, offer, way)) as work:
        visit_id = visit.id if visit is not None else None
        if ready is not None and way is not None:
            ready.write(work)
            visit_id = _visit_of(work, ready, way)
        elif freed is not None:
            write_left_out(work, freed)
            _without_day(work, freed)
        if visit_id is not None:
            let_go(work, visit_id)
            _keep_on_visit(work, visit_id, wishes, way)
        if wish.for_good:
            _keep_for_good(work, stop.site_id, wishes)
        _tell(desk, work, offer, wish, way, visit_id)
    return work.changed


def _freed(desk: Desk, stop: Wanted) -> Wanted | None:
    """The stop as its day has it now; None where it has no place to leave."""
    visit = stop.visit
    if visit is None or visit.planned_on is None:
        return None
    now = day_case(desk, visit.planned_on).wanted.get(stop.id)
    if now is None or now.visit is None or now.visit.revision != visit.revision:
        raise Trouble(
            say("The visit has changed meanwhile."),
            means=say("Nothing was written."),
            do=say("Look for places again."),
            exit_code=3,
        )
    return now


def _without_day(work: Work, stop: Wanted) -> None:
    if stop.visit is not None:
        work.get(Visit, stop.visit.id).planned_on = None


def _visit_of(work: Work, ready: Ready, way: Squeezed) -> int | None:
    """The visit that stands for the stop once it is written."""
    known = ready.case.wanted[ready.stop_id]
    if known.visit is not None:
        return known.visit.id
    here = rows.visits_of_day(work.session, way.day)
    return next((v.id for v in here if v.site_id == known.site_id and v.place is not None), None)


def _keep_on_visit(work: Work, visit_id: int, wishes: DayWishes, way: Squeezed | None) -> None:
    visit = work.get(Visit, visit_id)
    visit.wishes = _kept(visit.wishes, wishes)
    if way is None:
        return
    visit.told = True
    visit.promise_from_min = max(way.begin_min - ABOUT_MIN, wishes.from_min or 0)
    until = way.begin_min + ABOUT_MIN
    visit.promise_until_min = until if wishes.until_min is None else min(until, wishes.until_min)


def _keep_for_good(work: Work, site_id: int, wishes: DayWishes) -> None:
    """On the site: weekdays, hours, and who must be there. Single days are of one visit."""
    site = work.get(Site, site_id)
    if wishes.not_days:
        usual = site.visiting_days if site.visiting_days is not None else range(7)
        left = [n for n in usual if n not in wishes.not_days]
        if not left:
            raise Trouble(
                say("No day would be left for {address}.", address=site.address),
                do=say("Leave at least one day of the week."),
                exit_code=2,
            )
        site.visiting_days = left
    if wishes.from_min is not None:
        site.visiting_from_min = wishes.from_min
    if wishes.until_min is not None:
        site.visiting_until_min = wishes.until_min
    if wishes.with_whom:
        note = say("only with {whom} there", whom=wishes.with_whom)
        if note not in site.access_note:
            site.access_note = "; ".join(one for one in (site.access_note, note) if one)
        site.call_before = True
    if (
        site.visiting_from_min is not None
        and site.visiting_until_min is not None
        and site.visiting_from_min >= site.visiting_until_min
    ):
        raise Trouble(
            say("The visiting hours of {address} would end before they begin.",
                address=site.address),
            exit_code=2,
        )  # fmt: skip


def _tell(
    desk: Desk,
    work: Work,
    offer: OtherPlaces,
    wish: Wish,
    way: Squeezed | None,
    visit_id: int | None,
) -> None:
    """What they know now; a place taken while they are on the phone is a promise."""
    site = rows.site_places(work.session, [offer.stop.site_id])[offer.stop.site_id]
    work.add(
        Told(
            told_at=desk.clock.now(),
            whom=wish.whom.strip() or site.owner or site.address,
            by_whom=desk.who,
            how=wish.how,
            what=_told_words(desk, offer, way),
            promised_on=way.day if way is not None else None,
            site_id=offer.stop.site_id,
            visit_id=visit_id,
        )
    )


def _told_words(desk: Desk, offer: OtherPlaces, way: Squeezed | None) -> str:
    if way is not None:
        words = say("we come on {day} at about {time}", day=desk.formats.weekday(way.day),
                    time=desk.formats.time(way.begin_min))  # fmt: skip
    else:
        words = say("we tell you another day")
    if offer.was_on is not None and (way is None or way.day != offer.was_on):
        words += ", " + say("not on {day}", day=desk.formats.weekday(offer.was_on))
    return words


def _words(desk: Desk, offer: OtherPlaces, way: Squeezed | None) -> str:
    if way is None:
        return say("Another day for {address}: none yet", address=offer.address)
    return say(
        "Another day for {address}: {day}, {who}",
        address=offer.address, day=desk.formats.weekday(way.day), who=way.technician,
    )  # fmt: skip
