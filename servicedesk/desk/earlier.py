"""They have called about this before: earlier calls of a site, and which are the same trouble."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from servicedesk.desk.office import Desk
from servicedesk.desk.threads import TroubleThread, thread_of_new_call, threads_of_site
from servicedesk.desk.visit_words import visit_line
from servicedesk.records import call_rows
from servicedesk.words import calls as words
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierCall:
    """A call of before, and what each visit for it did.

    `did`: one line a visit, with its day where that is not the day of the call, and who went where
    somebody is named. `quiet_days`: days from the last visit for it
    to the next call of the same trouble (or to today, `still_quiet`); None where no visit was made
    for it. `same`: the call being written would be about the same trouble (`desk.threads`), and
    `trouble` says in a line how that stands: how many calls, how long quiet, whether the fix holds.
    """

    call_id: int
    called_on: date
    symptoms: tuple[str, ...]
    symptom_text: str
    own_words: str
    visits: tuple[call_rows.CallVisit, ...]
    did: tuple[str, ...]
    quiet_days: int | None
    still_quiet: bool
    same: bool
    trouble: str = ""


def earlier_calls(
    desk: Desk, site_id: int, *, symptoms: Iterable[str] = (), but: int | None = None
) -> tuple[EarlierCall, ...]:
    """Calls of a site, newest first, those about the trouble of a call with `symptoms` before all.

    `but` leaves out the call that is being looked at. Dropped calls are left out. A fixed number of
    queries.
    """
    with desk.store.read() as session:
        found = call_rows.calls(session, site_ids=[site_id], states=("open", "answered"))
        visits = call_rows.visits_for(session, [call.id for call in found])
    found = [call for call in found if call.id != but]
    if not found:
        return ()
    same = thread_of_new_call(desk, site_id, symptoms, but=but)
    next_on = _next_calls(desk, site_id, but)
    earlier = (
        _earlier(desk, call, visits.get(call.id, ()), next_on.get(call.id), same) for call in found
    )
    return tuple(sorted(earlier, key=lambda e: not e.same))


def _next_calls(desk: Desk, site_id: int, but: int | None) -> dict[int, date]:
    """For each call of a site the day of the next one of its thread; those without one left out."""
    found: dict[int, date] = {}
    for thread in threads_of_site(desk, site_id):
        calls = [call for call in thread.calls if call.call_id != but]
        found |= {one.call_id: later.on for one, later in pairwise(calls)}
    return found


def _earlier(
    desk: Desk,
    call: call_rows.CallRow,
    visits: tuple[call_rows.CallVisit, ...],
    next_on: date | None,
    same: TroubleThread | None,
) -> EarlierCall:
    seen = [v.arrived_at for v in visits if v.arrived_at is not None]
    seen_on = desk.clock.day_of(max(seen)) if seen else None
    is_same = same is not None and same.thread.has(call.id)
    called_on = desk.clock.day_of(call.called_at)
    return EarlierCall(
        call_id=call.id,
        called_on=called_on,
        symptoms=call.symptoms,
        symptom_text=words.symptoms(call.symptoms),
        own_words=call.own_words or "",
        visits=visits,
        did=tuple(_did(desk, called_on, v) for v in visits),
        quiet_days=None if seen_on is None else max(0, ((next_on or desk.today) - seen_on).days),
        still_quiet=next_on is None,
        same=is_same,
        trouble=_trouble(same) if same is not None and is_same else "",
    )


def _did(desk: Desk, called_on: date, visit: call_rows.CallVisit) -> str:
    """As "Oct 16, Lena Hobb: new float, tested"."""
    if visit.arrived_at is None:
        return visit_line(visit)
    on = desk.clock.day_of(visit.arrived_at)
    day = "" if on == called_on else desk.formats.day(on, near=desk.today)
    when = ", ".join(part for part in (day, visit.technician) if part)
    line = visit_line(visit)
    return say("{when}: {what}", when=when, what=line) if when else line


def _trouble(one: TroubleThread) -> str:
    """As "5 calls in 23 months, quiet 59 days since it was reset"."""
    return say("{calls}, {quiet}", calls=one.span, quiet=one.quiet)
