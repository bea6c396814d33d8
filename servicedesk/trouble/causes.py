"""Chances of the causes of one trouble: one fault at a time, naive Bayes.

Model: exactly one cause is at work, or "something not in this list" with its own weight. A case is
short and its causes compete, so one fault is what can be told apart; two faults together are the
matter of `trouble.noisy_or`. Chances add to 1 with the unlisted one.

Results inside one evidence group tell partly the same story: for each cause the one that speaks
strongest for it and the one that speaks strongest against it count whole, the others to the power
of `_SAME_STORY`. That is asked for each cause apart, for the parts of one chain stand in one
group: a good float says no less about the float because the board was looked at too. And a result
against a cause does not repeat those for it: a tank that empties faster than recorded speaks
against a worn pump however weak the spray.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import exp, log

from servicedesk.trade.faults import Knowledge
from servicedesk.trade.symptom_rows import symptom_rows
from servicedesk.trouble.bayes import share_out
from servicedesk.trouble.case import Case
from servicedesk.trouble.evidence import Counted, counted, equipment_of, runs_again, telling
from servicedesk.trouble.history import log_factors, was_away
from servicedesk.trouble.learning import NOTHING_LEARNED, UNLISTED, Learned
from servicedesk.trouble.table import Table, bounded, table

MODEL = "one fault: chances add to 1"
# the fault knowledge advises "a power of about 0.5" (faults.yaml, how_to_use)
_SAME_STORY = 0.5
# What proves a cause is found by chance less often than its usual row says, for that row was judged
# over sites in trouble. Chances stay on the careful side with it: of 1,200 cases drawn from the
# rows themselves a cause given 0.8 to 0.9 was the true one in 94 of 100.
_PROOF = 1.2
# how far an unlisted cause is like those listed: judgment
_AS_LISTED = 0.5
# share of a cause under a second symptom that does not list it: two troubles may meet
_NOT_LISTED = 0.003


@dataclass(frozen=True, slots=True)
class CauseChance:
    """One cause and its chance, 0..1."""

    cause: str
    chance: float


@dataclass(frozen=True, slots=True)
class Ranking:
    """Causes best first with their chances, and the chance of "something not in this list".

    `counted`: the findings that were scored; `held`: these and those that restate the symptom.
    `n_cases`: own confirmed cases that speak for the symptoms; `is_default` until there are enough
    of them.
    """

    causes: tuple[CauseChance, ...]
    unlisted: float
    counted: tuple[Counted, ...]
    held: tuple[Counted, ...]
    n_cases: int
    is_default: bool
    model: str = MODEL

    def chance(self, cause: str) -> float:
        """Chance of one cause; 0 where it is not among the candidates."""
        if cause == UNLISTED:
            return self.unlisted
        return next((one.chance for one in self.causes if one.cause == cause), 0.0)


def rank(case: Case, knowledge: Knowledge, learned: Learned = NOTHING_LEARNED) -> Ranking:
    """Chances of all causes that the symptoms may have at this site.

    Raises ValueError for a case without a symptom, KeyError for an id that is not known.
    """
    if not case.symptoms:
        raise ValueError("a case has at least one symptom")
    known = table(knowledge)
    priors = _priors(case, known, learned)
    names = [name for name in priors if name != UNLISTED]
    held = counted(case, known)
    findings = telling(case.symptoms, held, known)
    factors = log_factors(case, known, names)
    logs = [
        log(priors[name])
        + factors[name]
        + _told(_said(name, case.symptoms, findings, known, learned), known)
        for name in names
    ]
    unlisted = _told(_said_unlisted(priors, case.symptoms, findings, known, learned), known)
    chances = share_out([*logs, log(priors[UNLISTED]) + unlisted])
    order = sorted(zip(names, chances, strict=False), key=lambda one: (-one[1], one[0]))
    return Ranking(
        causes=tuple(CauseChance(name, chance) for name, chance in order),
        unlisted=chances[-1],
        counted=findings,
        held=held,
        n_cases=sum(learned.n_cases(symptom) for symptom in case.symptoms),
        is_default=any(learned.is_default(symptom) for symptom in case.symptoms),
    )


def log_ratio(cause: str, check: str, result: str, known: Table, learned: Learned) -> float:
    """How much more likely a result is under a cause than usually, as a bounded logarithm."""
    if cause in learned.results and check in learned.results[cause]:
        row = learned.row(cause, check, known.knowledge.row(cause, check))
        return bounded(log(row[result] / known.usual_share(check, result)))
    row_of = known.ratios[cause].get(check)
    if row_of is None:
        return 0.0
    return row_of[result]


def fits_site(needs: Iterable[str], site_has: frozenset[str] | None) -> bool:
    """Whether the site has all that is needed; what it has being unknown, nothing is left out."""
    return site_has is None or set(needs) <= site_has


def _priors(case: Case, known: Table, learned: Learned) -> dict[str, float]:
    """Chances before any finding, of every candidate and of "unlisted"; they need not add to 1."""
    knowledge, site_has = known.knowledge, equipment_of(case, known)
    shares = [_shares(symptom, knowledge, learned) for symptom in case.symptoms]
    names = dict.fromkeys(name for one in shares for name in one)
    together = {}
    for name in names:
        if name == UNLISTED or fits_site(knowledge.causes[name].needs, site_has):
            together[name] = _together([one.get(name, _NOT_LISTED) for one in shares])
    return together


def _together(shares: list[float]) -> float:
    """One weight from the shares under several symptoms: their harmonic mean.

    Symptoms are independent given the cause, so shares multiply and the cause's own frequency,
    about their mean, counts once: for two symptoms s·t / ((s + t) / 2).
    """
    return len(shares) / sum(1 / share for share in shares)


def _shares(symptom: str, knowledge: Knowledge, learned: Learned) -> Mapping[str, float]:
    weights = knowledge.causes_of[symptom]
    total = sum(weights.weights.values()) + weights.unlisted_weight
    shipped = {name: weight / total for name, weight in weights.weights.items()}
    shipped[UNLISTED] = weights.unlisted_weight / total
    if not learned.n_cases(symptom):
        return shipped
    own = learned.causes[symptom]
    # a cause that was proved here though the list does not have it joins the list
    names = [*shipped, *(n for n in own if n not in shipped and n in knowledge.causes)]
    return {name: learned.share(symptom, name, shipped.get(name, 0.0)) for name in names}


def _said(
    name: str,
    symptoms: tuple[str, ...],
    findings: tuple[Counted, ...],
    known: Table,
    learned: Learned,
) -> dict[str, float]:
    """What each finding by itself says for a cause against the usual."""
    said = {
        one.check: one.weight * ratio_under(symptoms, name, one.check, one.result, known, learned)
        for one in findings
    }
    cause = known.knowledge.causes[name]
    away = {one.check for one in findings if was_away(cause, one)}
    if said.get("breaker-state", 0.0) > 0:
        away |= runs_again(findings)
    return {check: max(0.0, size) if check in away else size for check, size in said.items()}


def ratio_under(
    symptoms: tuple[str, ...], cause: str, check: str, result: str, known: Table, learned: Learned
) -> float:
    """As `log_ratio`; a cause that says nothing of the check shares what goes with the symptom."""
    if check not in known.ratios[cause]:
        for symptom in symptoms:
            row = symptom_rows().get((symptom, check))
            if row is not None and cause not in row.not_for:
                return bounded(log(row.p[result] / known.usual_share(check, result)))
    ratio = log_ratio(cause, check, result, known, learned)
    if result in known.direct[cause].get(check, ()):
        ratio = bounded(ratio * _PROOF)
    return ratio


def _said_unlisted(
    priors: Mapping[str, float],
    symptoms: tuple[str, ...],
    findings: tuple[Counted, ...],
    known: Table,
    learned: Learned,
) -> dict[str, float]:
    """The same for "something not in this list": half usual, half as the causes listed.

    It brings the same symptom about, so what goes with the symptom goes with it too: where the
    spray is weak, the heads are not seen all full, whatever the cause. What is right at every part
    that was looked at speaks for the listed causes being elsewhere, never against the unlisted.
    """
    names = [name for name in priors if name != UNLISTED]
    total = sum(priors[name] for name in names)
    said = {}
    for one in findings:
        as_listed = sum(
            priors[name] * exp(ratio_under(symptoms, name, one.check, one.result, known, learned))
            for name in names
        )
        share = as_listed / total if names else 1.0
        blend = 1 - _AS_LISTED + _AS_LISTED * share
        said[one.check] = one.weight * max(0.0, log(blend))
    return said


def _told(said: Mapping[str, float], known: Table) -> float:
    """What all findings together say against the usual, evidence groups damped."""
    strongest: dict[tuple[str, bool], str] = {}
    for check, size in said.items():
        for group in known.groups[check]:
            story = (group, size > 0)
            if story not in strongest or abs(size) > abs(said[strongest[story]]):
                strongest[story] = check
    return sum(
        size
        if all(strongest[group, size > 0] == check for group in known.groups[check])
        else size * _SAME_STORY
        for check, size in said.items()
    )
