"""What leaves the page: the rows as a spreadsheet, and a paper for the shop wall."""

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_page import FactorRows, GroupRow, PatternPage
from servicedesk.desk.pattern_seen import key_of
from servicedesk.desk.pattern_shown import factors_shown, plots_of, sections_of
from servicedesk.desk.pattern_told import Told, association_text, comparisons_text, told
from servicedesk.desk.pattern_tried import Key, Tried
from servicedesk.desk.patterns import Pattern
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.papers.life_figures import PlotShown
from servicedesk.papers.pattern_figures import Look
from servicedesk.words import say, say_n
from servicedesk.words.formats import minor_digits
from servicedesk.words.pattern_words import flag_text
from servicedesk.words.reasons import reason_text

MOST_CURVES = 6


def legend_words() -> dict[Look, str]:
    """What each mark means."""
    return {
        "clear": say("clearly above the rest"),
        "maybe": say("maybe, keep watching"),
        "plain": say("nothing to say"),
        "few": say("too few to say"),
    }


def upright_words() -> str:
    """What the dashed upright means."""
    return say("all groups together")


def head_text(desk: Desk, page: PatternPage) -> str:
    """As "412 systems · 1,684 system-years · calls since Jan 2021"."""
    return say(
        "{systems} · {years} system-years · calls since {since}",
        systems=say_n("{n} system", "{n} systems", page.n_systems),
        years=desk.formats.number(round(page.system_years)),
        since=desk.formats.month(page.begins_on),
    )


def write_pattern_sheet(desk: Desk, page: PatternPage, *, everything: bool) -> tuple[str, str]:
    """Write the rows shown as xlsx beside the store: folder and name of the file.

    Raises Trouble if the folder cannot be written.
    """
    from servicedesk.exchange.pattern_sheet import rows_sheet

    tables = [
        (say("Groups"), _row_names(), _rows(desk, page, everything=everything)),
        (say("Systems still exposed"), _exposed_names(desk), _exposed(desk, page)),
    ]
    return _written(desk, "patterns", "xlsx", rows_sheet(tables))


def write_pattern_wall(
    desk: Desk, page: PatternPage, tried: dict[Key, Tried] | None = None
) -> tuple[str, str]:
    """Write the paper for the wall as PDF beside the store: folder and name of the file.

    Raises Trouble if the folder cannot be written.
    """
    return _written(desk, "patterns-wall", "pdf", wall_paper(desk, page, tried))


def wall_paper(desk: Desk, page: PatternPage, tried: dict[Key, Tried] | None = None) -> bytes:
    """The paper: what stands out with its ranges, each clear pattern told, curves of those."""
    from servicedesk.papers.pattern_wall import Wall, WallPattern, wall_pdf

    clear = [one for one in page.patterns if one.row.flag == "clearly above"]
    said = [told(desk, page, one, (tried or {}).get(key_of(one))) for one in clear]
    parts = (desk.company.name, desk.formats.long_day(desk.today), desk.company.invented_note)
    wall = Wall(
        title=say("What keeps coming back"),
        second=head_text(desk, page),
        sections=sections_of(page, desk.formats, everything=not page.patterns),
        legend=legend_words(),
        upright=upright_words(),
        notes=(comparisons_text(page), association_text()),
        patterns=tuple(
            WallPattern(
                one.title,
                one.much,
                tuple(t for t in _sentences(one, pattern) if t),
                one.cautions,
            )
            for one, pattern in zip(said, clear, strict=True)
        ),
        plots_title=say("Still working, by years since fitted"),
        plots=_curves(desk, page, clear),
        foot=" · ".join(part for part in parts if part),
    )
    return wall_pdf(wall, "a4" if desk.company.page_size == "a4" else "letter")


def _sentences(one: Told, pattern: Pattern) -> tuple[str, ...]:
    """The work is named only where it pays, or where one only looks."""
    wanted = pattern.saving_minor is None or pattern.n_worth > 0
    work = say("To do: {what}.", what=one.remedy) if wanted else ""
    return one.rate, one.sure, one.tried, one.worth, work


def _curves(desk: Desk, page: PatternPage, clear: list[Pattern]) -> tuple[PlotShown, ...]:
    """Curves of the clear patterns' groups and their mates, each once."""
    found: dict[str, PlotShown] = {}
    for pattern in clear:
        factor = next(one for one in page.factors if one.id == pattern.factor_id)
        for plot in plots_of(page, factor, pattern.group_id, desk.formats):
            found.setdefault(plot.key, plot)
    return tuple(found.values())[:MOST_CURVES]


def _written(desk: Desk, name: str, ending: str, data: bytes) -> tuple[str, str]:
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.sheets import Paper

    folder = papers_folder(desk.store.place)
    file = f"{name}-{desk.today.isoformat()}.{ending}"
    write_papers([Paper(file, data)], folder)
    return str(folder), file


def _row_names() -> list[str]:
    return [
        say("compared"), say("group"), say("what is counted"), say("there now"), say("seen"),
        say("years"), say("rate per 100 years"), say("from"), say("to"), say("all together"),
        say("times as often"), say("from"), say("to"), say("q"), say("said"), say("why"),
    ]  # fmt: skip


def _rows(
    desk: Desk, page: PatternPage, *, everything: bool
) -> list[list[str | int | float | None]]:
    factors = factors_shown(page, everything=everything)
    return [_line(desk, factor, row) for factor in factors for row in factor.rows]


def _line(desk: Desk, factor: FactorRows, row: GroupRow) -> list[str | int | float | None]:
    best, times = row.best, row.times
    return [
        factor.title, row.label, factor.measure_text, row.n_now, row.events, round(row.years, 1),
        _rounded(best.best if best else None), _rounded(best.low if best else None),
        _rounded(best.high if best else None), _rounded(factor.reference),
        _rounded(times.best if times else None), _rounded(times.low if times else None),
        _rounded(times.high if times else None), _rounded(row.q, 4), flag_text(row.flag),
        "; ".join(reason_text(reason, desk.formats) for reason in row.reasons),
    ]  # fmt: skip


def _rounded(value: float | None, digits: int = 2) -> float | str | None:
    """A number for a cell; what has no end is a sign, for a cell holds none."""
    if value is None:
        return None
    return "∞" if value == float("inf") else round(value, digits)


def _exposed_names(desk: Desk) -> list[str]:
    return [
        say("pattern"), say("work"), say("site"), say("locality"), say("age in years"),
        say("calls in two years"), say("ever looked at"), say("calls avoided"),
        say("saves, {currency}", currency=desk.company.currency),
    ]  # fmt: skip


def _exposed(desk: Desk, page: PatternPage) -> list[list[str | int | float | None]]:
    unit = 10 ** minor_digits(desk.company.currency)
    return [
        [
            pattern.title, pattern.what, one.address, one.locality, _rounded(one.age_years, 1),
            one.n_calls, say("no") if one.never_looked else say("yes"),
            _rounded(one.calls_avoided),
            None if one.saving_minor is None else one.saving_minor / unit,
        ]
        for pattern in page.patterns
        for one in pattern.exposed
    ]  # fmt: skip
