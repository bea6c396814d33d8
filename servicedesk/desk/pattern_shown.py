"""Patterns as figures need them: rows under an axis, small plots, ranges at equal age."""

from collections.abc import Sequence

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_lives import LifeCurve
from servicedesk.desk.pattern_page import FactorRows, GroupRow, PatternPage
from servicedesk.desk.pattern_told import is_of_systems, one_digit, range_text
from servicedesk.desk.pattern_tried import Key
from servicedesk.desk.patterns import Pattern
from servicedesk.papers.life_figures import PlotShown, Stair
from servicedesk.papers.pattern_figures import FactorShown, Look, RowShown, SectionShown
from servicedesk.papers.times_figure import TimesShown
from servicedesk.trouble.recurrent import Mean
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.pattern_words import capital, flag_text
from servicedesk.words.reasons import reason_text

MOST_PLOTS = 6
_LOOKS: dict[str, Look] = {"clearly above": "clear", "maybe": "maybe", "too few": "few"}
_ICONS = {
    "air-compressor": "air_pump",
    "effluent-pump": "pump",
    "alarm-float": "float",
    "pump-floats": "float",
    "control-panel": "panel",
    "alarm-circuit": "bell",
    "splices-box": "splice",
    "diffuser": "air",
    "tablet-chlorinator": "chlorinator",
    "liquid-chlorinator": "chlorinator",
    "uv-unit": "bolt",
    "spray-heads": "spray",
    "drip-filter": "drop",
    "timer": "clock",
}


def row_key(factor_id: str, group_id: str) -> str:
    """The key of a row in a figure."""
    return f"{factor_id}\x1f{group_id}"


def ids_of(key: str) -> Key:
    """Factor and group of a row's key."""
    factor_id, _, group_id = key.partition("\x1f")
    return factor_id, group_id


def icon_of(component: str) -> str:
    """The icon of a component, "" if none is drawn."""
    return _ICONS.get(component, "")


def look_of(row: GroupRow) -> Look:
    """The mark of a row."""
    return _LOOKS.get(row.flag, "plain")


def factors_shown(page: PatternPage, *, everything: bool) -> tuple[FactorRows, ...]:
    """Factors in the order of what stands out in them; the others last or not at all."""
    rank: dict[str, int] = {}
    for n, pattern in enumerate(page.patterns):
        rank.setdefault(pattern.factor_id, n)
    kept = [one for one in page.factors if everything or one.id in rank]
    return tuple(sorted(kept, key=lambda one: rank.get(one.id, len(rank) + len(page.patterns))))


def sections_of(
    page: PatternPage, formats: Formats, *, everything: bool
) -> tuple[SectionShown, ...]:
    """Rows of factors, those that are counted alike under one axis."""
    by_measure: dict[str, list[FactorRows]] = {}
    for factor in factors_shown(page, everything=everything):
        by_measure.setdefault(factor.measure, []).append(factor)
    return tuple(
        SectionShown(
            title=factors[0].measure_text,
            column=say("systems") if is_of_systems(factors[0]) else say("units"),
            factors=tuple(_factor(one, formats) for one in factors),
        )
        for factors in by_measure.values()
    )


def _factor(factor: FactorRows, f: Formats) -> FactorShown:
    rows = tuple(_row(factor, row, f) for row in factor.rows)
    return FactorShown(title=factor.title, reference=factor.reference, rows=rows)


def _row(factor: FactorRows, row: GroupRow, f: Formats) -> RowShown:
    best = row.best
    n = (
        say_n("{n} system", "{n} systems", row.n_now)
        if is_of_systems(factor)
        else say_n("{n} unit", "{n} units", row.n_now)
    )
    rate = f"{factor.measure_text} {range_text(f, best)}" if best else ""
    said = (f"{factor.title}: {row.label}", n, rate, flag_text(row.flag))
    return RowShown(
        key=row_key(factor.id, row.id),
        label=row.label,
        n_text=f.number(row.n_now),
        best=best.best if best else None,
        low=best.low if best else None,
        high=best.high if best else None,
        look=look_of(row),
        words=flag_text(row.flag),
        spoken=", ".join(part for part in said if part),
    )


def plots_of(
    page: PatternPage, factor: FactorRows, group_id: str, formats: Formats
) -> tuple[PlotShown, ...]:
    """Curves that belong to a group: its own, those of its mates, then all of the component.

    Where units of no component are compared, or none has failed often enough for a curve: those of
    whole components, shortest-lived first.
    """
    own = [one for one in page.curves if one.component == factor.component != ""]
    own.sort(key=lambda one: (one.factor_id != factor.id, one.group_id != group_id))
    if not own:
        own = [one for one in page.curves if not one.factor_id]
        own.sort(key=lambda one: one.curve.half_by or one.more_than or 0.0)
    flags = {(f.id, row.id): row.flag for f in page.factors for row in f.rows}
    return tuple(
        _plot(one, formats, is_bad=flags.get((one.factor_id, one.group_id)) == "clearly above")
        for one in own[:MOST_PLOTS]
    )


def _plot(one: LifeCurve, f: Formats, *, is_bad: bool) -> PlotShown:
    curve, color = one.curve, "clay" if is_bad else "water"
    steps = tuple(
        (
            step.age,
            step.share,
            step.low if 0 < step.share < 1 else None,
            step.high if 0 < step.share < 1 else None,
        )
        for step in curve.steps
        if step.age <= curve.until_age
    )
    stair = Stair(steps=steps, start=curve.from_age, first=1.0, end=curve.until_age, color=color)
    span = (one.best.age, one.best.from_age, one.best.until_age) if one.best else None
    return PlotShown(
        key=row_key(one.factor_id, one.group_id),
        title=one.title,
        icon=icon_of(one.component),
        stairs=(stair,),
        top=1.0,
        levels=((1.0, say("all")), (0.5, "½"), (0.0, "0")),
        color=color,
        said=half_text(one, f),
        note=early_text(one, f),
        marked=curve.half_by,
        ticks=tuple(age for age in one.in_service if age >= curve.from_age),
        span=span,
    )


def half_text(one: LifeCurve, f: Formats) -> str:
    """As "half by 4.1 y (3.4 to 5)"."""
    curve = one.curve
    if curve.half_by is None:
        return say("half last over {years} y", years=one_digit(f, one.more_than or 0.0))
    half = one_digit(f, curve.half_by)
    if curve.half_low is None or curve.half_high is None:
        return say("half by {years} y", years=half)
    low, high = one_digit(f, curve.half_low), one_digit(f, curve.half_high)
    return say("half by {years} y ({low} to {high})", years=half, low=low, high=high)


def early_text(one: LifeCurve, f: Formats) -> str:
    """At which age replacing early pays, or why that is not advised."""
    best = one.best
    if best is not None:
        return say(
            "Replace early at {age} y: saves {percent}%. From {low} to {high} y costs within 2% "
            "of that.",
            age=one_digit(f, best.age),
            percent=round(100 * best.saving),
            low=one_digit(f, best.from_age),
            high=one_digit(f, best.until_age),
        )
    if one.why_not is None:
        return ""
    return say("Not early: {why}.", why=reason_text(one.why_not, f))


def times_of(pattern: Pattern, f: Formats) -> tuple[TimesShown, ...]:
    """The group against the others as seen, and against others of the same age."""
    look = look_of(pattern.row)
    rows = []
    if pattern.row.times is not None:
        one = pattern.row.times
        rows.append(
            TimesShown(
                label=say("as seen"), best=one.best, low=one.low, high=one.high,
                words=range_text(f, one), look=look,
            )
        )  # fmt: skip
    within = pattern.at_equal_age
    if within is not None:
        one = within.times
        label = say_n("at equal age, {n} band", "at equal age, {n} bands", within.n_bands)
        rows.append(
            TimesShown(
                label=label, best=one.best, low=one.low, high=one.high,
                words=range_text(f, one), look=look if one.low > 1 else "plain",
            )
        )  # fmt: skip
    return tuple(rows)


def age_section(page: PatternPage, pattern: Pattern, f: Formats) -> tuple[SectionShown, ...]:
    """The age bands of the pattern's component, beside it; () where they are not compared."""
    bands = [
        one
        for one in page.factors
        if one.kind == "age" and one.component == pattern.component and one.id != pattern.factor_id
    ]
    return tuple(
        SectionShown(title=one.measure_text, column=say("units"), factors=(_factor(one, f),))
        for one in bands[:1]
    )


def calls_plot(pattern: Pattern, f: Formats) -> tuple[PlotShown, ...]:
    """Mean callbacks of a system by years watched: of the group's systems, and of all others."""
    stairs = [
        _mean(points, color, dash)
        for points, color, dash in (
            (pattern.mean_calls_others, "water", (4.0, 3.0)),
            (pattern.mean_calls, "clay", ()),
        )
        if points
    ]
    if not stairs:
        return ()
    reach = max(
        max([step[1] for step in one.steps] + [step[3] or 0.0 for step in one.steps])
        for one in stairs
    )
    top = max(1.0, float(-(-reach // 1)))
    middle = top / 2
    return (
        PlotShown(
            key="calls",
            title=say("Callbacks of a system by years watched"),
            icon="phone",
            stairs=tuple(stairs),
            top=top,
            levels=((top, f.number(top)), (middle, f.number(middle)), (0.0, "0")),
            color="ink",
            said=say("line: its systems, dashes: all others")
            if len(stairs) == 2
            else say("its systems"),
        ),
    )


def _mean(points: Sequence[Mean], color: str, dash: tuple[float, ...]) -> Stair:
    return Stair(
        steps=tuple((one.age, one.mean, one.low, one.high) for one in points),
        start=0.0,
        first=0.0,
        end=points[-1].age,
        color=color,
        dash=dash,
    )


def assumed_lines(desk: Desk, page: PatternPage) -> tuple[str, ...]:
    """What savings rest on, one line each."""
    texts = (reason_text(reason, desk.formats) for reason in page.assumed.reasons)
    return tuple(f"{capital(text)}." for text in texts)
