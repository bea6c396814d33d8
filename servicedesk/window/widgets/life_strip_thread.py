"""The trouble in view on a life strip: a band behind its calls, frames where nobody looked."""

from collections.abc import Sequence

from servicedesk.values.shapes import Box, Font, Measure, Rect, TextBox
from servicedesk.window.widgets.life_strip_axis import Life, LifeFigure, LifeMark, LifeThread

THREAD_NAME_PX = 14.0
UNLOOKED_DASH = (4.0, 3.0)
_BESIDE_PX = 12.0  # the band reaches this far beyond its first and last call


def thread_band(
    figure: LifeFigure, thread: LifeThread | None, rows: Sequence[Box], measure: Measure, s: float
) -> None:
    """The band behind all rows, and its name below the calls. Nothing where it is out of view."""
    if thread is None:
        return
    axis = figure.axis
    left = max(axis.at(thread.from_on) - _BESIDE_PX * s, axis.x)
    right = min(axis.at(thread.until_on) + _BESIDE_PX * s, axis.right)
    if right <= left:
        return
    band = Box(left, rows[0].y, right - left, rows[-1].bottom - rows[0].y)
    figure.shapes.append(Rect(band, "soft.plum", None, 0, 4 * s, key="thread"))
    font = Font(11 * s, 600)
    wide = min(measure(thread.words, font) + 2, axis.width)
    x = min(max(band.center[0] - wide / 2, axis.x), axis.right - wide)
    name = Box(x, rows[0].bottom - (THREAD_NAME_PX + 4) * s, wide, 15 * s)
    figure.shapes.append(TextBox(name, thread.words, font, "plum", "center", key="thread"))
    figure.marks.append(LifeMark(0, thread.from_on, name, thread.told))


def unlooked_frames(figure: LifeFigure, life: Life, rows: Sequence[Box], s: float) -> None:
    """A dashed frame around each row that the trouble points to and nobody looked at."""
    for row, box in zip(life.rows, rows, strict=True):
        if row.unlooked:
            frame = Box(box.x + 1, box.y + 2 * s, box.width - 2, box.height - 4 * s)
            look = Rect(frame, "soft.plum", "plum", 1.6, 5 * s, UNLOOKED_DASH, key="unlooked")
            figure.shapes.append(look)


def unlooked_words(
    figure: LifeFigure, words: str, bar: Box, right: float, measure: Measure, s: float
) -> float:
    """Since when nobody looked, at the end of a bar; where the bar's own words must end.

    Left out where the bar has no room for it.
    """
    font = Font(11 * s, 600)
    wide = measure(words, font) + 2
    left = max(bar.x, figure.axis.x)
    end = right - 6 * s
    if end - wide < left + 5 * s:
        return right
    place = Box(end - wide, bar.y, wide, bar.height)
    figure.clipped.append(TextBox(place, words, font, "plum", "right", key="unlooked"))
    return place.x
