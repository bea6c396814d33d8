"""Why a cause is not taken as established, and what findings do not go together, in words.

The names that a sentence needs come with it: of causes and checks by id, of a result by
"check:result".
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n

_CHECKS_NAMED = 3


def _name(names: Mapping[str, str], value: object) -> str:
    return names.get(str(value), str(value))


def _one(reason: Reason, names: Mapping[str, str]) -> str:
    return finding_text(reason["check"], reason["result"], names)


def _other(reason: Reason, names: Mapping[str, str]) -> str:
    return finding_text(reason["other"], reason["other_result"], names)


def finding_text(check: str, result: str, names: Mapping[str, str]) -> str:
    """A finding in words: "Open the splices and look: wet, green or black"."""
    return f"{_name(names, check)}: {_name(names, f'{check}:{result}')}"


def _percent(chance: float) -> int:
    return round(100 * chance)


def _not_proved(reason: Reason, names: Mapping[str, str]) -> str:
    checks: Sequence[Any] = tuple(reason["checks"])[:_CHECKS_NAMED]
    listed = "; ".join(_name(names, check) for check in checks)
    cause = _name(names, reason["cause"])
    if not listed:
        return say("{cause}: nothing known here speaks for it directly", cause=cause)
    return say_n(
        "{cause}: the check that speaks for it directly has not found it: {checks}",
        "{cause}: no check that speaks for it directly has found it; there are {checks}",
        len(checks),
        cause=cause,
        checks=listed,
    )


def _found_both(reason: Reason, names: Mapping[str, str]) -> str:
    check = reason["check"]
    both = ", ".join(_name(names, f"{check}:{result}") for result in reason["results"])
    return say("{check} was found in two ways: {both}", check=_name(names, check), both=both)


DIAGNOSIS_TELLERS: Mapping[str, Callable[[Reason, Formats, Mapping[str, str]], str]] = {
    "speaks_against_leading": lambda r, _f, n: say(
        "{found} speaks against {cause}", found=_one(r, n), cause=_name(n, r["cause"])
    ),
    "two_faults_together": lambda r, _f, n: say(
        "{found} does not come from {cause}; there may be two faults, the other one: {second}",
        found=_one(r, n),
        cause=_name(n, r["cause"]),
        second=_name(n, r["second"]),
    ),
    "cannot_both_be": lambda r, _f, n: say(
        "{found} and {other} cannot both be: {why}",
        found=_one(r, n),
        other=_other(r, n),
        why=r["why"],
    ),
    "no_one_cause": lambda r, _f, n: say(
        "no single cause explains both {found} and {other}",
        found=_one(r, n),
        other=_other(r, n),
    ),
    "found_both": lambda r, _f, n: _found_both(r, n),
    "danger_first": lambda r, _f, n: say(
        "danger first: {found}. Deal with it and keep people away before looking further",
        found=_one(r, n),
    ),
    "nothing_listed_fits": lambda r, _f, _n: say(
        "something that is not in the list is as likely as any cause ({n} in 100)",
        n=_percent(r["chance"]),
    ),
    "not_likely_enough": lambda r, _f, n: say(
        "{cause} has a chance of {n} in 100, and 80 is asked for",
        cause=_name(n, r["cause"]),
        n=_percent(r["chance"]),
    ),
    "not_proved": lambda r, _f, n: _not_proved(r, n),
}
