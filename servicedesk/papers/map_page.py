"""One page with a map: all sites by state and the rounds of a day, on the ground of the roads."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from servicedesk.papers.day_map import SITE_MARKS, DayMap, map_figure
from servicedesk.papers.fonts import width_of
from servicedesk.papers.layout import PAGE_SIZES, PageName
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.projection import fit
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Font, Line, Mark, Rect, Shape, TextBox
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.travel.map_ground import Ground

_MARGIN, _HEAD = 30.0, 30.0  # points
_TITLE, _SMALL = Font(15, 600, "title"), Font(8.5)


@dataclass(frozen=True, slots=True)
class MapPage:
    """What the page shows. `note` stands at the foot ("Invented sample ..."), "" for none."""

    title: str
    company: str
    day: DayMap
    ground: "Ground | None" = None
    note: str = ""


def map_page(page: MapPage, name: PageName = "letter") -> bytes:
    """The page as PDF, lying on its side."""
    high, wide = PAGE_SIZES[name]
    return write_pdf([map_page_shapes(page, wide, high)], (wide, high), page.title)


def map_page_shapes(page: MapPage, wide: float, high: float) -> list[Shape]:
    """All shapes of the page. Needs at least one position in `page.day`."""
    inner = Box(_MARGIN, _MARGIN, wide - 2 * _MARGIN, high - 2 * _MARGIN)
    shapes = _head(page, inner)
    box = Box(inner.x, inner.y + _HEAD, inner.width, inner.height - _HEAD - 14)
    ground = page.ground
    around = box.grown(-30)
    around = Box(around.x, around.y, around.width, around.height - 26)
    view = fit([page.day.home, *page.day.frame], around, ground.origin if ground else None)
    day = page.day
    if ground is not None:
        from servicedesk.papers.ground import ground_shapes

        shapes += ground_shapes(ground, box, view)
        named = ground.named_places(view.meters_per_unit)
        if named:
            names = tuple((p.name, Position(p.lat_deg, p.lon_deg)) for p in named)
            day = replace(day, villages=names)
        day = replace(day, has_ground=True)
    shapes += map_figure(day, box, width_of, scale=0.72, view=view).shapes
    shapes.append(Rect(box, None, "edge", 0.8, 3))
    if page.note:
        foot = Box(inner.x, inner.bottom - 11, inner.width, 11)
        shapes.append(TextBox(foot, page.note, Font(7.5), "ink2"))
    return shapes


def _head(page: MapPage, inner: Box) -> list[Shape]:
    """Title, company, and what the marks of sites mean."""
    line = Box(inner.x, inner.y, width_of(page.title, _TITLE) + 2, 18)
    shapes: list[Shape] = [TextBox(line, page.title, _TITLE)]
    at = inner.right - width_of(page.company, _SMALL) - 2
    shapes.append(TextBox(Box(at, inner.y, inner.right - at, 18), page.company, _SMALL, "ink2"))
    present = {site.state for site in page.day.sites}
    words = {"plain": say("site"), "owed": say("owed"), "called": say("called twice or more")}
    at -= 16
    items = [(words[state], *SITE_MARKS[state]) for state in SITE_MARKS if state in present]
    for text, mark, color, size in reversed(items):
        at -= width_of(text, _SMALL) + 2
        shapes.append(TextBox(Box(at, inner.y, width_of(text, _SMALL) + 2, 18), text, _SMALL))
        at -= 10
        filled = mark == "disc"
        shapes.append(Mark(mark, at + 3, inner.y + 9, size * 0.85, color, filled=filled))
        at -= 12
    under = inner.y + 23
    return [*shapes, Line(inner.x, under, inner.right, under, "ink", 1.0)]
