"""`servicedesk what-if`: a year's work with more sites or fewer people, from the shell."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.absence_cli import technician_named
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.desk.what_if import Answer, Question, what_if
from servicedesk.routes.what_if import MonthRange, Range
from servicedesk.words import say

DONE = 0


def what_if_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The months in lines or as JSON, and what was assumed."""
    desk = desk_of(chosen)
    question = Question(
        more_sites=chosen.more_sites,
        near=chosen.near,
        without=tuple(technician_named(desk, name) for name in chosen.without),
    )
    answer = what_if(desk, question, n_years=chosen.years, seed=chosen.seed)
    if chosen.json:
        print_json(answer)
    else:
        tell(*answer_lines(answer, metric=desk.company.units == "si"))
    return DONE


def answer_lines(answer: Answer, *, metric: bool) -> list[str]:
    """One line a month, now and then, then the assumptions. Distances in km or miles."""
    unit = say("km") if metric else say("mi")
    head = say("hours worked of those there are, {unit}, late windows, late promises: now / then",
               unit=unit)  # fmt: skip
    lines = [head]
    for n, name in enumerate(answer.names):
        now, then = answer.now[n], answer.then[n]
        lines.append(
            f"{name}: {hours_text(now, answer.hours_now[n])} / "
            f"{hours_text(then, answer.hours_then[n])} · "
            f"{range_text(distance(now.km, metric=metric))} / "
            f"{range_text(distance(then.km, metric=metric))} {unit} · "
            f"{late_text(now)} / {late_text(then)}"
        )
    lines.append(say("Middle of {n} simulated years, in brackets eight of ten.", n=answer.n_years))
    return [*lines, "", say("Assumed:"), *(f"- {one}" for one in answer.assumed)]


def hours_text(month: MonthRange, there_are: float) -> str:
    """As "402 (380–431) of 456 h"."""
    return say("{hours} of {all} h", hours=range_text(month.hours), all=round(there_are))


def late_text(month: MonthRange) -> str:
    """Late windows and promises: "0 (0–2), 1 (0–3)"."""
    return f"{range_text(month.windows_late)}, {range_text(month.promises_late)}"


def distance(km: Range, *, metric: bool) -> Range:
    """A distance in the company's unit: km, or miles of 1.609344 km (international mile)."""
    one = 1.0 if metric else 1 / 1.609344
    return Range(km.low * one, km.middle * one, km.high * one)


def range_text(one: Range) -> str:
    """As "402 (380–431)"; one figure where it never differs."""
    low, middle, high = (round(n) for n in (one.low, one.middle, one.high))
    return f"{middle}" if low == high else f"{middle} ({low}\u2013{high})"
