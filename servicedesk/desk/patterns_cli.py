"""`servicedesk patterns`: what stands out in the fleet, from the shell."""

import argparse
from collections.abc import Callable
from contextlib import closing
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_lives import LifeCurve
from servicedesk.desk.pattern_page import FactorRows, GroupRow, Pattern, PatternPage
from servicedesk.desk.patterns import patterns
from servicedesk.desk.verb_options import desk_of
from servicedesk.values.money import Money
from servicedesk.values.reason import Reason
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.pattern_words import flag_text
from servicedesk.words.reasons import reason_text

DONE, LOOK = 0, 1
MOST_SYSTEMS = 5
Tell = Callable[..., None]


def patterns_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The page in lines or as JSON; exit code 1 where something stands out clearly."""
    desk = desk_of(chosen)
    with closing(desk.store):
        page = patterns(desk)
        if chosen.json:
            print_json(page)
        else:
            tell(*pattern_lines(page, desk))
    return LOOK if page.n_clear else DONE


def pattern_lines(page: PatternPage, desk: Desk) -> list[str]:
    """Rows with ranges, then each pattern with what it would save, then lives."""
    f = desk.formats
    head = say(
        "{systems} · {years} system-years · calls since {since}",
        systems=say_n("{n} system", "{n} systems", page.n_systems),
        years=f.number(round(page.system_years)),
        since=f.month(page.begins_on),
    )
    if not page.factors:
        return [head, say("Too little has failed yet to compare anything.")]
    lines = [head]
    for factor in page.factors:
        lines.extend(_factor_lines(factor, f))
    lines.append("")
    lines.append(
        say_n(
            "“Clearly above” allows for {n} comparison made at once: about one such flag in ten "
            "is chance.",
            "“Clearly above” allows for {n} comparisons made at once: about one such flag in ten "
            "is chance.",
            page.n_compared,
        )
    )
    for pattern in page.patterns:
        lines.extend(_pattern_lines(pattern, desk))
    lines.extend(_life_lines(page.curves, f))
    lines.append("")
    lines.append(say("What savings rest on:"))
    lines.extend(f"  {_said(reason, f)}" for reason in page.assumed.reasons)
    return lines


def _factor_lines(factor: FactorRows, f: Formats) -> list[str]:
    head = say(
        "{title} · {measure}, all: {rate}",
        title=factor.title,
        measure=factor.measure_text,
        rate=_one(f, factor.reference),
    )
    return ["", head, *(f"  {_row_line(row, f)}" for row in factor.rows)]


def _row_line(row: GroupRow, f: Formats) -> str:
    seen = say(
        "{label}: {now} now, {events} in {years} years",
        label=row.label,
        now=row.n_now,
        events=row.events,
        years=f.number(round(row.years)),
    )
    if row.best is None:
        return seen
    rate = say(
        "{best} ({low} to {high})",
        best=_one(f, row.best.best),
        low=_one(f, row.best.low),
        high=_one(f, row.best.high),
    )
    return "  ".join(part for part in (seen, rate, flag_text(row.flag)) if part)


def _pattern_lines(pattern: Pattern, desk: Desk) -> list[str]:
    f = desk.formats
    lines = ["", f"{pattern.title}: {flag_text(pattern.row.flag)}"]
    times = pattern.row.times
    if times is not None:
        lines.append(
            say(
                "  {times} times as often as the others ({low} to {high})",
                times=_one(f, times.best),
                low=_one(f, times.low),
                high=_one(f, times.high),
            )
        )
    lines.extend(f"  {_said(reason, f)}" for reason in pattern.reasons)
    lines.append(
        say(
            "  {called} called twice or more; at {never} of them it was never looked at",
            called=say_n("{n} system", "{n} systems", pattern.n_called_twice),
            never=pattern.n_never_looked,
        )
    )
    lines.append(f"  {pattern.what}")
    if pattern.saving_minor is not None:
        lines.append(f"  {_worth(pattern, desk)}")
    lines.extend(
        f"    {one.address}{_saving(one.saving_minor, desk)}"
        for one in pattern.exposed[:MOST_SYSTEMS]
    )
    more = len(pattern.exposed) - MOST_SYSTEMS
    if more > 0:
        lines.append("    " + say_n("and {n} more", "and {n} more", more))
    lines.extend(f"  ! {caution}" for caution in pattern.cautions)
    return lines


def _worth(pattern: Pattern, desk: Desk) -> str:
    if not pattern.n_worth or pattern.saving_minor is None:
        return say("it pays nowhere yet: waiting is cheaper")
    saved = desk.formats.money(Money(pattern.saving_minor, desk.company.currency))
    return say_n(
        "it pays at {n} system and saves {saved} there",
        "it pays at {n} systems and saves {saved} there",
        pattern.n_worth,
        saved=saved,
    )


def _saving(minor: int | None, desk: Desk) -> str:
    return "" if minor is None else f": {desk.formats.money(Money(minor, desk.company.currency))}"


def _life_lines(curves: tuple[LifeCurve, ...], f: Formats) -> list[str]:
    lines = ["", say("Still working, by years since fitted")] if curves else []
    for one in curves:
        half = one.curve.half_by
        if half is not None:
            until = say("half by {years} years", years=_one(f, half))
        else:
            until = say("half last more than {years} years", years=_one(f, one.more_than or 0.0))
        text = f"  {one.title}: {until}"
        if one.best is not None:
            text += "; " + say(
                "replacing at {years} years ({low} to {high}) costs {percent}% less than waiting",
                years=_one(f, one.best.age),
                low=_one(f, one.best.from_age),
                high=_one(f, one.best.until_age),
                percent=round(100 * one.best.saving),
            )
        elif one.why_not is not None:
            text += f"; {_said(one.why_not, f)}"
        lines.append(text)
    return lines


def _said(reason: Reason, f: Formats) -> str:
    return reason_text(reason, f)


def _one(f: Formats, value: float) -> str:
    return "∞" if value == float("inf") else f.number(round(value, 1))
