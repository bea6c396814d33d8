"""Bodies of own entries from the little that a person says: ids, rows of chances, weights.

The bodies have the shape of the knowledge files; `trade.own` looks them over.
"""

import re
import unicodedata
from collections.abc import Container, Iterable, Mapping
from functools import cache
from typing import Any

from servicedesk.trade.checks import Check, CheckResult
from servicedesk.trade.fault_lists import PartKind
from servicedesk.trade.faults import Cause, Knowledge
from servicedesk.trade.knowledge import Entry, shipped_yaml

FLOOR = 0.005
_ABOUT = "faults/about.yaml"
_DIGITS = 3


@cache
def likelihood_words() -> Mapping[str, float]:
    """The words in which likelihoods are judged, likeliest first, and what each stands for."""
    entry = _about().entry("likelihood_words")
    return {word: entry.number(word) for word in entry.values if word != "rule"}


@cache
def scope_text() -> str:
    """What the fault knowledge covers, and where its numbers come from, as its file says."""
    return _about().text("scope")


def row_of(check: Check, result: str, chance: float) -> dict[str, float]:
    """A row of chances: `chance` for one result, the rest by their usual shares, adding to 1.

    No result gets less than `FLOOR`. Raises KeyError for a result that the check does not have.
    """
    usual = {one.id: one.usual for one in check.results}
    others = sum(usual.values()) - usual[result]
    row = {
        one: chance if one == result else max(FLOOR, (1 - chance) * usual[one] / others)
        for one in usual
    }
    total = sum(row.values())
    return {one: round(p / total, _DIGITS) for one, p in row.items()}


def weight_of(known: Knowledge, symptom: str, cause: str, share: float) -> float:
    """The weight at which a cause has `share` (0..1, without both ends) of a symptom's calls."""
    one = known.causes_of[symptom]
    rest = sum(w for other, w in one.weights.items() if other != cause) + one.unlisted_weight
    return float(f"{rest * share / (1 - share):.4g}")


def share_of(known: Knowledge, symptom: str, cause: str) -> float:
    """The share of a symptom's calls that a cause has by the weights, before anything is known."""
    one = known.causes_of[symptom]
    total = sum(one.weights.values()) + one.unlisted_weight
    return one.weights.get(cause, 0.0) / total


def new_id(name: str, taken: Container[str]) -> str:
    """An id made from a name that nobody has yet: "Float cord chewed" gives float-cord-chewed."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "own"
    found, n = stem, 2
    while found in taken:
        found, n = f"{stem}-{n}", n + 1
    return found


def body_of_cause(one: Cause) -> dict[str, Any]:
    """A cause as the knowledge files write it."""
    body: dict[str, Any] = {
        "id": one.id,
        "component": one.component,
        "name": one.name,
        "mechanism": one.mechanism,
        "factors": list(one.factors),
        "needs": list(one.needs),
        "permanent_fix": one.permanent_fix,
        "workaround": one.workaround,
        "parts": list(one.parts),
        "why_missed": one.why_missed,
        "often_with": list(one.often_with),
        "cautions": list(one.cautions),
        "nearest_rivals": [
            {"cause": r.cause, "told_apart_by": list(r.told_apart_by)} for r in one.rivals
        ],
        "sources": list(one.sources),
        "evidence": [_row_body(e.check, e.said, e.p, e.why) for e in one.evidence.values()],
    }
    return _stated(body)


def body_of_check(one: Check) -> dict[str, Any]:
    """A check as the knowledge files write it."""
    return _stated(
        {
            "id": one.id,
            "name": one.name,
            "where": one.where,
            "how": one.how,
            "minutes": one.minutes,
            "tools": list(one.tools),
            "cautions": list(one.cautions),
            "needs": list(one.needs),
            "sources": list(one.sources),
            "results": [{"id": r.id, "text": r.text, "usual": r.usual} for r in one.results],
        }
    )


def body_of_part(one: PartKind) -> dict[str, Any]:
    """A kind of part as the knowledge files write it."""
    return {"id": one.id, "name": one.name, "usually_on_truck": one.usually_on_truck}


def with_row(evidence: Iterable[Mapping[str, Any]], row: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Evidence with one more row, which takes the place of the one of the same check."""
    kept = [dict(one) for one in evidence if one["check"] != row["check"]]
    return [dict(row), *kept]


def results_body(results: Iterable[tuple[str, float | None]]) -> list[dict[str, Any]]:
    """Results of a check from their words and usual shares (0..1), the usual one first.

    Where no share is said at all, the first has 0.8 and the others have 0.2 together; where some
    are said, those without one have what is left, in equal shares.
    """
    said = list(results)
    silent = [n for n, (_, share) in enumerate(said) if share is None]
    left = 1 - sum(share for _, share in said if share is not None)
    shares: dict[int, float] = {}
    if silent == list(range(len(said))) and len(said) > 1:
        shares = {n: 0.8 if n == 0 else 0.2 / (len(said) - 1) for n in silent}
    elif silent:
        shares = dict.fromkeys(silent, left / len(silent))
    taken: set[str] = set()
    found = []
    for n, (text, share) in enumerate(said):
        one = CheckResult(new_id(text, taken), text, shares[n] if share is None else share)
        taken.add(one.id)
        found.append({"id": one.id, "text": one.text, "usual": round(one.usual, 4)})
    return found


def _row_body(
    check: str, said: Mapping[str, str], p: Mapping[str, float], why: str
) -> dict[str, Any]:
    return _stated({"check": check, "said": dict(said), "p": dict(p), "why": why})


def _stated(body: Mapping[str, Any]) -> dict[str, Any]:
    """Without what says nothing."""
    return {key: value for key, value in body.items() if value not in (None, "", [], {})}


def _about() -> Entry:
    return Entry.of(shipped_yaml("faults", "about.yaml"), file=_ABOUT, path="")
