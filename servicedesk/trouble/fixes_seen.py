"""From the calls of a system to its fixes and what followed each, for `quiet_learned`."""

from collections.abc import Iterable, Iterator
from datetime import date

from servicedesk.trouble.alike import SHARED, Alike
from servicedesk.trouble.quiet import n_returns
from servicedesk.trouble.quiet_learned import FixSeen
from servicedesk.trouble.threads import ThreadCall, Tried, counted

# a call of shared causes this long before makes a fix one of a trouble that had come back
_BEFORE_DAYS = 730


def fixes_seen(calls: Iterable[ThreadCall], alike: Alike, on: date) -> Iterator[FixSeen]:
    """Every fix at one system up to a day: the last visit before the next call of shared causes.

    Threads are not asked, so that what is believed of fixes does not rest on itself: calls follow
    one another here wherever they share causes, within two years.
    """
    known = counted(calls, alike, on)
    runs: list[list[ThreadCall]] = []  # for each call, the calls of its trouble up to it
    for n, call in enumerate(known):
        before = next((m for m in reversed(range(n)) if _follows(alike, known[m], call)), None)
        near = before is not None and (call.on - known[before].on).days <= _BEFORE_DAYS
        runs.append([*runs[before], call] if near and before is not None else [call])
        later = next((c for c in known[n + 1 :] if _follows(alike, call, c)), None)
        until = later.on if later is not None else on
        fix = _fix(call, until)
        if fix is not None:
            run = runs[-1]
            yield FixSeen(
                kind=fix.kind,
                again=len(run) > 1,
                n_returns=n_returns(c.on for c in run),
                bad_days=(call.on - run[0].on).days,
                days=(until - fix.on).days,
                called=later is not None,
            )


def _follows(alike: Alike, one: ThreadCall, later: ThreadCall) -> bool:
    return alike.overlap(one.symptoms, later.symptoms) >= SHARED


def _fix(call: ThreadCall, until: date) -> Tried | None:
    """The last visit for a call that did anything, up to a day."""
    tried = [v for v in call.visits if call.on <= v.on <= until and v.kind != "nobody"]
    return max(tried, key=lambda v: v.on, default=None)
