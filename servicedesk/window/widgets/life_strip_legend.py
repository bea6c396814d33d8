"""What the marks of a life strip mean: only those that stand on it."""

from dataclasses import replace

from servicedesk.values.shapes import Box, Font, Hatch, Mark, Measure, Rect, Shape, TextBox
from servicedesk.window.widgets.life_strip_axis import Life, LifeFigure
from servicedesk.words import say

Look = Mark | Rect | None
"""How a thing looks; None is the hatch of what is owed."""


def legend(figure: LifeFigure, life: Life, line: Box, measure: Measure, s: float) -> float:
    """Marks with their words from `line` on, in as many lines as they need; where they end."""
    font, x, y = Font(11 * s), 8 * s, line.y
    for look, words in _looks(life, s):
        width = measure(words, font) + 2
        if x > 8 * s and x + 18 * s + width > line.right:
            x, y = 8 * s, y + line.height
        place = Box(x + 18 * s, y, width, line.height)
        drawn = _drawn(look, x, y + line.height / 2, s)
        figure.shapes += [drawn, TextBox(place, words, font, "ink2", key="legend")]
        x = place.right + 14 * s
    return y + line.height


def _drawn(look: Look, x: float, middle: float, s: float) -> Shape:
    if isinstance(look, Mark):
        return replace(look, x=x + 6 * s, y=middle)
    if isinstance(look, Rect):
        return replace(look, box=Box(x + 1, middle - 5 * s, 11 * s, 10 * s))
    return Hatch(Box(x, middle - 4 * s, 13 * s, 8 * s), "ochre", 4 * s)


def _looks(life: Life, s: float) -> list[tuple[Look, str]]:
    kinds = {point.kind for point in life.visits}
    units = [unit for row in life.rows for unit in row.units]
    of_thread = {call.in_thread for call in life.calls}
    framed = Rect(Box(0, 0, 8, 8), "soft.plum", "plum", 1.2, 1 * s, (2.0, 1.6))
    looks: list[tuple[bool, Look, str]] = [
        (False in of_thread, Mark("square", 0, 0, 10 * s, "plum", False), say("call")),
        (True in of_thread, Mark("square", 0, 0, 10 * s, "plum"), say("call of this trouble")),
        (any(row.unlooked for row in life.rows), framed, say("nobody looked since it began")),
        ("inspection" in kinds, Mark("disc", 0, 0, 9 * s, "moss"), say("inspection")),
        ("late" in kinds, Mark("diamond", 0, 0, 9 * s, "clay", False), say("done late")),
        ("visit" in kinds, Mark("square", 0, 0, 8 * s, "ink2", False), say("other visit")),
        (any(u.looked_on for u in units), Mark("tick", 0, 0, 9 * s, "ink"), say("last looked at")),
        (any(u.until_on for u in units), Mark("cross", 0, 0, 7 * s, "clay"), say("taken out")),
        (any(u.owed_on for u in units), None, say("still owed")),
        (bool(life.windows), Rect(Box(0, 0, 8, 8), "soft.water", "water"), say("window")),
    ]
    return [(look, words) for is_there, look, words in looks if is_there]
