"""Why a renewal is priced as it is, what it rests on, and what is not written down."""

from collections.abc import Callable, Mapping
from decimal import Decimal

from servicedesk.values.money import Money
from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n

_Teller = Callable[[Reason, Formats, Mapping[str, str]], str]


def decision_text(code: str) -> str:
    """What to do about a contract that ends. Raises KeyError for a code without words."""
    return {
        "raise": say("Raise"),
        "call_first": say("Call first"),
        "renew": say("Renew as it is"),
        "after_visit": say("After the visit"),
        "not_renew": say("Do not renew"),
        "renewed": say("Renewed"),
    }[code]


def step_text(code: str) -> str:
    """The name of a step of a price. Raises KeyError for a code without words."""
    return {
        "price_index": say("Index"),
        "price_cost": say("To cover cost and margin"),
        "price_cap": say("Cap on a rise"),
        "price_rounding": say("Rounding"),
        "price_hand": say("As drafted by hand"),
    }[code]


def _percent(formats: Formats, value: object) -> str:
    number = value if isinstance(value, Decimal) else Decimal(str(value))
    return f"{formats.number(number)}%"


def _currency_money(formats: Formats, reason: Reason) -> str:
    return formats.money(Money(reason["minor"], reason["currency"]))


def _step(reason: Reason, formats: Formats, names: Mapping[str, str]) -> str:
    sum_ = formats.money(Money(abs(reason["minor"]), names.get("currency", "USD")))
    sign = "+" if reason["minor"] >= 0 else "\u2212"
    return say("{step} {sign}{money}", step=step_text(reason.code), sign=sign, money=sum_)


_STEPS = ("price_index", "price_cost", "price_cap", "price_rounding", "price_hand")


def _minor(reason: Reason, formats: Formats, names: Mapping[str, str]) -> str:
    return formats.money(Money(reason["minor"], names.get("currency", "USD")))


RENEWAL_TELLERS: dict[str, _Teller] = {
    **dict.fromkeys(_STEPS, _step),
    # the decision
    "renewal_renewed": lambda _r, _f, _n: say("the next contract runs already"),
    "renewal_ending": lambda _r, _f, _n: say("it is written that this one ends"),
    "renewal_on_hold": lambda _r, _f, _n: say("on hold: unpaid over the limit"),
    "renewal_open_calls": lambda r, _f, _n: say_n(
        "{n} call waits for an answer", "{n} calls wait for an answer", r["n"]
    ),
    "renewal_below_cost": lambda r, f, n: say(
        "even so {money} below what the next year will likely cost", money=_minor(r, f, n)
    ),
    "renewal_cost_grew": lambda r, f, n: say(
        "cost and margin want {money} more than the index gives", money=_minor(r, f, n)
    ),
    "renewal_capped": lambda r, f, n: say(
        "cost and margin want more than the cap allows; {money} above the index",
        money=_minor(r, f, n),
    ),
    "renewal_visits_owed": lambda r, _f, _n: say_n(
        "{n} inspection of this contract is not done yet",
        "{n} inspections of this contract are not done yet",
        r["n"],
    ),
    # what is missing
    "renewal_no_price": lambda _r, _f, _n: say("no price is written"),
    "renewal_no_cost": lambda _r, _f, _n: say("what it costs cannot be said"),
    "renewal_short_watch": lambda r, _f, _n: say_n(
        "under contract for {n} month only", "under contract for {n} months only", r["months"]
    ),
    "renewal_no_minutes": lambda r, _f, _n: say_n(
        "{n} visit without its length", "{n} visits without their length", r["n"]
    ),
    "renewal_no_road": lambda r, _f, _n: say_n(
        "{n} visit without its road", "{n} visits without their road", r["n"]
    ),
    "renewal_no_part_cost": lambda r, _f, _n: say_n(
        "{n} part without its cost", "{n} parts without their cost", r["n"]
    ),
    # what prices rest on
    "policy_index_pair": lambda r, f, _n: say(
        "index: from {before} to {now}, the ratio itself", before=f.number(r["before"]),
        now=f.number(r["now"]),
    ),
    "policy_index_percent": lambda r, f, _n: say(
        "your figure: index {percent}", percent=_percent(f, r["percent"])
    ),
    "policy_no_index": lambda _r, _f, _n: say("no index is written: prices do not grow by one"),
    "policy_margin_percent_company": lambda r, f, _n: say(
        "your figure: margin {percent} on top of cost", percent=_percent(f, r["percent"])
    ),
    "policy_margin_percent_assumed": lambda r, f, _n: say(
        "assumed: margin {percent} on top of cost; your own figure is not written",
        percent=_percent(f, r["percent"]),
    ),
    "policy_cap_percent_company": lambda r, f, _n: say(
        "your figure: no price rises by more than {percent}", percent=_percent(f, r["percent"])
    ),
    "policy_cap_percent_assumed": lambda r, f, _n: say(
        "assumed: no price rises by more than {percent}; your own figure is not written",
        percent=_percent(f, r["percent"]),
    ),
    "policy_round_company": lambda r, f, _n: say(
        "your figure: prices are rounded to {money}", money=_currency_money(f, r)
    ),
    "policy_round_assumed": lambda r, f, _n: say(
        "assumed: prices are rounded to {money}", money=_currency_money(f, r)
    ),
    "policy_no_hour": lambda _r, _f, _n: say(
        "what an hour costs in your currency is not written, so no cost is counted"
    ),
    "policy_office": lambda r, f, _n: say(
        "your figure: office and fees {money} a contract and year", money=_currency_money(f, r)
    ),
    "policy_no_office": lambda _r, _f, _n: say(
        "office and fees of a contract are not written and not counted"
    ),
    "renewal_fleet_calls": lambda r, f, _n: say(
        "{calls} callbacks a contract and year over the fleet",
        calls=f.number(round(r["calls"], 2)),
    ),
    "renewal_road_shared": lambda _r, _f, _n: say(
        "road: what a round drove, shared by what each stop adds to it over all orders of joining"
    ),
    "renewal_no_truck": lambda _r, _f, _n: say(
        "fuel and wear of the truck count only as far as your cost of an hour holds them"
    ),
}  # fmt: skip
