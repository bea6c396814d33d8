"""Somebody is told something. A day told is a promise: the visit is held on it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from servicedesk.desk import checking
from servicedesk.desk.callbacks import place_in, refuse_homeless
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.records import told_rows
from servicedesk.records.calls import Call
from servicedesk.records.owed import Owed
from servicedesk.records.store import Changed
from servicedesk.records.told import Told
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

WAYS = ("phone", "text", "email", "letter", "in person")


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What it is about: one of these at least."""

    site_id: int | None = None
    visit_id: int | None = None
    call_id: int | None = None
    owed_id: int | None = None
    customer_id: int | None = None


def tell(
    desk: Desk,
    about: About,
    *,
    whom: str,
    what: str,
    how: str = "phone",
    promised_on: date | None = None,
    between_min: tuple[int, int] | None = None,
    seen: int | None = None,
) -> Changed:
    """Write that `whom` was told `what`, and with it the promise that it makes.

    `promised_on` is a day told: the visit is planned for it and counts as told; a call gets a
    visit on that day if it has none. `between_min` are the wall minutes promised on it (end
    excluded). `seen` is the revision of the visit shown.

    Raises WrongEntry for entries that cannot be meant, StaleEdit if the visit changed since.
    """
    checking.refuse(_wrong(desk, about, whom, what, promised_on, between_min))
    if how not in WAYS:
        raise ValueError(f"{how!r} is none of {WAYS}")
    with desk.store.change(desk.who, say("Told {whom}: {what}", whom=whom, what=what)) as work:
        if about.visit_id is not None:
            visit = work.fresh(Visit, about.visit_id, seen=seen)
            about = _at_site(about, visit.site_id)
            if promised_on is not None:
                _promise(desk, visit, promised_on, between_min)
        elif about.call_id is not None:
            call = work.get(Call, about.call_id)
            about = _at_site(about, call.site_id)
            if promised_on is not None:
                refuse_homeless(call)
                visit = place_in(work, call, promised_on)
                _promise(desk, visit, promised_on, between_min)
                about = replace(about, visit_id=visit.id)
        elif about.owed_id is not None:
            about = _at_site(about, work.get(Owed, about.owed_id).site_id)
        work.add(
            Told(
                told_at=desk.clock.now(),
                whom=whom.strip(),
                by_whom=desk.who,
                how=how,
                what=what.strip(),
                promised_on=promised_on,
                site_id=about.site_id,
                customer_id=about.customer_id,
                call_id=about.call_id,
                visit_id=about.visit_id,
                owed_id=about.owed_id,
            )
        )
    return work.changed


def _at_site(about: About, site_id: int | None) -> About:
    return replace(about, site_id=about.site_id or site_id)


def _promise(desk: Desk, visit: Visit, day: date, between_min: tuple[int, int] | None) -> None:
    if visit.state != "planned":
        raise Trouble(
            say("That visit is over; no day can be promised for it."),
            do=say("Plan a new visit first."),
        )
    if visit.round_id is not None and visit.planned_on != day:
        raise Trouble(
            say("The visit is on a round of {day}.", day=_day(desk, visit.planned_on)),
            do=say("Move it to the day you promise first, then tell them."),
        )
    visit.planned_on = day
    visit.told = True
    if between_min is not None:
        visit.promise_from_min, visit.promise_until_min = between_min


def _day(desk: Desk, day: date | None) -> str:
    return desk.formats.day(day, near=desk.today)


def _wrong(
    desk: Desk,
    about: About,
    whom: str,
    what: str,
    promised_on: date | None,
    between_min: tuple[int, int] | None,
) -> list[Wrong]:
    wrong = []
    if not whom.strip():
        wrong.append(Wrong("whom", say("Write who was told.")))
    if not what.strip():
        wrong.append(Wrong("what", say("Write what they were told.")))
    if promised_on is not None and promised_on < desk.today:
        wrong.append(Wrong("promised_on", say("A day that has passed cannot be promised.")))
    if promised_on is not None and about.visit_id is None and about.call_id is None:
        wrong.append(Wrong("promised_on", say("Only a visit or a call can have a day.")))
    if between_min is not None and promised_on is None:
        wrong.append(Wrong("between_min", say("Times are promised for a visit on a day.")))
    if between_min is not None and not 0 <= between_min[0] < between_min[1] <= 1440:
        wrong.append(Wrong("between_min", say("The promised time ends before it begins.")))
    return wrong


def told_about(
    desk: Desk, *, visit_ids: Iterable[int] = (), call_ids: Iterable[int] = ()
) -> tuple[told_rows.ToldRow, ...]:
    """What was told about these visits and calls, newest first."""
    with desk.store.read() as session:
        return tuple(told_rows.told_about(session, visit_ids=visit_ids, call_ids=call_ids))
