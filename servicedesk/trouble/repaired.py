"""A cause was proved and mended: how far does that answer the calls that came before?

A repair made for a call answers the calls for the same symptom: there the trouble and the fault
were met together. Calls for another symptom it answers with the chance that both are one trouble,
which is the overlap of what may lie behind the two (`trouble.alike`). What was found where nobody
had called (at an inspection) may have nothing to do with the calls before it. The odds that the
place has turned bad are a mixture over the causes that may be behind; mending one takes its part
away and leaves the rest, so they are multiplied by one less the chance that this cause was behind.
As that chance the cause's share of the symptom before any finding is taken: judgment, no source. It
is on the low side where a fault that comes and goes is found by luck, on the high side where a
steady one is found weeks after the last call, for it would have called on.
"""

from collections.abc import Iterable

from servicedesk.trouble.alike import Alike

MORE_LIKELY_THAN_NOT = 0.5


def settles(cause: str, symptom: str, answered: Iterable[tuple[str, ...]], alike: Alike) -> float:
    """The chance, 0..1, that mending `cause` answers the calls for `symptom` before it.

    `answered`: the symptoms of each call that the repair was made for, none at an inspection. 0
    where the cause is never behind the symptom.
    """
    share = alike.chances((symptom,)).get(cause, 0.0)
    if share <= 0:
        return 0.0
    told = {one for call in answered for one in call}
    return max([share, *(alike.overlap((symptom,), (one,)) for one in told)])
