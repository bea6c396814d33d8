"""Three lines at a stop whose trouble came back: what, what was never tested, what to bring."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.put_check import LEAST_CHANCE, MOST_PARTS
from servicedesk.desk.thread_facts import facts_of
from servicedesk.desk.threads import TroubleThread, threads_of_site
from servicedesk.desk.trouble_view import TroubleView, trouble_view
from servicedesk.records import planning_rows as rows
from servicedesk.words import say, say_n
from servicedesk.words.alert_reasons import outcome_text
from servicedesk.words.threads import length_text


@dataclass(frozen=True, slots=True, kw_only=True)
class StopDigest:
    """What a technician must know of a trouble before getting out of the truck.

    `came_back`: what and how often, what the last visits came to. `first`: what was never tested
    and goes first, how; "" where everything was. `cautions`: of that check, uncut.
    """

    came_back: str
    first: str
    bring: tuple[str, ...]
    cautions: tuple[str, ...]


def digests(desk: Desk, visits: Iterable[rows.VisitRow]) -> Mapping[int, StopDigest]:
    """By visit: those that go to a site with a trouble that came back and has not ended.

    A callback about another trouble there gets that of its own thread, or none.
    """
    some = list(visits)
    facts = facts_of(desk, {visit.site_id for visit in some}, details=False)
    called = {site_id for (site_id, _), calls in facts.calls.items() if len(calls) > 1}
    found: dict[int, StopDigest] = {}
    for visit in some:
        if visit.site_id in called:
            thread = _thread_of(desk, visit)
            digest = _digest(desk, thread) if thread is not None else None
            if digest is not None:
                found[visit.id] = digest
    return found


def _thread_of(desk: Desk, visit: rows.VisitRow) -> TroubleThread | None:
    threads = [t for t in threads_of_site(desk, visit.site_id) if t.thread.n > 1]
    calls = {job.call_id for job in visit.jobs if job.call_id is not None}
    if calls:
        return next((t for t in threads if any(t.thread.has(c) for c in calls)), None)
    systems = {job.system_id for job in visit.jobs} - {None}
    return next(
        (
            t
            for t in threads
            if t.thread.is_open and (t.system_id in systems or not systems or t.system_id is None)
        ),
        None,
    )


def _digest(desk: Desk, thread: TroubleThread) -> StopDigest | None:
    view = trouble_view(desk, thread)
    first = view.owed_checks[0] if view is not None and view.owed_checks else None
    return StopDigest(
        came_back=came_back_text(thread),
        first=_first_text(desk, view) if view is not None else "",
        bring=_bring(view) if view is not None else (),
        cautions=first.cautions if first is not None else (),
    )


def came_back_text(thread: TroubleThread) -> str:
    """As "It came back: high-water alarm, 4th call in 14 months. Tried: fixed, reset only"."""
    days = (thread.thread.last_on - thread.thread.started_on).days
    told = say_n(
        "It came back: {what}, {n} call in {span}",
        "It came back: {what}, {n} calls in {span}",
        thread.thread.n,
        what=thread.name.lower(),
        span=length_text(days),
    )
    tried = [outcome_text(one.outcome) for one in thread.thread.tried]
    words = ", ".join(_counted(one for one in tried if one))
    return say("{what}. Tried: {tried}", what=told, tried=words) if words else told


def _counted(words: Iterable[str]) -> list[str]:
    """As ["no fault found 2 times", "patched"]."""
    times: dict[str, int] = {}
    for one in words:
        times[one] = times.get(one, 0) + 1
    return [one if n == 1 else say("{what} {n} times", n=n, what=one) for one, n in times.items()]


def _first_text(desk: Desk, view: TroubleView) -> str:
    if not view.owed_checks:
        return ""
    check = view.owed_checks[0]
    minutes = desk.formats.minutes(max(1, round(check.minutes)))
    first = say("First: {check}, about {minutes}. {how}", check=check.name, minutes=minutes,
                how=check.how)  # fmt: skip
    if not view.untested:
        return first.strip()
    return say("Never tested here: {part}. {first}", part=view.untested[0], first=first).strip()


def _bring(view: TroubleView) -> tuple[str, ...]:
    likely = [part for part in view.to_bring if part.chance >= LEAST_CHANCE]
    return tuple(part.name for part in likely[:MOST_PARTS])
