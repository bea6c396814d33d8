"""A chosen group in four sentences: how much, how sure, what was tried, what it costs and saves."""

import math
import re
from dataclasses import dataclass
from decimal import Decimal

from babel.numbers import format_currency

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_page import FactorRows, GroupRow, PatternPage
from servicedesk.desk.pattern_tried import Tried
from servicedesk.desk.patterns import Pattern
from servicedesk.trouble.rates import Range
from servicedesk.trouble.trend import Trend
from servicedesk.values.money import Money
from servicedesk.values.reason import Reason
from servicedesk.words import say, say_n
from servicedesk.words.formats import MINUS, Formats, minor_digits
from servicedesk.words.pattern_words import capital, component_text, flag_text
from servicedesk.words.reasons import reason_text

MOST_TRIED = 3
SURE_BELOW = 0.05  # of a test; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The sentences. `rate`: the figures behind the first; "" where there is nothing to say."""

    title: str
    much: str
    rate: str
    sure: str
    tried: str
    worth: str
    remedy: str
    cautions: tuple[str, ...]


def told(desk: Desk, page: PatternPage, pattern: Pattern, tried: Tried | None = None) -> Told:
    """A pattern in words. `tried`: what else was changed, None while it is not known."""
    f = desk.formats
    factor = next(one for one in page.factors if one.id == pattern.factor_id)
    much = ""
    if pattern.row.times is not None:
        much = say(
            "{times} times as often as all others ({low} to {high}).",
            times=one_digit(f, pattern.row.times.best),
            low=one_digit(f, pattern.row.times.low),
            high=one_digit(f, pattern.row.times.high),
        )
    return Told(
        title=pattern.title,
        much=much,
        rate=_rate(f, factor, pattern.row),
        sure=_sure(f, page, pattern),
        tried=_tried(pattern, tried),
        worth=_worth(desk, page, pattern),
        remedy=pattern.what,
        cautions=pattern.cautions,
    )


def told_row(desk: Desk, factor: FactorRows, row: GroupRow) -> Told:
    """A group that does not stand out: what was seen, and that nothing is claimed."""
    f = desk.formats
    seen = say(
        "{events} seen in {years} years of {n} together.",
        events=row.events,
        years=f.number(round(row.years)),
        n=say("systems") if is_of_systems(factor) else say("units"),
    )
    reasons = [reason_text(reason, f) for reason in row.reasons]
    much, sure = _sentences(reasons or [flag_text(row.flag)]), ""
    if row.flag != "too few":
        claim = say("nothing sets it apart from the others: no claim is made")
        much, sure = "", _sentences([*reasons, claim])
    return Told(
        title=f"{factor.title}: {row.label}",
        much=much,
        rate=_rate(f, factor, row),
        sure=sure,
        tried=seen,
        worth="",
        remedy="",
        cautions=(),
    )


def lasting_text(pattern: Pattern) -> str:
    """Do its units last as long as the others? "" where they are not grouped."""
    found = pattern.lasting
    if found is None:
        return ""
    seen, expected = found.seen[0], found.expected[0]
    if found.p >= SURE_BELOW:
        return say("That its units last shorter or longer than the others is not shown.")
    return say_n(
        "{n} of its units failed where {expected} would have if all lasted alike.",
        "{n} of its units failed where {expected} would have if all lasted alike.",
        seen,
        expected=round(expected),
    )


def trend_text(pattern: Pattern, formats: Formats) -> str:
    """Do calls at its systems come closer together over the years?"""
    trend = pattern.trend
    if not isinstance(trend, Trend):
        return _sentences([reason_text(trend, formats)])
    if trend.p >= SURE_BELOW:
        return say("Calls at its systems come neither closer together nor farther apart.")
    if trend.z > 0:
        return say("Calls at its systems come closer together over the years.")
    return say("Calls at its systems come farther apart over the years.")


def one_digit(formats: Formats, value: float) -> str:
    """As "4.7", "12"; "∞" beyond all numbers."""
    return formats.number(round(value, 1)) if math.isfinite(value) else "∞"


def range_text(formats: Formats, one: Range) -> str:
    """As "4.7 (3 to 7.4)"."""
    low, high = one_digit(formats, one.low), one_digit(formats, one.high)
    return say("{best} ({low} to {high})", best=one_digit(formats, one.best), low=low, high=high)


def about(desk: Desk, minor: float) -> str:
    """A sum near enough: whole units of money where there are enough of them."""
    unit = 10 ** minor_digits(desk.company.currency)
    if abs(minor) < 20 * unit or unit == 1:
        return desk.formats.money(Money(round(minor), desk.company.currency))
    pattern = desk.formats.locale.currency_formats["standard"].pattern
    whole = re.sub(r"\.0+", "", pattern)
    text: str = format_currency(
        Decimal(round(minor / unit)),
        desk.company.currency,
        whole,
        locale=desk.formats.locale_name,
        currency_digits=False,
    )
    return text.replace("-", MINUS)


def is_of_systems(factor: FactorRows) -> bool:
    """Whether whole systems are counted and not units."""
    return factor.measure == "callbacks"


def comparisons_text(page: PatternPage) -> str:
    """For how many comparisons the words at the rows allow."""
    return say_n(
        "“Clearly above” allows for {n} comparison made at once: about one such flag in ten is "
        "chance.",
        "“Clearly above” allows for {n} comparisons made at once: about one such flag in ten is "
        "chance.",
        page.n_compared,
    )


def association_text() -> str:
    """What no row says."""
    return say("A row shows what goes together, not what causes it.")


def _rate(f: Formats, factor: FactorRows, row: GroupRow) -> str:
    if row.best is None:
        return ""
    return say(
        "{measure}: {rate}, all groups together {all}.",
        measure=factor.measure_text,
        rate=range_text(f, row.best),
        all=one_digit(f, factor.reference),
    )


def _sure(f: Formats, page: PatternPage, pattern: Pattern) -> str:
    if pattern.row.flag == "clearly above":
        first = say_n(
            "clearly above, with {n} group compared at once: about one such flag in ten is chance",
            "clearly above, with {n} groups compared at once: about one such flag in ten is chance",
            page.n_compared,
        )
    else:
        first = say("not clear yet: keep watching")
    return _sentences([first, *(reason_text(reason, f) for reason in pattern.reasons)])


def _sentences(texts: list[str]) -> str:
    return " ".join(f"{capital(text).rstrip('.')}." for text in texts if text)


def _tried(pattern: Pattern, tried: Tried | None) -> str:
    n = pattern.n_called_twice
    called = say_n(
        "{n} of its systems called twice or more within two years",
        "{n} of its systems called twice or more within two years",
        n,
    )
    if not n:
        called = say("None of its systems called twice within two years")
    elif pattern.component:
        part = component_text(pattern.component)
        never = say("at each of them somebody looked at the {part}", part=part)
        if pattern.n_never_looked:
            never = say(
                "at {never} of them nobody ever looked at the {part}",
                never=pattern.n_never_looked,
                part=part,
            )
        called = say("{called}; {never}", called=called, never=never)
    if tried is None or not tried.n:
        return f"{called}."
    parts = ", ".join(
        say("{part} {n}", part=component_text(one), n=k)
        for one, k in tried.by_component[:MOST_TRIED]
    )
    swaps = say_n(
        "Something else was changed there {n} time ({parts}); after {vain} of these the next call "
        "came within half a year",
        "Something else was changed there {n} times ({parts}); after {vain} of these the next call "
        "came within half a year",
        tried.n,
        parts=parts if len(tried.by_component) <= MOST_TRIED else say("{parts} …", parts=parts),
        vain=tried.n_vain,
    )
    return f"{called}. {swaps}."


def _worth(desk: Desk, page: PatternPage, pattern: Pattern) -> str:
    if pattern.do_minor is None:
        return _sentences([reason_text(Reason.of("no_cost_known"), desk.formats)])
    if pattern.saving_minor is None and pattern.kind not in {"model", "practice", "place"}:
        return say(
            "A look takes about {time} at a visit one makes anyway; what it would save is not "
            "known.",
            time=desk.formats.minutes(pattern.minutes),
        )
    costs = say(
        "The work costs about {cost} at a visit one makes anyway, a callback {call}",
        cost=about(desk, pattern.do_minor),
        call=about(desk, pattern.call_minor or 0),
    )
    if pattern.saving_minor is None:
        return say("{costs}; what it would save is not known.", costs=costs)
    if not pattern.n_worth:
        return say("{costs}: it pays nowhere yet, waiting is cheaper.", costs=costs)
    saves = say_n(
        "{costs}: it pays at {n} system and saves {saved} there",
        "{costs}: it pays at {n} systems and saves {saved} there",
        pattern.n_worth,
        costs=costs,
        saved=about(desk, pattern.saving_minor),
    )
    return _over(desk, page, pattern, saves)


def _over(desk: Desk, page: PatternPage, pattern: Pattern, saves: str) -> str:
    """Over which time it saves."""
    if pattern.kind == "model":  # its saving is over the life to come, not over a few years
        return say("{saves} against waiting until they fail.", saves=saves)
    years = say_n("within {n} year", "within {n} years", page.assumed.years)
    if pattern.pays_back is None:
        return f"{saves} {years}."
    time = _time(desk.formats, pattern.pays_back)
    return say(
        "{saves} {years}; it has paid for itself after {time}.", saves=saves, years=years, time=time
    )


def _time(formats: Formats, years: float) -> str:
    if years < 2:
        return say_n("{n} month", "{n} months", max(1, round(12 * years)))
    return say("{n} years", n=one_digit(formats, years))
