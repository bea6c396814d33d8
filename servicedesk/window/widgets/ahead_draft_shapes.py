"""A draft of the weeks as rows of text: what has no day, whom to tell, what moved, the days."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.desk.period_draft import DraftDay, DraftPage, DraftStop, NotPlaced
from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.papers.pattern_text import line_height, shortened, text_block
from servicedesk.values.shapes import Box, Font, Icon, Line, Measure, Shape, TextBox
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.jobs import kind_text

MOST_ROWS = 60  # of one part; the others are told as a number
LEAD_SHARE, WHEN_SHARE = 0.26, 0.28


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRow:
    """One thing to know: what it is about, when, why. `site_id` opens the site, `shift` a day."""

    key: str
    lead: str
    when: str
    why: str
    tone: str = "ink2"


@dataclass(frozen=True, slots=True)
class DraftPart:
    """Rows under one heading; `n_more` are left out. `icon` "" for none."""

    title: str
    icon: str
    tone: str
    rows: tuple[DraftRow, ...]
    n_more: int


def draft_parts(page: DraftPage, f: Formats) -> tuple[DraftPart, ...]:
    """What is told of a draft, what presses first."""
    stops = [(day, stop) for day in page.days for stop in day.stops]
    left = [_left(n, one, f) for n, one in enumerate(_pressing(page.not_placed))]
    tell = [_tell(day, stop, f) for day, stop in stops if stop.tell]
    moved = [_moved(day, stop, f) for day, stop in stops if stop.is_moved and not stop.tell]
    days = [_day(day, f) for day in page.days if day.is_changed]
    found = (
        _part(say("No day found"), "warn", "clay", left),
        _part(say("Told another day: to be told anew"), "phone", "plum", tell),
        _part(say("Moved, and why"), "move", "ochre", moved),
        _part(say("Days that change"), "", "water", days),
    )
    return tuple(one for one in found if one.rows)


def _part(title: str, icon: str, tone: str, rows: Sequence[DraftRow]) -> DraftPart:
    n_more = max(0, len(rows) - MOST_ROWS)
    return DraftPart(f"{title} ({len(rows)})", icon, tone, tuple(rows[:MOST_ROWS]), n_more)


def _pressing(found: Sequence[NotPlaced]) -> list[NotPlaced]:
    """Those that close within the weeks first, the soonest of them at the top."""
    return sorted(found, key=lambda one: (not one.closes_inside, str(one.closes_on), one.address))


def _left(n: int, one: NotPlaced, f: Formats) -> DraftRow:
    jobs = ", ".join(dict.fromkeys(kind_text(kind) for kind in one.jobs))
    closes = say("closes {day}", day=f.weekday(one.closes_on)) if one.closes_on else ""
    why = "; ".join(one.why)
    if one.frees:
        why += ". " + say("What would free a day: {frees}", frees="; ".join(one.frees))
    return DraftRow(
        key=f"left/{n}/{one.site_id}",
        lead=one.address,
        when=" · ".join(part for part in (jobs, closes) if part),
        why=why,
        tone="clay" if one.closes_inside else "ink2",
    )


def _tell(day: DraftDay, stop: DraftStop, f: Formats) -> DraftRow:
    return DraftRow(
        key=f"tell/{stop.stop_id}/{stop.site_id}",
        lead=stop.address,
        when=_from_to(day, stop, f),
        why="; ".join(stop.why),
        tone="plum",
    )


def _moved(day: DraftDay, stop: DraftStop, f: Formats) -> DraftRow:
    return DraftRow(
        key=f"moved/{stop.stop_id}/{stop.site_id}",
        lead=stop.address,
        when=_from_to(day, stop, f),
        why="; ".join(stop.why) or say("it was on no round yet"),
    )


def _from_to(day: DraftDay, stop: DraftStop, f: Formats) -> str:
    to = say("{day} {who}", day=f.weekday(day.day), who=day.technician)
    if stop.was_on is None:
        return to
    was = say("{day} {who}", day=f.weekday(stop.was_on), who=stop.was_with).strip()
    return f"{was} \u2192 {to}"


def _day(day: DraftDay, f: Formats) -> DraftRow:
    joins = [one.joins for one in day.stops if one.joins]
    n_new = sum(one.visit_id is None for one in day.stops)
    parts = [
        say_n("{n} stop", "{n} stops", len(day.stops)),
        say_n("{n} new", "{n} new", n_new) if n_new else "",
        say("{time} on the road", time=f.minutes(day.road_min)),
        say("home {time}", time=f.time(day.home_min)),
    ]
    names = ", ".join(one.address for one in day.stops)
    return DraftRow(
        key=f"day/{day.day.isoformat()}/{day.technician_id}",
        lead=say("{day} {who}", day=f.weekday(day.day), who=day.technician),
        when=" · ".join(part for part in parts if part),
        why="; ".join([names, *joins]),
    )


def draft_figure(
    parts: Sequence[DraftPart], width: float, measure: Measure, s: float
) -> tuple[list[Shape], tuple[PlacedRow, ...], float]:
    """All parts below each other."""
    shapes: list[Shape] = []
    placed: list[PlacedRow] = []
    y = 0.0
    for part in parts:
        y += 6 * s
        head = Font(13 * s, 600)
        high = line_height(head) + 6 * s
        side, left = 16 * s, 10 * s
        if part.icon:
            box = Box(left, y + (high - side) / 2, side, side)
            shapes.append(Icon(part.icon, box, part.tone))
            left += side + 6 * s
        room = width - left
        shapes.append(TextBox(Box(left, y, room, high), part.title, head, part.tone, key="part"))
        y += high
        for row in part.rows:
            made, high = _row_shapes(row, y, width, measure, s)
            shapes += made
            spoken = " · ".join(one for one in (row.lead, row.when, row.why) if one)
            placed.append(PlacedRow(row.key, Box(0, y, width, high), spoken))
            y += high
        if part.n_more:
            font = Font(12 * s)
            words = say("and {n} more", n=part.n_more)
            high = line_height(font) + 8 * s
            shapes.append(TextBox(Box(10 * s, y, width - 10 * s, high), words, font, "ink2"))
            y += high
    return shapes, tuple(placed), y


def _row_shapes(
    row: DraftRow, y: float, width: float, m: Measure, s: float
) -> tuple[list[Shape], float]:
    lead, text = Font(13 * s, 600), Font(12 * s)
    pad, gap = 6 * s, 12 * s
    inner = width - 10 * s - 8 * s
    lead_wide, when_wide = LEAD_SHARE * inner, WHEN_SHARE * inner
    at_when = 10 * s + lead_wide + gap
    at_why = at_when + when_wide + gap
    whens, when_high = text_block(row.when, text, Box(at_when, y + pad, when_wide, 0), m,
                                  color=row.tone, key="when")  # fmt: skip
    whys, why_high = text_block(row.why, text, Box(at_why, y + pad, width - 8 * s - at_why, 0), m,
                                color="ink2", key="why")  # fmt: skip
    high = max(line_height(lead), when_high, why_high) + 2 * pad
    name = TextBox(
        Box(10 * s, y + pad, lead_wide, line_height(text)),
        shortened(row.lead, lead, lead_wide, m), lead, key="lead",
    )  # fmt: skip
    line = Line(0, y + high - 0.5, width, y + high - 0.5, "line")
    return [name, *whens, *whys, line], high
