"""One group that stands out: at equal age, over the years, and what could be done about it."""

import math
from collections.abc import Iterable, Mapping, Sequence

from servicedesk.desk.pattern_exposed import Exposed
from servicedesk.desk.pattern_factors import Compared, Members
from servicedesk.desk.pattern_facts import FleetFacts
from servicedesk.desk.pattern_lives import lives_of
from servicedesk.desk.pattern_money import Costs
from servicedesk.desk.pattern_page import GroupRow, Pattern
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.exposure import AGE_EDGES, UnitWatched, by_age, years_between
from servicedesk.trouble.patterns import Stratified, Stratum, stratified
from servicedesk.trouble.recurrent import FEWEST_UNITS, Mean, Watched, mean_cumulative
from servicedesk.trouble.replacement import LEAST_SAVING
from servicedesk.trouble.survival import LogRank, log_rank
from servicedesk.trouble.trend import History, laplace
from servicedesk.values.reason import Reason
from servicedesk.words.pattern_words import capital, component_text, factor_title, remedy_text

MOST_POINTS = 60  # of a mean cumulative curve


def pattern_of(
    watched: Mapping[int, Watched],
    one: Compared,
    group: Members,
    row: GroupRow,
    *,
    exposed: tuple[Exposed, ...],
    cost: Costs | None,
    years: float,
    known: Knowledge,
) -> Pattern:
    """Everything about one group that stands out.

    `watched`: all systems by key; `years`: those that savings are counted over.
    """
    component = one.component or (group.id if one.kind == "feed" else "")
    within = _at_equal_age(one, group)
    called = [e for e in exposed if e.n_calls >= 2]
    worth = _worth(exposed, cost)
    here, elsewhere = _apart(watched, group)
    return Pattern(
        factor_id=one.id,
        group_id=group.id,
        kind=one.kind,
        component=component,
        title=_title(one, group),
        what=remedy_text(one.kind, component, group.label),
        reference=100 * one.factor.events / one.factor.years,
        row=row,
        at_equal_age=within,
        lasting=_lasting(one, group),
        reasons=_reasons(one, row, within),
        n_called_twice=len(called),
        n_never_looked=sum(e.never_looked for e in called),
        trend=laplace([History(tuple(age for age, _ in one.events), one.end) for one in here]),
        mean_calls=mean_calls_of(here),
        mean_calls_others=mean_calls_of(elsewhere),
        exposed=exposed,
        n_worth=len(worth),
        saving_minor=sum(e.saving_minor or 0 for e in worth) if _has_money(exposed) else None,
        pays_back=_pays_back(worth, one, cost, years) if cost else None,
        do_minor=cost.do_minor if cost else None,
        call_minor=cost.call_minor if cost else None,
        minutes=cost.minutes if cost else 0,
        cautions=_cautions(component, known),
    )


def _worth(exposed: Sequence[Exposed], cost: Costs | None) -> list[Exposed]:
    """Where the saving is more than noise: above 5 % of what the work costs."""
    least = LEAST_SAVING * cost.do_minor if cost and cost.do_minor else 0
    return [one for one in exposed if (one.saving_minor or 0) > least]


def _lasting(one: Compared, group: Members) -> LogRank | None:
    """Do units of the group last as long as the others? None where units are not grouped."""
    if one.kind not in {"model", "practice", "place"}:
        return None
    others = [unit for g in one.groups if g.id != group.id for unit in g.units]
    mine, theirs = lives_of(group.units), lives_of(others)
    return log_rank(mine, theirs) if mine and theirs else None


def _title(one: Compared, group: Members) -> str:
    """What the group is, also where it stands alone: "Air pump: M-40", "Installer: ..."."""
    if one.kind in {"model", "age", "practice", "place"}:
        return f"{capital(component_text(one.component))}: {group.label}"
    return f"{factor_title(one.kind, one.component)}: {group.label}"


def _has_money(exposed: Sequence[Exposed]) -> bool:
    return any(one.saving_minor is not None for one in exposed)


def _pays_back(worth: Sequence[Exposed], one: Compared, cost: Costs, years: float) -> float | None:
    """Years until calls avoided have paid for the work, which the savings themselves say.

    Saved over `years` is what the calls avoided would have cost less the work, and they fall
    evenly: cost / (cost + saved) of that time. A model's saving is one over the life to come and
    has no such time.
    """
    spent = len(worth) * (cost.do_minor or 0)
    saved = sum(e.saving_minor or 0 for e in worth)
    if one.kind == "model" or not spent:
        return None
    return years * spent / (spent + saved)


def _at_equal_age(one: Compared, group: Members) -> Stratified | None:
    """The group's failures against those of the others, age band by age band."""
    if one.kind == "age" or one.measure != "failures":
        return None
    mine = _in_bands(group.units)
    theirs = _in_bands([u for g in one.groups if g.id != group.id for u in g.units])
    return stratified([Stratum(n, t, m, s) for (n, t), (m, s) in zip(mine, theirs, strict=True)])


def _in_bands(units: Iterable[UnitWatched]) -> list[tuple[int, float]]:
    bands = [(0, 0.0)] * len(AGE_EDGES)
    for unit in units:
        for i, band in enumerate(by_age(unit) or ()):
            bands[i] = (bands[i][0] + band.events, bands[i][1] + band.years)
    return bands


def _age_reason(within: Stratified | None) -> tuple[Reason, ...]:
    if within is None:
        return ()
    code = "same_at_equal_age" if within.times.low > 1 else "goes_with_age"
    times = within.times
    return (Reason.of(code, times=times.best, low=times.low, high=times.high),)


def _reasons(one: Compared, row: GroupRow, within: Stratified | None) -> tuple[Reason, ...]:
    found = [*row.reasons, *_age_reason(within)]
    if one.kind in {"practice", "place"}:
        found.append(Reason.of("unknown_calls_counted"))
    return (*found, Reason.of("association"))


def watched_systems(facts: FleetFacts) -> dict[int, Watched]:
    """Counted callbacks of each system by years since it is watched, by key."""
    return {
        s.id: Watched.of([years_between(s.from_on, call.on) for call in s.calls.counted], s.years)
        for s in facts.systems.values()
        if s.years > 0
    }


def _apart(watched: Mapping[int, Watched], group: Members) -> tuple[list[Watched], list[Watched]]:
    """Systems that ever had a unit of the group (or are in it), and all others."""
    ids = {unit.system_id for unit in group.units} | {system.id for system in group.systems}
    here = [one for key, one in watched.items() if key in ids]
    return here, [one for key, one in watched.items() if key not in ids]


def mean_calls_of(watched: Sequence[Watched]) -> tuple[Mean, ...]:
    """Mean callbacks of a system by years since it is watched, thinned to points to draw."""
    if len(watched) < FEWEST_UNITS:
        return ()
    points = mean_cumulative(watched)
    step = max(1, math.ceil(len(points) / MOST_POINTS))
    return tuple(points[i] for i in range(len(points)) if (len(points) - 1 - i) % step == 0)


def _cautions(component: str, known: Knowledge) -> tuple[str, ...]:
    """Every caution that goes with a cause at the component, uncut; of all where it is a system."""
    causes = known.causes.values()
    ids = {c for cause in causes if component in {"", cause.component} for c in cause.cautions}
    return caution_texts(ids | {"licensed-work"})
