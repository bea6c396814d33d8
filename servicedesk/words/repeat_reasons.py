"""Why an alert was raised, in the form of the fixed rule."""

from collections.abc import Callable, Mapping

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n

DAYS_PER_YEAR = 365
MONTHS_FROM_DAYS = 60  # below two months a stretch is told in days
YEARS_FROM_DAYS = 730
MOSTLY_FROM = 0.70


def about(chance: float | None) -> str:
    """A chance of trouble that came back, as roughly as it is known; "" where there is none.

    Of alerts with 0.40 or more about half were right in simulation, with 0.70 or more four in five.
    """
    if chance is None:
        return ""
    return say("about 4 in 5") if chance >= MOSTLY_FROM else say("about 1 in 2")


def _repeat(reason: Reason) -> str:
    return say(
        "{calls}; a site like this has one in {usual}",
        calls=_calls(reason),
        usual=_stretch(reason["usual_days"]),
    )


def _repeat_by_rule(reason: Reason) -> str:
    return say(
        "{calls}; counted by the rule alone: two within 6 months, or three within 24",
        calls=_calls(reason),
    )


def _calls(reason: Reason) -> str:
    n, what = reason["n"], reason["symptom"]
    if not reason["days"]:
        return say_n("{n} callback for {what}", "{n} callbacks for {what}", n, what=what)
    return say_n(
        "{n} callback for {what} in {time}",
        "{n} callbacks for {what} in {time}",
        n,
        what=what,
        time=_stretch(reason["days"]),
    )


def _stretch(days: int) -> str:
    if days < MONTHS_FROM_DAYS:
        return say_n("{n} day", "{n} days", days)
    if days < YEARS_FROM_DAYS + 31:
        months = round(days * 12 / DAYS_PER_YEAR)
        return say_n("{n} month", "{n} months", months)
    return say_n("{n} year", "{n} years", round(days / DAYS_PER_YEAR))


def _named(tell: Callable[[Reason], str]) -> Callable[[Reason, Formats, Mapping[str, str]], str]:
    """The symptom by its name where `names` has one for its key."""

    def told(reason: Reason, _formats: Formats, names: Mapping[str, str]) -> str:
        values = dict(reason.values)
        values["symptom"] = names.get(values["symptom"], values["symptom"])
        return tell(Reason.of(reason.code, **values))

    return told


REPEAT_TELLERS = {"repeat": _named(_repeat), "repeat_by_rule": _named(_repeat_by_rule)}
