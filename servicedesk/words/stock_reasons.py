"""What an order point rests on."""

from collections.abc import Callable, Mapping

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n

STOCK_TELLERS: dict[str, Callable[[Reason, Formats, Mapping[str, str]], str]] = {
    "order_of_use": lambda r, f, _n: say(
        "about {a_year} a year, as used in {years} years",
        a_year=_one_digit(f, r["a_year"]),
        years=_one_digit(f, r["years"]),
    ),
    "order_of_bursts": lambda r, f, _n: say(
        "about {a_year} a year, as used in {years} years; use comes in bursts",
        a_year=_one_digit(f, r["a_year"]),
        years=_one_digit(f, r["years"]),
    ),
    "order_never_used": lambda r, _f, _n: (
        say_n(
            "never used; {n} is kept, because a missing one stops a system",
            "never used; {n} are kept, because a missing one stops a system",
            r["keep"],
        )
        if r["keep"]
        else say("never used, so none is kept")
    ),
    "order_by_hand": lambda r, f, _n: say("order point {n} set by hand", n=f.number(r["point"])),
}


def _one_digit(formats: Formats, value: float) -> str:
    return formats.number(round(value, 1))
