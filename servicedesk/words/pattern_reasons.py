"""Why a pattern is shown as it is, or no claim is made."""

from collections.abc import Callable, Mapping

from servicedesk.values.money import Money
from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n


def _one_digit(formats: Formats, value: object) -> str:
    return formats.number(round(value, 1)) if isinstance(value, int | float) else "?"


def _percent(value: object) -> int:
    return round(100 * value) if isinstance(value, int | float) else 0


def _money(formats: Formats, reason: Reason) -> str:
    return formats.money(Money(reason["minor"], reason["currency"]))


def _saves_too_little(reason: Reason) -> str:
    percent = _percent(reason["share"])
    if percent == 0:
        return say("waiting until it fails is cheaper than replacing early")
    return say("replacing early would save {percent}%: not worth it", percent=percent)


PATTERN_TELLERS: dict[str, Callable[[Reason, Formats, Mapping[str, str]], str]] = {
    "few_events": lambda r, _f, _n: say_n(
        "too few to say: {n} seen, {least} are needed",
        "too few to say: {n} seen, {least} are needed",
        r["n"],
        least=r["least"],
    ),
    "few_years": lambda r, f, _n: say(
        "too few to say: watched for {years} years together, {least} are needed",
        years=_one_digit(f, r["years"]),
        least=round(r["least"]),
    ),
    "may_be_little": lambda _r, _f, _n: say("above the others, but perhaps by little"),
    "may_be_chance": lambda _r, _f, _n: say(
        "so many groups are compared that this one may be chance"
    ),
    "spread_unevenly": lambda r, f, _n: say(
        "calls crowd at some systems, so the range is wider ({times} times the usual variance)",
        times=_one_digit(f, r["index"]),
    ),
    "goes_with_age": lambda r, f, _n: say(
        "among units of the same age {times} times as often ({low} to {high}): age may explain it",
        times=_one_digit(f, r["times"]),
        low=_one_digit(f, r["low"]),
        high=_one_digit(f, r["high"]),
    ),
    "same_at_equal_age": lambda r, f, _n: say(
        "among units of the same age {times} times as often ({low} to {high})",
        times=_one_digit(f, r["times"]),
        low=_one_digit(f, r["low"]),
        high=_one_digit(f, r["high"]),
    ),
    "association": lambda _r, _f, _n: say(
        "they go together; that one causes the other is not shown"
    ),
    "unknown_calls_counted": lambda _r, _f, _n: say(
        "calls whose cause nobody found are counted as its own where savings are reckoned"
    ),
    "few_failures_for_life": lambda r, _f, _n: say_n(
        "{n} failure: too few to know how they age",
        "{n} failures: too few to know how they age",
        r["n"],
    ),
    "wear_out_not_shown": lambda r, f, _n: say(
        "wear-out not shown (shape {low} to {high} covers 1): replacing early does not pay",
        low=_one_digit(f, r["low"]),
        high=_one_digit(f, r["high"]),
    ),
    "failure_costs_no_more": lambda _r, _f, _n: say(
        "a failure costs no more than replacing early: wait"
    ),
    "saves_too_little": lambda r, _f, _n: _saves_too_little(r),
    "few_events_for_trend": lambda r, _f, _n: say_n(
        "{n} call: too few for a trend", "{n} calls: too few for a trend", r["n"]
    ),
    "assumed_hour": lambda r, f, _n: say(
        "assumed: an hour of work or driving costs {money}; your own figure is not written",
        money=_money(f, r),
    ),
    "company_hour": lambda r, f, _n: say(
        "your figure: an hour of work or driving costs {money}", money=_money(f, r)
    ),
    "counted_call": lambda r, f, _n: say_n(
        "a callback takes {minutes} on site and {drive} driving (middle of {n} visit)",
        "a callback takes {minutes} on site and {drive} driving (middle of {n} visits)",
        r["n"],
        minutes=f.minutes(r["minutes"]),
        drive=f.minutes(r["drive_min"]),
    ),
    "assumed_call": lambda r, f, _n: say(
        "assumed: a callback takes {minutes} on site and {drive} driving",
        minutes=f.minutes(r["minutes"]),
        drive=f.minutes(r["drive_min"]),
    ),
    "company_call": lambda r, f, _n: say(
        "your figure: a callback costs {money}", money=_money(f, r)
    ),
    "counted_over_years": lambda r, _f, _n: say_n(
        "savings are counted over {n} year",
        "savings are counted over {n} years",
        r["years"],
    ),
    "no_cost_known": lambda _r, _f, _n: say(
        "what an hour costs in your currency is not written, so no savings are counted"
    ),
    "counted_work": lambda r, f, _n: say_n(
        "the work takes {minutes} (middle of {n} job)",
        "the work takes {minutes} (middle of {n} jobs)",
        r["n"],
        minutes=f.minutes(r["minutes"]),
    ),
    "assumed_work": lambda r, f, _n: say(
        "assumed: the work takes {minutes}", minutes=f.minutes(r["minutes"])
    ),
    "part_cost": lambda r, f, _n: say("the part costs {money}", money=_money(f, r)),
    "part_cost_not_known": lambda _r, _f, _n: say(
        "the cost of the part is not known and not counted"
    ),
}
