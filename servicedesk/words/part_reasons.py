"""Why a part is under contract, under warranty or billable."""

from collections.abc import Callable, Mapping

from servicedesk.values.money import Money
from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.jobs import kind_text
from servicedesk.words.languages import say

PART_TELLERS: dict[str, Callable[[Reason, Formats, Mapping[str, str]], str]] = {
    "part_under_warranty": lambda r, f, _n: say(
        "the unit is under warranty until {day}", day=f.day(r["until"])
    ),
    "part_as_the_job": lambda _r, _f, _n: say("as the job is billed"),
    "part_without_contract": lambda _r, _f, _n: say("no contract runs here on that day"),
    "part_job_not_covered": lambda r, _f, _n: say(
        "the contract covers no {kind}", kind=kind_text(r["kind"])
    ),
    "part_over_limit": lambda r, f, _n: say(
        "over the {limit} that the contract allows without asking",
        limit=f.money(Money(r["minor"], r["currency"])),
    ),
    "part_under_contract": lambda r, _f, _n: say("contract {number} covers it", number=r["number"]),
}
