"""What can be looked at or measured to tell causes apart. Loaded when first asked for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from math import isclose

from servicedesk.trade.cautions import caution_texts, cautions
from servicedesk.trade.components import Named, equipment, named_list
from servicedesk.trade.knowledge import Entry, entries_of, shipped_files, shipped_yaml

WHERE = ("phone", "panel", "tank", "field", "house")
# rows were written with three digits
_ROUNDING = 0.006


@dataclass(frozen=True, slots=True)
class CheckResult:
    """One result of a check; `usual`: how often it is found when nothing points at it, 0..1."""

    id: str
    text: str
    usual: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check: where it is made, how, in how many minutes, with what, at which danger.

    `needs`: equipment without which it makes no sense. The usual shares of `results` add to 1.
    """

    id: str
    name: str
    where: str
    how: str
    minutes: float
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    needs: tuple[str, ...]
    sources: tuple[str, ...]
    results: tuple[CheckResult, ...]


@cache
def tools() -> Mapping[str, Named]:
    """Tools by id."""
    return named_list("tools.yaml")


@cache
def checks() -> Mapping[str, Check]:
    """All checks by id, file by file. Raises `KnowledgeFault` where a name does not resolve."""
    found: dict[str, Check] = {}
    for name in shipped_files("faults", "checks"):
        file = f"faults/checks/{name}"
        for entry in entries_of(shipped_yaml("faults", "checks", name), file=file):
            one = check_from(entry)
            if one.id in found:
                raise entry.fault("id", "twice", value=one.id)
            found[one.id] = one
    return found


def check_from(entry: Entry) -> Check:
    """One check as it stands in a file; the company's own have the same form."""
    entry.known_only(
        *("id", "name", "where", "how", "minutes", "tools", "cautions", "needs", "sources"),
        "results",
    )
    return Check(
        id=entry.text("id"),
        name=entry.text("name"),
        where=entry.one_of("where", WHERE),
        how=entry.text("how"),
        minutes=entry.number("minutes"),
        tools=known(entry, "tools", tools()),
        cautions=known(entry, "cautions", cautions()),
        needs=known(entry, "needs", equipment()),
        sources=entry.texts("sources"),
        results=_results(entry),
    )


def known(entry: Entry, key: str, allowed: Mapping[str, object]) -> tuple[str, ...]:
    """The ids listed at `key`; a fault at the first that is not in `allowed`."""
    ids = entry.texts(key)
    for one in ids:
        if one not in allowed:
            raise entry.fault(key, "not_known", value=one)
    return ids


def cautions_for_checks(ids: Iterable[str]) -> tuple[str, ...]:
    """The whole texts of the cautions at these checks, each once. KeyError for an unknown id."""
    return caution_texts(caution for one in ids for caution in checks()[one].cautions)


def _results(entry: Entry) -> tuple[CheckResult, ...]:
    results = tuple(_result(one) for one in entry.entries("results"))
    total = sum(result.usual for result in results)
    if len(results) < 2 or not isclose(total, 1, abs_tol=_ROUNDING):
        raise entry.fault("results", "row_does_not_add_up", total=round(total, 4))
    if len({result.id for result in results}) < len(results):
        raise entry.fault("results", "twice")
    return results


def _result(entry: Entry) -> CheckResult:
    entry.known_only("id", "text", "usual")
    usual = entry.number("usual")
    if not 0 < usual < 1:
        raise entry.fault("usual", "not_a_share", value=usual)
    return CheckResult(entry.text("id"), entry.text("text"), usual)
