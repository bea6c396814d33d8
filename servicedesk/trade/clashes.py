"""Results of two checks that cannot both hold at one time. Loaded when first asked for."""

from dataclasses import dataclass
from functools import cache

from servicedesk.trade.checks import checks
from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml

_FILE = "faults/clashes.yaml"


@dataclass(frozen=True, slots=True)
class Clash:
    """One check's results against another's: found on one day, one of the two was misread."""

    check: str
    results: frozenset[str]
    other: str
    other_results: frozenset[str]
    why: str


@cache
def clashes() -> tuple[Clash, ...]:
    """All pairs. Raises `KnowledgeFault` where a check or a result is not known."""
    return tuple(_clash(e) for e in entries_of(shipped_yaml("faults", "clashes.yaml"), file=_FILE))


def _clash(entry: Entry) -> Clash:
    entry.known_only("check", "results", "other", "other_results", "why")
    return Clash(
        check=entry.text("check"),
        results=_results(entry, "check", "results"),
        other=entry.text("other"),
        other_results=_results(entry, "other", "other_results"),
        why=entry.text("why"),
    )


def _results(entry: Entry, check_key: str, key: str) -> frozenset[str]:
    check = checks().get(entry.text(check_key))
    if check is None:
        raise entry.fault(check_key, "not_known", value=entry.text(check_key))
    known = {result.id for result in check.results}
    named = entry.texts(key)
    for one in named:
        if one not in known:
            raise entry.fault(key, "not_known", value=one)
    return frozenset(named)
