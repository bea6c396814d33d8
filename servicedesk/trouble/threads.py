"""Trouble threads: which calls at one system are about the same trouble, and has it ended?

Calls are taken in order of days. A call belongs to the thread with whose calls it shares causes
(`alike`) while that thread's last fix has not held: the chance that it is real (`quiet`) had not
reached 90 % on the day of the call. A call within two weeks of the thread's last call or visit was
not fixed the first time and belongs to it whatever that chance. Else it begins a thread.

Where a call could belong to two threads, one it returned to so quickly comes first, then the one
with the larger overlap, then one that no person split off, then the latest.

A person's word counts more: joined calls share a thread, split ones do not; of several marks
between a call and a thread the latest counts. A call under an event is no call of a thread, unless
the system still calls for shared causes a day later: then both have left the event.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.alike import SHARED, Alike, alike_of
from servicedesk.trouble.case import Outcome
from servicedesk.trouble.quiet import (
    Kind,
    QuietModel,
    chance_holds,
    kind_of,
    n_returns,
    passes_on,
)
from servicedesk.trouble.returns import RETURN_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What a visit did about a call. `lasting`: meant to last; `visit_id` only names it."""

    on: date
    outcome: Outcome = ""
    cause: str = ""
    lasting: bool = False
    checks: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    visit_id: int = 0

    @property
    def kind(self) -> Kind:
        """The kind of fix it was."""
        return kind_of(self.outcome, self.cause, lasting=self.lasting)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadCall:
    """A call at the system. `symptoms`: the leading one first; `is_waiting`: still to be answered.

    `is_event`: it belongs to a storm, outage or flood.
    """

    call_id: int
    on: date
    symptoms: tuple[str, ...]
    is_event: bool = False
    is_waiting: bool = False
    visits: tuple[Tried, ...] = ()


@dataclass(frozen=True, slots=True)
class Mark:
    """A person's word that two calls are one trouble (`joined`), or are not."""

    call_id: int
    other_id: int
    joined: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Quiet:
    """The quiet after the last call of a thread.

    `since`: the day of the last fix, or of the last call where nobody came; None while a call
    waits, and then there is no fix whose chance to hold (`holds`) could be told. `passes_90_on`:
    the day on which that chance reaches 90 % if it stays quiet; None: not within fifty years.
    `again`: the trouble had come back before this fix. `is_over`: 90 % is reached.
    """

    since: date | None = None
    days: int | None = None
    fix: Kind = "nobody"
    again: bool = False
    holds: float | None = None
    passes_90_on: date | None = None
    is_over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """Calls about one trouble, oldest first. `lead`: the symptom reported most, "" if none was.

    `is_joined`, `is_split`: a person's word made it what it is.
    """

    calls: tuple[ThreadCall, ...]
    lead: str
    quiet: Quiet
    is_joined: bool = False
    is_split: bool = False

    @property
    def is_open(self) -> bool:
        """Has it not ended yet?"""
        return not self.quiet.is_over

    @property
    def n(self) -> int:
        """How many calls."""
        return len(self.calls)

    @property
    def started_on(self) -> date:
        """The day of the first call."""
        return self.calls[0].on

    @property
    def last_on(self) -> date:
        """The day of the last call."""
        return self.calls[-1].on

    @property
    def tried(self) -> tuple[Tried, ...]:
        """What the visits did, in order of days."""
        return tuple(sorted((v for c in self.calls for v in c.visits), key=lambda v: v.on))

    def has(self, call_id: int) -> bool:
        """Is this call one of its calls?"""
        return any(call.call_id == call_id for call in self.calls)


@dataclass(eq=False, slots=True)
class _Forming:
    """A thread as far as it is known."""

    calls: list[ThreadCall] = field(default_factory=list)
    by_hand: set[bool] = field(default_factory=set)  # True: joined, False: split

    def touched_on(self, until: date) -> date:
        """The last call, or visit up to a day."""
        seen = [v.on for c in self.calls for v in c.visits if v.on <= until]
        return max([c.on for c in self.calls] + seen)


def threads(
    calls: Iterable[ThreadCall],
    marks: Sequence[Mark],
    knowledge: Knowledge,
    *,
    on: date,
    model: QuietModel | None = None,
) -> tuple[Thread, ...]:
    """Threads of one system as they stand on day `on`, in the order in which they began.

    Calls and visits after `on` are not looked at, nor are marks between calls that are not given.
    `model`: what is believed of fixes, else the assumed one.
    """
    believed = model or QuietModel()
    alike = alike_of(knowledge)
    forming: list[_Forming] = []
    for call in counted(calls, alike, on):
        _place(call, forming, marks, alike, believed)
    found = (_thread(one, on, believed) for one in forming)
    return tuple(sorted(found, key=lambda t: (t.started_on, t.calls[0].call_id)))


def counted(calls: Iterable[ThreadCall], alike: Alike, on: date) -> list[ThreadCall]:
    """Calls up to `on` that make threads, in order; those of an event only if they left it."""
    known = sorted((c for c in calls if c.on <= on), key=lambda c: (c.on, c.call_id))
    left: set[int] = set()
    for n, call in enumerate(known):
        for later in known[n + 1 :]:
            days = (later.on - call.on).days
            if call.is_event and 1 <= days <= RETURN_DAYS and _shares(alike, call, later):
                left |= {call.call_id, later.call_id}
    return [c for c in known if not c.is_event or c.call_id in left]


def _shares(alike: Alike, one: ThreadCall, other: ThreadCall) -> bool:
    return alike.overlap(one.symptoms, other.symptoms) >= SHARED


def _place(
    call: ThreadCall,
    forming: list[_Forming],
    marks: Sequence[Mark],
    alike: Alike,
    model: QuietModel,
) -> None:
    """Put a call into the thread it belongs to, or begin one with it."""
    wishes = [_wish([call], one.calls, marks) for one in forming]
    pairs = list(zip(forming, wishes, strict=True))
    home = _natural(call, [one for one, wish in pairs if wish is not False], alike, model)
    for other in [one for one, wish in pairs if wish]:
        if home is None:
            home = other
        elif other is not home:
            if _wish(home.calls, other.calls, marks) is False:
                home = other
            else:
                home.calls = sorted(home.calls + other.calls, key=lambda c: (c.on, c.call_id))
                home.by_hand |= other.by_hand
                forming.remove(other)
        home.by_hand.add(True)
    if home is None:
        home = _Forming()
        forming.append(home)
    if any(wish is False for wish in wishes):
        home.by_hand.add(False)
    home.calls.append(call)


def _wish(
    some: Sequence[ThreadCall], others: Sequence[ThreadCall], marks: Sequence[Mark]
) -> bool | None:
    """The latest word of a person about calls of two threads; None: nobody said anything."""
    ours, theirs = {c.call_id for c in some}, {c.call_id for c in others}
    said = None
    for mark in marks:
        pair = (mark.call_id, mark.other_id)
        if (pair[0] in ours and pair[1] in theirs) or (pair[1] in ours and pair[0] in theirs):
            said = mark.joined
    return said


def _natural(
    call: ThreadCall, forming: Iterable[_Forming], alike: Alike, model: QuietModel
) -> _Forming | None:
    """The thread a call belongs to if nobody says otherwise."""
    best: tuple[tuple[object, ...], _Forming] | None = None
    for one in forming:
        shared = alike.overlap_with_mean(call.symptoms, [c.symptoms for c in one.calls])
        if shared < SHARED:
            continue
        touched = one.touched_on(call.on)
        returned = (call.on - touched).days <= RETURN_DAYS
        if not returned and _quiet(one.calls, call.on, model).is_over:
            continue
        rank = (returned, round(shared, 6), False not in one.by_hand, touched)
        if best is None or rank > best[0]:
            best = (rank, one)
    return best[1] if best else None


def _quiet(calls: Sequence[ThreadCall], on: date, model: QuietModel) -> Quiet:
    """The quiet after the last of `calls` (in order), as known on day `on`."""
    last, again = calls[-1].on, len(calls) > 1
    tried = [v for c in calls for v in c.visits if last <= v.on <= on and v.kind != "nobody"]
    fix = max(tried, key=lambda v: v.on) if tried else None
    if fix is None and calls[-1].is_waiting:
        return Quiet(again=again)
    since = fix.on if fix is not None else last
    kind: Kind = fix.kind if fix is not None else "nobody"
    before = model.before_quiet(kind, again=again)
    rate = model.rate_after(n_returns(c.on for c in calls), (last - calls[0].on).days)
    passes = passes_on(since, before, rate)
    days = (on - since).days
    return Quiet(
        since=since,
        days=days,
        fix=kind,
        again=again,
        holds=chance_holds(before, rate, days),
        passes_90_on=passes,
        is_over=passes is not None and on >= passes,
    )


def _thread(one: _Forming, on: date, model: QuietModel) -> Thread:
    return Thread(
        calls=tuple(one.calls),
        lead=_lead(one.calls),
        quiet=_quiet(one.calls, on, model),
        is_joined=True in one.by_hand,
        is_split=False in one.by_hand,
    )


def _lead(calls: Iterable[ThreadCall]) -> str:
    """The leading symptom named most often, of several the latest."""
    counts: dict[str, int] = {}
    for call in reversed(list(calls)):  # the latest is counted first and wins ties
        if call.symptoms:
            counts[call.symptoms[0]] = counts.get(call.symptoms[0], 0) + 1
    return max(counts, key=lambda symptom: counts[symptom], default="")
