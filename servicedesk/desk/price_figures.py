"""The company's own figures for prices and bills: shown, checked and written as one form.

They stand in the company's price policy, the limit of unpaid bills in a column of its own. What is
left empty falls back on the stated assumption of whoever reckons with it.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from servicedesk.desk.bills_hold import hold_by_new_limit
from servicedesk.desk.checking import Wrong, only_known, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_money import YEARS
from servicedesk.desk.renew_sent import CALL_DAYS, REMIND_DAYS
from servicedesk.desk.renewal_policy import CAP_PERCENT, MARGIN_PERCENT, ROUND_TO_UNITS
from servicedesk.desk.year_pumps import PUMP_AT_PERCENT
from servicedesk.records import setup_rows
from servicedesk.records.company import Company
from servicedesk.records.store import Changed, Work
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.formats import minor_digits

LIMIT = "unpaid_limit_minor"  # a column of its own
_PERCENTS = {
    "index_percent": (-50, 100),
    "margin_percent": (0, 500),
    "cap_percent": (0, 500),
    "pump_at_percent": (1, 100),
}
_INDICES = ("index_before", "index_now")
_SUMS = (
    "hour_cost_minor",
    "callback_cost_minor",
    "office_cost_minor",
    "trip_charge_minor",
    LIMIT,
)
_COUNTS = {"remind_days": (1, 365), "call_days": (1, 365), "pattern_years": (1, 30)}
_DAYS = ("bills_since_on",)
FIGURES = ("round_to_minor", *_PERCENTS, *_INDICES, *_SUMS, *_COUNTS, *_DAYS)


def figures_of(company: Mapping[str, Any]) -> dict[str, Any]:
    """Every figure of `FIGURES` as written, None where nothing is, with the row's `revision`."""
    policy = company.get("price_policy") or {}
    found: dict[str, Any] = {name: policy.get(name) for name in FIGURES}
    for name in _DAYS:
        found[name] = date.fromisoformat(found[name]) if found[name] else None
    return {**found, LIMIT: company.get(LIMIT), "revision": company.get("revision")}


def assumed_figures(currency: str) -> dict[str, Any]:
    """What is reckoned with where a figure is not written; names without one are left out."""
    return {
        "margin_percent": MARGIN_PERCENT,
        "cap_percent": CAP_PERCENT,
        "round_to_minor": int(ROUND_TO_UNITS * 10 ** minor_digits(currency)),
        "pump_at_percent": round(PUMP_AT_PERCENT),
        "remind_days": REMIND_DAYS,
        "call_days": CALL_DAYS,
        "pattern_years": YEARS,
    }


def write_figures(desk: Desk, values: Mapping[str, Any], *, seen: int | None = None) -> Changed:
    """Write figures of `FIGURES`; None takes one away. Another limit of unpaid bills sets holds.

    Raises WrongEntry for what nobody can price with, StaleEdit, Trouble without a company.
    """
    only_known(values, FIGURES)
    with desk.store.read() as session:
        company = setup_rows.company_values(session)
    if not company:
        raise Trouble(
            say("Nothing is known of the company yet."),
            do=say("Write its details in Set up first."),
        )
    refuse(_wrong(desk, {**figures_of(company), **values}, values))
    with desk.store.change(desk.who, say("Wrote the figures for prices and bills")) as work:
        row = work.fresh(Company, company["id"], seen=seen)
        policy = {**(row.price_policy or {}), **_plain(values)}
        row.price_policy = {name: value for name, value in policy.items() if value is not None}
        if LIMIT in values:
            _limit(desk, work, row, values[LIMIT])
    return work.changed


def _limit(desk: Desk, work: Work, row: Company, limit: int | None) -> None:
    """Sites that come over the new limit are on hold; those that no longer are over it are not."""
    before, row.unpaid_limit_minor = row.unpaid_limit_minor, limit
    hold_by_new_limit(work, desk.today, before=before, now=limit)


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    """As the policy keeps them: days in their plain form."""
    return {
        name: value.isoformat() if isinstance(value, date) else value
        for name, value in values.items()
        if name != LIMIT
    }


def _wrong(desk: Desk, now: Mapping[str, Any], given: Mapping[str, Any]) -> list[Wrong]:
    """Given figures out of their range; `now` is what would stand afterwards."""
    wrong: list[Wrong] = []

    def check(name: str, is_good: Callable[[Any], bool], says: str) -> None:
        if given.get(name) is not None and not is_good(given[name]):
            wrong.append(Wrong(name, says))

    for name, (low, high) in _PERCENTS.items():
        says = say("A percentage from {low} to {high} is meant.", low=low, high=high)
        check(name, _between(low, high), says)
    for name, (low, high) in _COUNTS.items():
        says = say("A whole number from {low} to {high} is meant.", low=low, high=high)
        check(name, _between(low, high), says)
    for name in _INDICES:
        check(name, lambda value: value > 0, say("A value of an index is above zero."))
    for name in _SUMS:
        check(name, lambda value: value >= 0, say("A sum is not below zero."))
    check("round_to_minor", lambda value: value >= 1, say("Prices are rounded to something."))
    check("bills_since_on", lambda day: day <= desk.today, say("That day is still to come."))
    return wrong + _wrong_index(now, given)


def _between(low: int, high: int) -> Callable[[Any], bool]:
    return lambda value: low <= value <= high


def _wrong_index(now: Mapping[str, Any], given: Mapping[str, Any]) -> list[Wrong]:
    """A rise is written once: as a percentage, or as two values of a published index."""
    if not {"index_percent", *_INDICES} & set(given):
        return []
    pair = [now[name] for name in _INDICES]
    if any(one is None for one in pair) and any(one is not None for one in pair):
        missing = _INDICES[pair.index(None)]
        return [Wrong(missing, say("An index needs both its values, or neither."))]
    if pair[0] is not None and now["index_percent"] is not None:
        says = say("Write a percentage or two values of an index, not both.")
        return [Wrong("index_percent", says)]
    return []
