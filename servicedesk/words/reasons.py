"""Reasons of the calculations as sentences. Every code a calculation gives has its words here."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from servicedesk.values.reason import Reason
from servicedesk.words.abilities import nobody_has, one_lacks
from servicedesk.words.alert_reasons import ALERT_TELLERS
from servicedesk.words.diagnosis_reasons import DIAGNOSIS_TELLERS
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n
from servicedesk.words.part_reasons import PART_TELLERS
from servicedesk.words.pattern_reasons import PATTERN_TELLERS
from servicedesk.words.period_reasons import PERIOD_TELLERS
from servicedesk.words.renewal_reasons import RENEWAL_TELLERS
from servicedesk.words.repeat_reasons import REPEAT_TELLERS
from servicedesk.words.road_reasons import ROAD_TELLERS
from servicedesk.words.stock_reasons import STOCK_TELLERS

Names = Mapping[str, str]
Teller = Callable[[Reason, Formats, Names], str]


def reason_text(reason: Reason, formats: Formats, names: Names | None = None) -> str:
    """The sentence for one reason. `names` gives the words for crew and stop ids in it.

    Raises KeyError for a code that has no words yet: a mistake of ours.
    """
    return _TELLERS[reason.code](reason, formats, names or {})


def reasons_text(reasons: Iterable[Reason], formats: Formats, names: Names | None = None) -> str:
    """Several reasons in one line."""
    return "; ".join(reason_text(reason, formats, names) for reason in reasons)


def known_codes() -> frozenset[str]:
    """All codes that have words."""
    return frozenset(_TELLERS)


def _name(names: Names, value: object) -> str:
    return names.get(str(value), str(value))


def _day(formats: Formats, value: object) -> str:
    return formats.day(value) if isinstance(value, date) else say("an unknown day")


_TELLERS: dict[str, Teller] = {
    **ALERT_TELLERS,
    **DIAGNOSIS_TELLERS,
    **PART_TELLERS,
    **PATTERN_TELLERS,
    **PERIOD_TELLERS,
    **RENEWAL_TELLERS,
    **REPEAT_TELLERS,
    **ROAD_TELLERS,
    **STOCK_TELLERS,
    # why a stop found no place (routes.why)
    "nobody_works": lambda _r, _f, _n: say("nobody works that day"),
    "crew_away": lambda r, _f, n: say("{crew} is not at work", crew=_name(n, r["crew"])),
    "no_skill": lambda r, _f, _n: nobody_has(r["skills"]),
    "crew_lacks_skill": lambda r, _f, n: one_lacks(_name(n, r["crew"]), r["skills"]),
    "no_common_hours": lambda r, f, _n: say(
        "nobody can be there between {a} and {b}",
        a=f.time(r["open_from_min"]),
        b=f.time(r["open_until_min"]),
    ),
    "promise_not_reachable": lambda r, f, _n: say(
        "promised by {a}; nobody can be there before {b}",
        a=f.time(r["until_min"]),
        b=f.time(r["earliest_min"]),
    ),
    "too_long": lambda r, f, _n: say(
        "work and road alone are {time} longer than any shift", time=f.minutes(r["over_min"])
    ),
    "day_full": lambda r, f, n: say(
        "the day is full: {crew} would be home {time} too late",
        crew=_name(n, r["crew"]),
        time=f.minutes(r["over_min"]),
    ),
    "pushes_out": lambda r, f, n: say(
        "it would push {stop} {time} past its hours",
        stop=_name(n, r["stop"]),
        time=f.minutes(r["by_min"]),
    ),
    "own_hours_taken": lambda r, f, n: say(
        "{crew} would get there {time} too late",
        crew=_name(n, r["crew"]),
        time=f.minutes(r["by_min"]),
    ),
    "makes_late": lambda r, f, n: say(
        "it would make {stop} {time} late for its promise",
        stop=_name(n, r["stop"]),
        time=f.minutes(r["by_min"]),
    ),
    "not_worth_road": lambda r, f, _n: say(
        "there is room, but {time} more road is more than it is worth today",
        time=f.minutes(r["extra_min"]),
    ),
    "waits_for": lambda r, _f, n: (
        say("it waits for {who}, who is wanted there", who=n[str(r["liked"])])
        if str(r["liked"]) in n
        else say("it waits for the technician who is wanted there and not at work")
    ),
    "stop_lacks_skill": lambda r, _f, n: one_lacks(_name(n, r["crew"]), r["skills"]),
    "wrong_crew": lambda r, _f, n: say("it is held with {crew}", crew=_name(n, r["bound_to"])),
    # the site (desk.demand)
    "site_closed": lambda r, f, _n: say("the site is closed on {day}", day=_day(f, r["on"])),
    "not_a_visiting_day": lambda _r, _f, _n: say("it may not be visited on that weekday"),
    # windows (duties.windows)
    "outside_contract": lambda r, f, _n: say(
        "the inspection of {day} lies outside the contract", day=_day(f, r["on"])
    ),
    "too_early": lambda r, f, _n: say(
        "the inspection of {day} was too early; it counts from {first}",
        day=_day(f, r["on"]),
        first=_day(f, r["counts_from_on"]),
    ),
    "no_window_left": lambda r, f, _n: say(
        "the inspection of {day} was one more than owed", day=_day(f, r["on"])
    ),
    "longest_gap": lambda r, f, _n: say_n(
        "at most {n} month after {day}",
        "at most {n} months after {day}",
        r["months"],
        day=_day(f, r["since_on"]),
    ),
    "rule_wants_more": lambda r, _f, _n: say(
        "the rule wants {rule} a year, the contract {contract}",
        rule=r["rule_times"],
        contract=r["contract_times"],
    ),
    "rule_stricter": lambda r, f, _n: say(
        "the rule is stricter: {rule} instead of {contract}",
        rule=_day(f, r["rule_on"]),
        contract=_day(f, r["contract_on"]),
    ),
    "contract_stricter": lambda r, f, _n: say(
        "the contract is stricter: {contract} instead of {rule}",
        rule=_day(f, r["rule_on"]),
        contract=_day(f, r["contract_on"]),
    ),
    "early_within_tolerance": lambda r, _f, _n: say_n(
        "{n} day early, within the tolerance", "{n} days early, within the tolerance", r["days"]
    ),
    "partly_closed": lambda r, f, _n: say(
        "the site is closed for part of it; open {first} to {last}",
        first=_day(f, r["from_on"]),
        last=_day(f, r["last_on"]),
    ),
    "wholly_closed": lambda r, f, _n: _wholly_closed(r, f),
    "attempted": lambda r, f, _n: say_n(
        "tried once, last on {day}",
        "tried {n} times, last on {day}",
        r["n"],
        day=_day(f, r["last_on"]),
    ),
    "check_with_authority": lambda r, _f, _n: say(
        "check with your permitting authority ({place})", place=r["jurisdiction"]
    ),
    "as_permit": lambda _r, _f, _n: say("as the permit says"),
    "ask_permit": lambda _r, _f, _n: say(
        "the rule leaves it to the permit: write down what the permit says"
    ),
    "period_not_said": lambda _r, _f, _n: say("the rule does not say how its year is counted"),
    "first_years": lambda r, f, _n: say_n(
        "rule of the first year, until {day}",
        "rule of the first {n} years, until {day}",
        r["years"],
        day=_day(f, r["until_on"]),
    ),
    "after_first_years": lambda r, f, _n: say_n(
        "the first year ended {day}",
        "the first {n} years ended {day}",
        r["years"],
        day=_day(f, r["since_on"]),
    ),
    "first_use_not_known": lambda r, _f, _n: say_n(
        "the rule differs in the first year: write down when the system was first used",
        "the rule differs in the first {n} years: write down when the system was first used",
        r["years"],
    ),
    # deadlines (duties.deadlines)
    "by_rule": lambda r, f, _n: _by_rule(r, f),
    "earlier_notices": lambda r, _f, _n: say_n(
        "{n} earlier notice in {months} months: {days} days",
        "{n} earlier notices in {months} months: {days} days",
        r["n"],
        months=r["months"],
        days=r["days"],
    ),
    "taken": lambda r, f, _n: say("taken {day}", day=_day(f, r["on"])),
    "license_ends": lambda r, f, _n: say("the license ends in {days}", days=f.days(r["days"])),
    "license_expired": lambda r, f, _n: say("the license ended {days} ago", days=f.days(r["days"])),
    # promises (duties.response)
    "contract_hours": lambda r, _f, _n: say("the contract promises {n} h", n=r["hours"]),
    "rule_hours": lambda r, _f, _n: say("the rule allows {n} h", n=r["hours"]),
    "company_hours": lambda r, _f, _n: say("our usual {n} h", n=r["hours"]),
    "urgent_hours": lambda r, _f, _n: say("urgent: {n} h", n=r["hours"]),
    "in_working_hours": lambda _r, _f, _n: say("counted in working hours"),
    "before_closing": lambda r, f, _n: say(
        "nobody works at {time} on {day}, so before closing time the day before",
        time=f.time(r["minute"]),
        day=_day(f, r["on"]),
    ),
    "nobody_on_call": lambda _r, _f, _n: say("nobody is on call then"),
    "not_confirmed": lambda _r, _f, _n: say("not confirmed: check with your permitting authority"),
}


def _by_rule(reason: Reason, formats: Formats) -> str:
    n = reason["n"]
    match reason["form"]:
        case "days":
            return say("the rule gives {days}", days=formats.days(n))
        case "working_days":
            return say_n("the rule gives {n} working day", "the rule gives {n} working days", n)
        case "months":
            return say_n("the rule gives {n} month", "the rule gives {n} months", n)
        case "hours":
            return say_n("the rule gives {n} hour", "the rule gives {n} hours", n)
        case "day_of_next_month":
            return say("the rule wants it by day {n} of the following month", n=n)
    return say("the rule sets the day")


def _wholly_closed(reason: Reason, formats: Formats) -> str:
    parts = [say("the site is closed for all of it")]
    if reason["before_on"] is not None and reason["before_counts"]:
        parts.append(say("{day} before it still counts", day=_day(formats, reason["before_on"])))
    if reason["after_on"] is not None:
        after = say("the first open day after it is {day}", day=_day(formats, reason["after_on"]))
        if reason["after_within_rule"]:
            after += say(" (within the rule)")
        parts.append(after)
    return ", ".join(parts)
