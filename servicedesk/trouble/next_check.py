"""Which check to make next: danger first, then free and safe looks, then information per minute."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp

from servicedesk.trade.checks import Check
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.symptom_rows import symptom_rows
from servicedesk.trouble.bayes import expected_bits
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import Ranking, fits_site, ratio_under
from servicedesk.trouble.evidence import done, equipment_of, makes_sense, something_tripped
from servicedesk.trouble.learning import NOTHING_LEARNED, UNLISTED, Learned
from servicedesk.trouble.sure import is_proved
from servicedesk.trouble.table import Table, table

# Danger comes before the diagnosis (history rule danger-first): the look that settles it, the
# cause that would be the danger, and the chance from which nobody waits with the look.
_DANGERS = (("lid-look", "lid-unsafe"), ("ask-disinfectant", "tablets-wrong-kind"))
_DANGER_FROM = 0.02
# symptoms where sewage may stand in the house: ask before anything else
_BACKUP_ASKED = "ask-house-drains"
_BACKUP_SYMPTOMS = frozenset({"water-high-no-alarm"})

# checks that put power on the load
_PUTS_POWER_ON = frozenset(
    {"breaker-reset-once", "run-in-hand", "pump-amps", "voltage-under-load", "timer-forced"}
    | {"relay-call-test", "pump-floats-lift", "drawdown-rate"}
)

# questions about an alarm make no sense where none sounds
_ABOUT_AN_ALARM = frozenset({"ask-alarm-pattern", "ask-which-alarm"})
_SOUNDING = frozenset(
    {"high-water-alarm", "alarm-comes-and-goes", "alarm-not-identified", "air-alarm", "uv-fault"}
)

# Free: no tools of danger, no lid to stand over, at most two minutes. Such a look goes first when
# it tells at least this share of what the best check tells.
_FREE_MINUTES, _FREE_SHARE = 2.0, 0.3
_FREE_WITH = frozenset({"backup-sewage", "chlorine-handling"})
# one check that tells the same story as one already made adds less (causes: power of 0.5)
_SAME_STORY = 0.5
# "direct-proof rows are the most trustworthy, usual rows the least" (faults.md, section 12): what a
# result says of a cause that the check does not speak for directly is believed to this power
_INDIRECT = 0.5
_SCARCELY_A_CANDIDATE = 1e-4
_TELLS_NOTHING_BITS = 0.004
_LEAST_MINUTES = 0.25
# worth of proving a cause that leads with half of the chance or more: judgment
_LEADS, _UNPROVED, _AGAIN = 0.5, 0.3, 0.15
# worth of looking for what often goes with it: two faults at once are rare and costly to miss
_BESIDE = 0.1


@dataclass(frozen=True, slots=True)
class Proposed:
    """A check worth making: its minutes, and the bits it is expected to tell.

    Bits are counted with rows believed as far as they deserve (`_trust`), so they are on the low
    side.
    """

    check: str
    minutes: float
    bits: float


def next_checks(
    case: Case, ranking: Ranking, knowledge: Knowledge, learned: Learned = NOTHING_LEARNED
) -> tuple[Proposed, ...]:
    """Checks that tell something, the one to make first in front.

    Left out: those made since the last change of their part, those that the site cannot have,
    those that restate the symptom, those that tell nothing.
    """
    known = table(knowledge)
    proposed = []
    worth: dict[str, float] = {}
    sounds = bool(_SOUNDING & set(case.symptoms))
    for check in open_checks(case, known):
        if check.id in _ABOUT_AN_ALARM and not sounds:
            continue
        bits = bits_of(check, case, ranking, known, learned)
        worth[check.id] = bits + _proof(check, ranking, known)
        if worth[check.id] > _TELLS_NOTHING_BITS or _is_danger(check.id, case, ranking):
            proposed.append(Proposed(check.id, check.minutes, bits))
    best = max(worth.values(), default=0.0)

    waits = _waits_for_insulation(case, known)

    def order(one: Proposed) -> tuple[bool, bool, bool, float, str]:
        check = knowledge.checks[one.check]
        is_free = _is_free(check) and worth[one.check] >= _FREE_SHARE * best
        rate = worth[one.check] / max(one.minutes, _LEAST_MINUTES)
        return (
            not _is_danger(one.check, case, ranking),
            waits and one.check in _PUTS_POWER_ON,
            not is_free,
            -rate,
            one.check,
        )

    return tuple(sorted(proposed, key=order))


def confirming(
    proposed: Sequence[Proposed], case: Case, ranking: Ranking, knowledge: Knowledge
) -> tuple[Proposed, ...]:
    """Of these checks those still worth making once the leading cause is established.

    What only tells other causes apart has nothing left to tell; going on with it is wandering.
    Left are the checks at which this cause shows (a second one guards against a misreading, and
    after the fix it must come out right), those that find what often goes with it (or the fix will
    not last), and what is a danger.
    """
    known = table(knowledge)
    leading = ranking.causes[0].cause
    beside = knowledge.causes[leading].often_with
    danger = [one for one in proposed if _is_danger(one.check, case, ranking)]
    shows = [one for one in proposed if shows_at(leading, one.check, known)]
    others = [one for one in proposed if any(one.check in known.direct[cause] for cause in beside)]
    return tuple(dict.fromkeys((*danger, *shows, *others)))


def shows_at(cause: str, check: str, known: Table) -> bool:
    """Whether the check is rather found otherwise than usual where the cause is at work."""
    row = known.knowledge.causes[cause].evidence.get(check)
    return row is not None and max(row.p, key=lambda r: row.p[r]) != known.usual[check]


def open_checks(case: Case, known: Table) -> list[Check]:
    """Checks that can be made at this site, say more than the symptom, and have not been made."""
    made, site_has = done(case, known), equipment_of(case, known)
    restating = {r for s in case.symptoms for r in known.knowledge.symptoms[s].restates}
    return [
        check
        for check in known.knowledge.checks.values()
        if check.id not in made
        and check.id not in restating
        and fits_site(check.needs, site_has)
        and makes_sense(check.id, case)
    ]


def bits_of(check: Check, case: Case, ranking: Ranking, known: Table, learned: Learned) -> float:
    """How many bits the check is expected to tell about the causes, the unlisted one included."""
    names, chances = _candidates(ranking)
    own = {name for name in names if _has_row(name, check.id, known, learned)}
    if not own:
        return 0.0
    is_owed = any(
        check.id in known.knowledge.symptoms[s].before_no_fault_found for s in case.symptoms
    )
    story = _SAME_STORY if _told_already(check.id, ranking, known) else 1.0
    by_cause: list[Sequence[float]] = []
    weights: list[float] = []
    not_for = _not_for(check.id, case.symptoms)
    alike: dict[bool, int] = {}  # causes without an own row share one: told apart by nothing here
    for name, chance in zip(names, chances, strict=True):
        if name not in own:
            is_usual = not_for is None or name in not_for
            if is_usual in alike:
                weights[alike[is_usual]] += chance
                continue
            alike[is_usual] = len(weights)
        power = story * _trust(name, check.id, known, is_owed=is_owed)
        by_cause.append(_row(name, case.symptoms, check, known, learned, power))
        weights.append(chance)
    rows = [[row[at] for row in by_cause] for at in range(len(check.results))]
    return expected_bits(weights, rows)


def _not_for(check: str, symptoms: tuple[str, ...]) -> frozenset[str] | None:
    """Causes that do not take what goes with the symptom for this check; None: nothing goes."""
    for symptom in symptoms:
        row = symptom_rows().get((symptom, check))
        if row is not None:
            return row.not_for | {UNLISTED}
    return None


def _proof(check: Check, ranking: Ranking, known: Table) -> float:
    """What a reading is worth that proves the leading cause, in bits, beyond what it tells.

    Nobody may be sure of a cause that no direct check has found (`trouble.sure`), and one reading
    may be misread: a second one that speaks directly for the cause guards against it.
    """
    if not ranking.causes or ranking.causes[0].chance < _LEADS or check.where == "phone":
        return 0.0
    leading = ranking.causes[0]
    if check.id not in known.direct[leading.cause]:
        beside = known.knowledge.causes[leading.cause].often_with
        is_beside = any(check.id in known.direct[other] for other in beside)
        return _BESIDE * leading.chance if is_beside else 0.0
    return leading.chance * (_AGAIN if is_proved(leading.cause, ranking, known) else _UNPROVED)


def _trust(name: str, check: str, known: Table, *, is_owed: bool) -> float:
    """How far the row of a cause is believed when a look is planned.

    Whole where the check speaks directly for the cause, and where the trade asks for the check
    before it lets anybody say "no fault found": those tell of this symptom.
    """
    is_direct = name != UNLISTED and check in known.direct[name]
    return 1.0 if is_direct or is_owed else _INDIRECT


def _candidates(ranking: Ranking) -> tuple[list[str], list[float]]:
    kept = [one for one in ranking.causes if one.chance > _SCARCELY_A_CANDIDATE]
    names = [one.cause for one in kept]
    chances = [one.chance for one in kept]
    total = sum(chances) + ranking.unlisted
    return [*names, UNLISTED], [p / total for p in [*chances, ranking.unlisted]]


def _has_row(name: str, check: str, known: Table, learned: Learned) -> bool:
    if name == UNLISTED:
        return False
    return check in known.ratios[name] or check in learned.results.get(name, {})


def _row(
    name: str,
    symptoms: tuple[str, ...],
    check: Check,
    known: Table,
    learned: Learned,
    power: float,
) -> Sequence[float]:
    usual = [result.usual for result in check.results]
    if name == UNLISTED:
        return _scaled(usual)
    ratios = [ratio_under(symptoms, name, check.id, r.id, known, learned) for r in check.results]
    return _scaled([u * exp(power * ratio) for u, ratio in zip(usual, ratios, strict=True)])


def _scaled(row: Sequence[float]) -> list[float]:
    total = sum(row)
    return [one / total for one in row]


def _told_already(check: str, ranking: Ranking, known: Table) -> bool:
    groups: Iterable[str] = known.groups[check]
    told = {group for one in ranking.counted for group in known.groups[one.check]}
    return any(group in told for group in groups)


def _waits_for_insulation(case: Case, known: Table) -> bool:
    """Something tripped, and nobody has measured yet whether the load leaks to ground.

    "Reset once, after looking for the reason" (caution single-reset): no power on the load before.
    """
    return something_tripped(case) and "pump-insulation" not in done(case, known)


def _is_danger(check: str, case: Case, ranking: Ranking) -> bool:
    if check == _BACKUP_ASKED and _BACKUP_SYMPTOMS & set(case.symptoms):
        return True
    return any(
        check == look and ranking.chance(danger) >= _DANGER_FROM for look, danger in _DANGERS
    )


def _is_free(check: Check) -> bool:
    return check.minutes <= _FREE_MINUTES and set(check.cautions) <= _FREE_WITH
