"""What keeps failing, and is it chance? The whole page at once, and the one action on it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from servicedesk.desk.apart import apart
from servicedesk.desk.cached import cached
from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_detail import mean_calls_of, pattern_of, watched_systems
from servicedesk.desk.pattern_exposed import Exposed, exposed_of
from servicedesk.desk.pattern_factors import Compared, Members, factors_of
from servicedesk.desk.pattern_facts import FleetFacts, fleet_facts
from servicedesk.desk.pattern_lives import life_curves
from servicedesk.desk.pattern_money import Assumptions, Costs, assumptions_of, costs_of
from servicedesk.desk.pattern_page import FactorRows, GroupRow, Pattern, PatternPage
from servicedesk.desk.pattern_tried import Key, Tried, tried_at
from servicedesk.records import pattern_rows
from servicedesk.records.owed import Owed
from servicedesk.records.sites import Site
from servicedesk.records.store import Changed
from servicedesk.trouble.patterns import Judged, screen
from servicedesk.trouble.rates import Range
from servicedesk.trouble.recurrent import Watched
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.pattern_words import factor_title, measure_text, owed_change_text

__all__ = ["FactorRows", "GroupRow", "Pattern", "PatternPage", "owe_pattern", "patterns"]

N_STEPS = 5


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """The page, and what else was tried at the systems of each pattern."""

    page: PatternPage
    tried: Mapping[Key, Tried]


def patterns(desk: Desk, progress: Progress = quiet) -> PatternPage:
    """Which models, ages, practices and installers stand out, with what doing something saves.

    Kept until something in the store changes. Raises Stopped where `progress` does.
    """
    return worked_out(desk, progress).page


def worked_out(desk: Desk, progress: Progress = quiet) -> WorkedOut:
    """As `patterns`, with what was tried in vain: both follow from the same reading."""
    key = ("patterns", desk.today, desk.company.currency)
    return cached(desk, key, lambda: apart(desk, _worked_out, progress=progress))


def _worked_out(desk: Desk, *, progress: Progress) -> WorkedOut:
    progress(0, N_STEPS, say("Reading units and calls"))
    facts = fleet_facts(desk)
    progress(1, N_STEPS, say("Comparing groups"))
    compared = factors_of(facts)
    judged = screen([one.factor for one in compared])
    progress(2, N_STEPS, say("Following lives of units"))
    assumed = assumptions_of(desk, facts)
    costs = costs_of(facts, assumed)
    curves = life_curves(facts, compared, costs)
    progress(3, N_STEPS, say("Looking at what stands out"))
    factors = tuple(_factor_rows(one, judged) for one in compared)
    watched = watched_systems(facts)
    found: list[Pattern] = []
    for one, rows in zip(compared, factors, strict=True):
        progress(3, N_STEPS, say("Looking at what stands out: {title}", title=rows.title))
        found.extend(_patterns(facts, watched, one, rows, judged, costs=costs, assumed=assumed))
    progress(4, N_STEPS, say("Counting calls over the years"))
    systems = facts.systems.values()
    page = PatternPage(
        today=facts.today,
        begins_on=facts.begins_on,
        n_systems=sum(system.is_there for system in systems),
        system_years=sum(system.years for system in systems),
        n_compared=len(judged),
        factors=factors,
        patterns=tuple(sorted(found, key=_rank)),
        curves=curves,
        mean_calls=mean_calls_of(list(watched.values())),
        assumed=assumed,
    )
    tried = {one.key: tried_at(facts, one) for one in page.patterns}
    progress(N_STEPS, N_STEPS)
    return WorkedOut(page, tried)


def _factor_rows(one: Compared, judged: Mapping[tuple[str, str], Judged]) -> FactorRows:
    factor = one.factor
    return FactorRows(
        id=one.id,
        kind=one.kind,
        component=one.component,
        title=factor_title(one.kind, one.component),
        measure=one.measure,
        measure_text=measure_text(one.measure),
        reference=100 * factor.events / factor.years,
        spread=one.spread.divisor,
        rows=tuple(_row(group, judged.get((one.id, group.id))) for group in one.groups),
    )


def _row(group: Members, judged: Judged | None) -> GroupRow:
    return GroupRow(
        id=group.id,
        label=group.label,
        n_now=group.n_now,
        events=group.events,
        years=group.years,
        best=_per_100(judged.rate) if judged else None,
        raw=_per_100(judged.raw) if judged else None,
        times=judged.times if judged else None,
        q=judged.q if judged else None,
        flag=judged.flag if judged else "too few",
        reasons=judged.reasons if judged else (),
    )


def _per_100(rate: Range) -> Range:
    return Range(100 * rate.best, 100 * rate.low, 100 * rate.high)


def _patterns(
    facts: FleetFacts,
    watched: Mapping[int, Watched],
    one: Compared,
    rows: FactorRows,
    judged: Mapping[tuple[str, str], Judged],
    *,
    costs: Mapping[str, Costs],
    assumed: Assumptions,
) -> list[Pattern]:
    """The groups of one factor that stand out."""
    found = []
    for group, row in zip(one.groups, rows.rows, strict=True):
        if row.flag in {"clearly above", "maybe"}:
            cost = costs.get(one.component or group.id)
            said = judged[one.id, group.id]
            exposed = exposed_of(facts, one, group, said, cost=cost, assumed=assumed)
            found.append(
                pattern_of(
                    watched,
                    one,
                    group,
                    row,
                    exposed=exposed,
                    cost=cost,
                    years=assumed.years,
                    known=facts.known,
                )
            )
    return found


def _rank(pattern: Pattern) -> tuple[bool, float]:
    """Clearly above first, each by the lower limit of its rate against the fleet's."""
    row = pattern.row
    low = row.best.low / pattern.reference if row.best else 0.0
    return row.flag != "clearly above", -low


def owe_pattern(desk: Desk, pattern: Pattern, system_ids: Iterable[int]) -> Changed:
    """Owe the pattern's work at the chosen systems, all in one change that can be taken back.

    Systems that owe it already are left as they are. Raises Trouble for none left, or one that is
    not exposed to the pattern.
    """
    chosen = set(system_ids)
    exposed: dict[int, list[Exposed]] = {}
    for one in pattern.exposed:
        exposed.setdefault(one.system_id, []).append(one)
    if not chosen <= exposed.keys():
        raise Trouble(
            say("Some of these systems no longer show the pattern."),
            do=say("Open the patterns again and choose anew."),
        )
    with desk.store.read() as session:
        already = pattern_rows.systems_owing(session, pattern.what)
    wanted = [one for key in exposed if key in chosen - already for one in exposed[key]]
    if not wanted:
        raise Trouble(
            say("No system is chosen that does not owe this already."),
            do=say("Choose at least one of the systems listed."),
        )
    n_systems = len({one.system_id for one in wanted})
    with desk.store.change(desk.who, owed_change_text(pattern.what, n_systems)) as work:
        for one in wanted:
            work.get(Site, one.site_id)
            work.add(
                Owed(
                    site_id=one.site_id,
                    system_id=one.system_id,
                    unit_id=one.unit_id,
                    since_on=desk.today,
                    what=pattern.what,
                    needs=say("Pattern: {title}", title=pattern.title),
                    minutes=pattern.minutes or None,
                )
            )
    return work.changed
