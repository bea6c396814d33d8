"""What each contract took in work, road, parts and callbacks, gathered from the store."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.renewal_road import RoadShares
from servicedesk.records import renewal_rows as rows
from servicedesk.renewals.cost import CALLBACK, INSPECTION, OTHER, Seen, Usual, VisitSeen, usual
from servicedesk.trouble.shrinkage import Gamma, ratio_spread
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say

YEARS_WATCHED = 3  # for callbacks and parts; older says little of what hangs there now
YEAR_DAYS = 365


@dataclass(frozen=True, slots=True)
class Gap:
    """What was not written where it would have counted, of one contract."""

    visits_without_minutes: int = 0
    visits_without_road: int = 0
    parts_without_cost: int = 0


@dataclass(frozen=True, slots=True)
class Facts:
    """Contracts that end with what they took. `calls` is the fleet's rate of callbacks a year.

    `year_from` is the first day of the twelve months that count as this year. `systems` and
    `sites` are those of each ending contract; `renewed` and `lost` count contracts that ended.
    """

    ending: tuple[rows.EndingRow, ...]
    systems: Mapping[int, tuple[int, ...]]
    sites: Mapping[int, tuple[int, ...]]
    seen: Mapping[int, Seen]
    gaps: Mapping[int, Gap]
    usual: Usual
    calls: Gamma | None
    places: Mapping[int, rows.PlaceRow]
    followers: Mapping[int, rows.FollowerRow]
    open_calls: Mapping[int, int]
    year_from: date
    watched_from: date
    renewed: int
    lost: int


@dataclass(frozen=True, slots=True)
class DoneWork:
    """Visits of the years watched, what they took, and the road of the last year's by visit.

    The slow part of it: a decision about a contract changes nothing of it.
    """

    today: date
    visits: tuple[rows.DoneVisitRow, ...]
    jobs: tuple[rows.JobRow, ...]
    parts: tuple[rows.PartUsedRow, ...]
    road: Mapping[int, float]

    @property
    def year_from(self) -> date:
        """The first day of the twelve months that count as this year: with today a whole one."""
        return self.today - timedelta(days=YEAR_DAYS - 1)

    @property
    def watched_from(self) -> date:
        """The first day that is looked at."""
        return self.today - timedelta(days=YEARS_WATCHED * YEAR_DAYS)


def done_work(desk: Desk, progress: Progress = quiet) -> DoneWork:
    """What was done, read once for any number of questions about contracts. Raises Stopped."""
    bare = DoneWork(desk.today, (), (), (), {})
    since = desk.clock.instant(bare.watched_from, 0)
    progress(1, 5, say("Reading visits"))
    with desk.store.read() as session:
        places = rows.places(session)
        visits = rows.done_visits(session, since)
        jobs = rows.jobs(session, since)
        parts = rows.parts_used(session, since)
        bases = rows.bases(session)
        leads = {key: lead for key, (lead, _) in rows.rounds(session, bare.watched_from).items()}
    progress(2, 5, say("Sharing the road"))
    shared = RoadShares(desk, places, bases, leads)
    road = shared.of((v for v in visits if v.on >= bare.year_from), _inner(progress))
    return DoneWork(desk.today, tuple(visits), tuple(jobs), tuple(parts), road)


def gather(
    desk: Desk,
    from_on: date,
    until_on: date,
    progress: Progress = quiet,
    *,
    work: DoneWork | None = None,
) -> Facts:
    """Everything renewals need of contracts that end in the span. Raises Stopped."""
    work = work or done_work(desk, progress)
    with desk.store.read() as session:
        ending = rows.ending(session, from_on, until_on)
    return _facts(desk, ending, work, progress)


def gather_running(desk: Desk, work: DoneWork, progress: Progress = quiet) -> Facts:
    """The same of every contract that runs today."""
    with desk.store.read() as session:
        ending = rows.running_on(session, desk.today)
    return _facts(desk, ending, work, progress)


def _facts(
    desk: Desk, ending: Sequence[rows.EndingRow], work: DoneWork, progress: Progress
) -> Facts:
    progress(3, 5, say("Reading contracts"))
    with desk.store.read() as session:
        covers = rows.covers(session, work.watched_from)
        places = rows.places(session)
        followers = rows.followers(session)
        open_calls = rows.open_calls(session)
    progress(3, 5, say("Counting callbacks"))
    groups = _Groups(ending, covers)
    taken = _Taken(groups, work.visits, work.jobs, work.parts, work.road, work.year_from)
    years = groups.years(work.watched_from, work.today)
    every = {
        key: Seen(tuple(taken.visits.get(key, ())), years[key], groups.visits_a_year.get(key, 0))
        for key in years
    }
    renewed, lost = _outcomes(covers, work.today)
    ids = {row.id for row in ending}
    return Facts(
        ending=tuple(ending),
        systems={key: groups.systems.get(key, ()) for key in ids},
        sites={key: groups.sites.get(key, ()) for key in ids},
        seen={key: every.get(key, Seen((), 0.0, groups.visits_a_year[key])) for key in ids},
        gaps={key: taken.gap(key) for key in ids},
        usual=usual(list(every.values())),
        calls=_fleet_calls(list(every.values())),
        places=places,
        followers=followers,
        open_calls=open_calls,
        year_from=work.year_from,
        watched_from=work.watched_from,
        renewed=renewed,
        lost=lost,
    )


def _inner(progress: Progress) -> Progress:
    """A step's own progress only asks whether to stop."""

    def tell(done: int, total: int, note: str = "") -> None:  # noqa: ARG001
        progress(2, 5, say("Sharing the road"))

    return tell


class _Groups:
    """Systems by the contract that ends; others by their latest contract.

    Keys of ending contracts are their ids; of others the least of their systems, below zero. What
    the fleet says so does not depend on the span that is asked for.
    """

    def __init__(self, ending: Sequence[rows.EndingRow], covers: Sequence[rows.CoverRow]) -> None:
        order = {row.id: number for number, row in enumerate(ending)}
        self.visits_a_year = {row.id: row.visits_a_year for row in ending}
        self.covers = covers
        self.key_of: dict[int, int] = {}
        contract_systems: dict[int, list[int]] = defaultdict(list)
        for cover in covers:
            contract_systems[cover.contract_id].append(cover.system_id)
        for cover in covers:  # by date: the latest one stays
            before = self.key_of.get(cover.system_id)
            if cover.contract_id in order:
                self.key_of[cover.system_id] = cover.contract_id
            elif before is None or before < 0:
                self.key_of[cover.system_id] = -min(contract_systems[cover.contract_id])
        self.systems = {key: tuple(contract_systems.get(key, ())) for key in order}
        site_of = {cover.system_id: cover.site_id for cover in covers}
        self.sites = {
            key: tuple(dict.fromkeys(site_of[s] for s in systems))
            for key, systems in self.systems.items()
        }
        self._by_contract = {c: self.key_of[s[0]] for c, s in contract_systems.items()}
        self._by_site: dict[int, int] = {}
        for cover in covers:
            self._by_site.setdefault(cover.site_id, self.key_of[cover.system_id])

    def of(self, job: rows.JobRow, site_id: int) -> int | None:
        """Whose job it was: by its system, else its contract, else the site."""
        if job.system_id is not None and job.system_id in self.key_of:
            return self.key_of[job.system_id]
        if job.contract_id is not None and job.contract_id in self._by_contract:
            return self._by_contract[job.contract_id]
        return self._by_site.get(site_id)

    def years(self, since: date, today: date) -> dict[int, float]:
        """Years under contract from `since` to `today` (both included), each day once."""
        spans: dict[int, list[tuple[date, date]]] = defaultdict(list)
        end = today + timedelta(days=1)
        for cover in self.covers:
            begin, over = max(cover.from_on, since), min(cover.until_on, end)
            if begin < over:
                spans[self.key_of[cover.system_id]].append((begin, over))
        return {key: _days(some) / 365.25 for key, some in spans.items()}


def _days(spans: Iterable[tuple[date, date]]) -> int:
    days, reached = 0, date.min
    for begin, over in sorted(spans):
        days += max(0, (over - max(begin, reached)).days)
        reached = max(reached, over)
    return days


class _Taken:
    """Visits by group: one for each kind of work a visit did for it, the road split evenly."""

    def __init__(
        self,
        groups: _Groups,
        visits: Iterable[rows.DoneVisitRow],
        jobs: Iterable[rows.JobRow],
        parts: Iterable[rows.PartUsedRow],
        road: Mapping[int, float],
        year_from: date,
    ) -> None:
        self.visits: dict[int, list[VisitSeen]] = defaultdict(list)
        self._no_minutes: dict[int, int] = defaultdict(int)
        self._no_road: dict[int, int] = defaultdict(int)
        self._no_cost: dict[int, int] = defaultdict(int)
        by_visit, by_job = defaultdict(list), defaultdict(list)
        for job in jobs:
            by_visit[job.visit_id].append(job)
        for part in parts:
            by_job[part.visit_id].append(part)
        for visit in visits:
            self._add(groups, visit, by_visit[visit.id], by_job[visit.id], road, year_from)

    def _add(
        self,
        groups: _Groups,
        visit: rows.DoneVisitRow,
        jobs: Sequence[rows.JobRow],
        parts: Sequence[rows.PartUsedRow],
        road: Mapping[int, float],
        year_from: date,
    ) -> None:
        whose: dict[tuple[int, str], list[rows.JobRow]] = defaultdict(list)
        for job in jobs:
            key = groups.of(job, visit.site_id)
            if key is not None and not job.is_billed:
                whose[key, _kind(job)].append(job)
        recent = visit.on >= year_from
        costs = self._parts(parts, whose, recent=recent)
        way = road.get(visit.id)
        for (key, kind), some in whose.items():
            minutes = [job.minutes for job in some if job.minutes is not None]
            self.visits[key].append(
                VisitSeen(
                    kind,
                    float(sum(minutes)) if minutes else None,
                    None if way is None else way / len(whose),
                    costs.get((key, kind), 0),
                    recent,
                    any(job.is_event for job in some),
                )
            )
            self._no_minutes[key] += recent and not minutes
            self._no_road[key] += recent and way is None

    def _parts(
        self,
        parts: Sequence[rows.PartUsedRow],
        whose: Mapping[tuple[int, str], Sequence[rows.JobRow]],
        *,
        recent: bool,
    ) -> dict[tuple[int, str], int]:
        """Cost of parts by whose job they went into; without a job, to the first."""
        found: dict[tuple[int, str], int] = defaultdict(int)
        of_job = {job.id: group for group, some in whose.items() for job in some}
        first = next(iter(whose), None)
        for part in parts:
            group = first if part.job_id is None else of_job.get(part.job_id)
            if group is None:
                continue
            if part.cost_minor is None:
                self._no_cost[group[0]] += recent
            else:
                found[group] += part.quantity * part.cost_minor
        return found

    def gap(self, key: int) -> Gap:
        """What is missing of this group in the last year."""
        return Gap(self._no_minutes[key], self._no_road[key], self._no_cost[key])


def _kind(job: rows.JobRow) -> str:
    if job.kind_of == "callback":
        return CALLBACK
    # a trip to a locked gate says nothing about how long an inspection takes
    return INSPECTION if job.kind_of == "inspection" and job.outcome == "done" else OTHER


def _fleet_calls(seen: Sequence[Seen]) -> Gamma | None:
    """How callbacks a year differ over the fleet; None where nothing was watched."""
    years = sum(one.years for one in seen)
    if years <= 0:
        return None
    # half a call where none was seen: a rate of zero would be too sure of itself
    rate = max(float(sum(one.n_calls for one in seen)), 0.5) / years
    spread = ratio_spread([one.n_calls for one in seen], [one.years * rate for one in seen])
    return Gamma(spread.shape, spread.rate / rate)


def _outcomes(covers: Sequence[rows.CoverRow], today: date) -> tuple[int, int]:
    """Contracts whose end is past: how many were followed by another one, and how many not."""
    followed = {cover.follows_id for cover in covers}
    by_system: dict[int, list[rows.CoverRow]] = defaultdict(list)
    for cover in covers:
        by_system[cover.system_id].append(cover)
    over, kept = set[int](), set[int]()
    for chain in by_system.values():
        for number, cover in enumerate(chain):
            if cover.until_on <= today:
                over.add(cover.contract_id)
                later = chain[number + 1 :]
                if cover.contract_id in followed or any(
                    one.from_on <= cover.until_on + timedelta(days=31) for one in later
                ):
                    kept.add(cover.contract_id)
    return len(kept), len(over) - len(kept)
