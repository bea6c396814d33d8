"""What the visits of a truck may take: owed work's parts, callbacks' by their causes, takes."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from servicedesk.desk.cases import Place, case_at, places_at
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.desk.stock_names import OWN, Lying
from servicedesk.records import planning_rows, stock_rows
from servicedesk.stock.needs import Bundle, Need
from servicedesk.stock.takes import HALF_A_TIME, Share, drawn_to_group, share_of
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.causes import rank
from servicedesk.trouble.learning import PSEUDO_CASES
from servicedesk.values.trouble import Trouble

TAKES_YEARS = 4  # inspections looked back at for what they usually take
WORTH_A_LOOK = 0.0005  # causes less likely than this are left out
NAMED_WORTH = 2.0  # own callbacks that what the knowledge names is worth (judgment, no source)
WORTH_SAYING = 0.05  # chance from which a part that is not kept is named


@dataclass(frozen=True, slots=True)
class Asked:
    """The needs of some visits. `unclear`: sites with a call without symptom or system.

    `not_kept`: kinds of part that the catalogue has no article of, with the chance that one is
    asked for. They are left out of the needs: nobody can load what the company does not keep.
    `seen`: how often inspections took each part, which is what its usual share rests on.
    """

    needs: tuple[Need, ...]
    seen: Mapping[str, float]
    unclear: tuple[int, ...] = ()
    not_kept: tuple[tuple[str, float], ...] = ()


@dataclass(slots=True)
class Asking:
    """What is read once for all visits of a span."""

    desk: Desk
    known: Knowledge
    calls: Mapping[int, planning_rows.WaitingCall]
    owed: Mapping[int, tuple[str, ...]]
    places: Mapping[int, list[Place]]
    takes: "Takes"
    causes: "PartsOfCauses"
    kept: frozenset[str]
    unclear: list[int] = field(default_factory=list)
    without: dict[str, float] = field(default_factory=dict)  # chance that none is asked for

    def of(self, visits: Iterable[planning_rows.VisitRow]) -> Asked:
        """What these visits may take."""
        self.unclear, self.without = [], {}
        needs = [
            need
            for visit in visits
            for job in visit.jobs
            if job.outcome is None
            for need in self._of_job(visit, job)
        ]
        not_kept = sorted(((key, 1 - p) for key, p in self.without.items()), key=_likeliest)
        return Asked(
            tuple(needs),
            self.takes.times,
            unclear=tuple(dict.fromkeys(self.unclear)),
            not_kept=tuple(not_kept),
        )

    def _kept(self, parts: Iterable[str], missing: dict[str, float], chance: float) -> Bundle:
        """The parts that the catalogue has; the chance of the others goes into `missing`."""
        counts = Counter(parts)
        for part in counts.keys() - self.kept:
            missing[part] = missing.get(part, 0.0) + chance
        return tuple(sorted((part, n) for part, n in counts.items() if part in self.kept))

    def _note(self, missing: Mapping[str, float]) -> None:
        for part, chance in missing.items():
            if chance >= WORTH_SAYING:
                self.without[part] = self.without.get(part, 1.0) * max(0.0, 1 - chance)

    def _of_job(self, visit: planning_rows.VisitRow, job: planning_rows.JobRow) -> Iterable[Need]:
        name = str(visit.id)
        if job.owed_id is not None:
            missing: dict[str, float] = {}
            bundle = self._kept(self.owed.get(job.owed_id, ()), missing, 1.0)
            self._note(missing)
            return [Need(name, ((1.0, bundle),))]
        if job.call_id is not None:
            found = self._of_call(name, visit.site_id, job)
            return [] if found is None else [found]
        if job.kind == "inspection" and job.system_id is not None:
            return self.takes.needs(name, job.system_id)
        return []

    def _of_call(self, name: str, site_id: int, job: planning_rows.JobRow) -> Need | None:
        call = self.calls.get(job.call_id or 0)
        if call is None:
            return None
        symptoms = tuple(s for s in call.symptoms if s in self.known.symptoms)
        system_id = job.system_id or call.system_id
        places = [
            place for place in self.places.get(site_id, ()) if system_id in (None, place.system.id)
        ]
        if len(places) != 1 or not symptoms:
            self.unclear.append(site_id)
            return None
        try:
            case = case_at(self.desk, places[0], symptoms=symptoms)
        except Trouble:
            self.unclear.append(site_id)
            return None
        ranking = rank(case, self.known, learned(self.desk))
        ways: dict[Bundle, float] = {}
        missing: dict[str, float] = {}
        takes_any = 0.0
        for one in ranking.causes:
            for share, parts in self.causes.ways(one.cause, self.known):
                chance = one.chance * share
                takes_any += chance if parts else 0.0
                bundle = self._kept(parts, missing, chance)
                ways[bundle] = ways.get(bundle, 0.0) + chance
        self._note(missing)
        likely = tuple((c, b) for b, c in ways.items() if b and c >= WORTH_A_LOOK)
        listed = 1 - ranking.unlisted
        # what is on no list takes parts as often as what is: a smoke detector that beeps takes none
        unknown = ranking.unlisted * min(1.0, takes_any / listed) if listed > 0 else 1.0
        return Need(name, likely, unknown=unknown, cases=PSEUDO_CASES + ranking.n_cases)


def _likeliest(one: tuple[str, float]) -> tuple[float, str]:
    return (-one[1], one[0])


@dataclass(frozen=True, slots=True)
class PartsOfCauses:
    """What mending each cause took in the company's own callbacks, and how often."""

    seen: Mapping[str, Mapping[tuple[str, ...], int]]

    @classmethod
    def of(cls, session: Any, lying: Lying) -> "PartsOfCauses":
        """From all callbacks that were mended for good."""
        keys = {part.id: key for key, parts in lying.articles.items() for part in parts}
        taken: dict[tuple[str, int], list[str]] = {}
        for cause, job_id, part_id, quantity in stock_rows.takes_of_causes(session):
            parts = taken.setdefault((cause, job_id), [])
            if part_id in keys:
                parts += [keys[part_id]] * quantity
        seen: dict[str, Counter[tuple[str, ...]]] = {}
        for (cause, _), parts in taken.items():
            seen.setdefault(cause, Counter())[tuple(sorted(parts))] += 1
        return cls(seen)

    def ways(self, cause: str, known: Knowledge) -> list[tuple[float, tuple[str, ...]]]:
        """Shares of the ways to mend a cause; all that the knowledge names is worth some cases."""
        named = tuple(sorted(set(known.causes[cause].parts)))
        counts: dict[tuple[str, ...], float] = {named: NAMED_WORTH}
        for parts, n in self.seen.get(cause, {}).items():
            counts[parts] = counts.get(parts, 0.0) + n
        whole = sum(counts.values())
        return [(n / whole, parts) for parts, n in counts.items()]


@dataclass(frozen=True, slots=True)
class Takes:
    """How often inspections of each system take which part, drawn toward the fleet's share.

    The fleet of a part are the systems that have a component it belongs to.
    """

    by_system: Mapping[int, Mapping[str, tuple[int, int]]]  # times, quantity
    inspections: Mapping[int, int]
    fleet: Mapping[str, Share]
    times: Mapping[str, float]  # half a time more than a part was taken
    fits: "Fits"

    @classmethod
    def of(cls, session: Any, desk: Desk, lying: Lying, known: Knowledge) -> "Takes":
        """From the inspections of the last years."""
        since = desk.today - timedelta(days=round(TAKES_YEARS * 365.25))
        inspections = stock_rows.inspections_of(session, since)
        fits = Fits.of(known, stock_rows.components_of(session))
        keys = {part.id: key for key, parts in lying.articles.items() for part in parts}
        by_system: dict[int, dict[str, tuple[int, int]]] = {}
        for row in stock_rows.takes_at_inspections(session, since):
            if row.part_id in keys:
                key = keys[row.part_id]
                times, quantity = by_system.setdefault(row.system_id, {}).get(key, (0, 0))
                by_system[row.system_id][key] = (times + row.times, quantity + row.quantity)
        taken = {key for one in by_system.values() for key in one}
        seen = {
            key: [
                (min(n, by_system.get(system, {}).get(key, (0, 0))[0]), n)
                for system, n in inspections.items()
                if fits.may_take(system, key) or key in by_system.get(system, {})
            ]
            for key in sorted(lying.articles)
            # what is of no kind and was never taken says nothing of what a visit may take
            if key in taken or not key.startswith(OWN)
        }
        shares = {key: share_of(some) for key, some in seen.items()}
        visits = {key: sum(n for _, n in some) for key, some in seen.items()}
        fleet = drawn_to_group(shares, visits)
        rests_on = {key: HALF_A_TIME + sum(one[0] for one in some) for key, some in seen.items()}
        return cls(by_system, inspections, fleet, rests_on, fits)

    def needs(self, name: str, system_id: int) -> list[Need]:
        """A need for each part that an inspection of this system may take.

        None is too rare to count: a week has many inspections, and each many rare things to take.
        """
        own, n = self.by_system.get(system_id, {}), self.inspections.get(system_id, 0)
        found = []
        for key, share in self.fleet.items():
            if key not in own and not self.fits.may_take(system_id, key):
                continue
            times, quantity = own.get(key, (0, 0))
            many = max(1, round(quantity / times)) if times else 1
            chance = min(1.0, share.at(min(times, n), n))
            if chance > 0:
                found.append(Need(name, ((chance, ((key, many),)),), is_usual=True))
        return found


@dataclass(frozen=True, slots=True)
class Fits:
    """Which kinds of part belong to which components, and which components systems have."""

    components: Mapping[str, frozenset[str]]
    of_system: Mapping[int, frozenset[str]]

    @classmethod
    def of(cls, known: Knowledge, of_system: Mapping[int, frozenset[str]]) -> "Fits":
        """By the causes that name a part: it belongs to their components."""
        found: dict[str, set[str]] = {}
        for cause in known.causes.values():
            for part in cause.parts:
                found.setdefault(part, set()).add(cause.component)
        return cls({part: frozenset(some) for part, some in found.items()}, of_system)

    def may_take(self, system_id: int, key: str) -> bool:
        """Not where the system is known to have nothing that the part belongs to."""
        wanted, has = self.components.get(key), self.of_system.get(system_id)
        return wanted is None or has is None or bool(wanted & has)


def asking(desk: Desk, visits: Iterable[planning_rows.VisitRow], lying: Lying) -> Asking:
    """Read what the jobs of these visits are about."""
    jobs = [(visit.site_id, job) for visit in visits for job in visit.jobs]
    known = knowledge_of(desk)
    with desk.store.read() as session:
        calls = planning_rows.calls_of(session, [j.call_id for _, j in jobs if j.call_id])
        owed = stock_rows.owed_parts(session, [j.owed_id for _, j in jobs if j.owed_id])
        sites = {site for site, job in jobs if job.call_id is not None}
        places: dict[int, list[Place]] = {}
        for place in places_at(desk, session, sites) if sites else ():
            if place.system.ended_on is None:
                places.setdefault(place.system.site_id, []).append(place)
        takes = Takes.of(session, desk, lying, known)
        causes = PartsOfCauses.of(session, lying)
    return Asking(desk, known, calls, owed, places, takes, causes, frozenset(lying.articles))
