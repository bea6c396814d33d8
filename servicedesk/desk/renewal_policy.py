"""What renewals are priced with: the company's figures, else stated assumptions.

They stand in the company's price policy: `index_percent`, or `index_now` and `index_before` of a
published index; `margin_percent`, `cap_percent`, `round_to_minor`, `hour_cost_minor`,
`callback_cost_minor`, `office_cost_minor` (a contract and year).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_money import HOUR_MINOR
from servicedesk.records import renewal_rows
from servicedesk.renewals.cost import Rates
from servicedesk.renewals.price import Policy, index_share
from servicedesk.values.reason import Reason
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.formats import minor_digits

# assumptions, no source: shown wherever a price rests on them
MARGIN_PERCENT, CAP_PERCENT, ROUND_TO_UNITS = Decimal(15), Decimal(10), 5


@dataclass(frozen=True, slots=True)
class Pricing:
    """Policy and rates, and where each figure is from. `rates` None: an hour has no known cost."""

    policy: Policy
    rates: Rates | None
    currency: str
    reasons: tuple[Reason, ...]


def pricing_of(desk: Desk) -> Pricing:
    """The company's figures. Raises Trouble for one that nobody can price with."""
    with desk.store.read() as session:
        written = renewal_rows.price_policy(session)
    reasons: list[Reason] = []
    currency = desk.company.currency
    policy = Policy(
        index=_index(written, reasons),
        margin=_percent(written, "margin_percent", MARGIN_PERCENT, reasons),
        cap=_percent(written, "cap_percent", CAP_PERCENT, reasons),
        round_to_minor=_rounding(written, currency, reasons),
    )
    return Pricing(policy, _rates(written, currency, reasons), currency, tuple(reasons))


def _index(written: Mapping[str, Any], reasons: list[Reason]) -> Decimal:
    now, before = _number(written, "index_now"), _number(written, "index_before")
    if now is not None and before is not None:
        if now <= 0 or before <= 0:
            raise _no_figure("index_now")
        reasons.append(Reason.of("policy_index_pair", now=now, before=before))
        return index_share(now, before)
    percent = _number(written, "index_percent")
    if percent is None:
        reasons.append(Reason.of("policy_no_index"))
        return Decimal(0)
    if not -50 <= percent <= 100:
        raise _no_figure("index_percent")
    reasons.append(Reason.of("policy_index_percent", percent=percent))
    return percent / 100


def _percent(
    written: Mapping[str, Any], name: str, assumed: Decimal, reasons: list[Reason]
) -> Decimal:
    percent = _number(written, name)
    how = "company" if percent is not None else "assumed"
    percent = assumed if percent is None else percent
    if not 0 <= percent <= 500:
        raise _no_figure(name)
    reasons.append(Reason.of(f"policy_{name}_{how}", percent=percent))
    return percent / 100


def _rounding(written: Mapping[str, Any], currency: str, reasons: list[Reason]) -> int:
    step = written.get("round_to_minor")
    how = "company"
    if step is None:
        step, how = int(ROUND_TO_UNITS * 10 ** minor_digits(currency)), "assumed"
    if not isinstance(step, int) or isinstance(step, bool) or step < 1:
        raise _no_figure("round_to_minor")
    reasons.append(Reason.of(f"policy_round_{how}", minor=step, currency=currency))
    return step


def _rates(written: Mapping[str, Any], currency: str, reasons: list[Reason]) -> Rates | None:
    hour = _sum(written, "hour_cost_minor")
    if hour is not None:
        reasons.append(Reason.of("company_hour", minor=hour, currency=currency))
    elif currency in HOUR_MINOR:
        hour = HOUR_MINOR[currency]
        reasons.append(Reason.of("assumed_hour", minor=hour, currency=currency))
    else:
        reasons.append(Reason.of("policy_no_hour"))
        return None
    call, office = _sum(written, "callback_cost_minor"), _sum(written, "office_cost_minor")
    if call is not None:
        reasons.append(Reason.of("company_call", minor=call, currency=currency))
    if office is None:
        reasons.append(Reason.of("policy_no_office"))
    else:
        reasons.append(Reason.of("policy_office", minor=office, currency=currency))
    return Rates(hour, call, office or 0)


def _sum(written: Mapping[str, Any], name: str) -> int | None:
    value = written.get(name)
    if value is None:
        return None
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise _no_figure(name)
    return value or None


def _number(written: Mapping[str, Any], name: str) -> Decimal | None:
    value = written.get(name)
    if value is None:
        return None
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        raise _no_figure(name) from None
    if not number.is_finite():
        raise _no_figure(name)
    return number


def _no_figure(name: str) -> Trouble:
    names = {
        "index_percent": say("index"),
        "index_now": say("index"),
        "margin_percent": say("margin"),
        "cap_percent": say("cap on a rise"),
        "round_to_minor": say("rounding of prices"),
        "hour_cost_minor": say("cost of an hour"),
        "callback_cost_minor": say("cost of a callback"),
        "office_cost_minor": say("office cost of a contract"),
    }
    return Trouble(
        say("The company's {what} is no figure to price with.", what=names[name]),
        means=say("No price was computed."),
        do=say("Correct it in Set up, under prices."),
    )
