"""What is wrong with a service rule, as a sentence: for whoever writes the company's own."""

from collections.abc import Callable, Iterable

from servicedesk.values.reason import Reason
from servicedesk.words.languages import say


def _list(values: Iterable[object]) -> str:
    return ", ".join(str(value) for value in values)


RULE_WORDS: dict[str, Callable[[Reason], str]] = {
    "none_given": lambda _r: say("one at least is needed here"),
    "not_in_date_order": lambda r: say(
        "{later} does not come after {earlier}: the oldest wording stands first",
        earlier=r["earlier"] or say("the first one"), later=r["later"] or say("one without a day"),
    ),
    "not_one_shape": lambda r: say(
        "say how often in one way: every_months, times_a_year or as_permit; here stands {found}",
        found=_list(r["found"]) or say("none of them"),
    ),
    "does_not_fit_a_year": lambda r: say(
        "{times} visits {apart} months apart do not fit into a year",
        times=r["times"], apart=r["apart"],
    ),
    "only_with_one_visit": lambda _r: say("a day for the year's report goes with one visit a year"),
    "not_a_month_and_day": lambda r: say(
        "{value} is no month and day, such as 07-01", value=repr(r["value"])
    ),
    "not_one_form": lambda r: say(
        "say the time in one way: days, months, working_days, hours, day_of_next_month or "
        "fixed_date; here stands {found}",
        found=_list(r["found"]) or say("none of them"),
    ),
    "no_such_test": lambda r: say("{value} is no test of this rule", value=repr(r["value"])),
    "above_high": lambda r: say(
        "the lower end {low} is above the upper one {high}", low=r["low"], high=r["high"]
    ),
    "not_whole_numbers": lambda _r: say("a list of whole numbers is expected here"),
}  # fmt: skip
