"""Text in figures that both a screen and a paper draw: broken into lines, or shortened."""

from servicedesk.values.shapes import Align, Box, Font, Measure, TextBox

LINE = 1.36  # height of a line over the size of its letters


def wrapped(text: str, font: Font, width: float, measure: Measure) -> list[str]:
    """`text` in lines no wider than `width`; a single word that is wider is shortened."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and measure(longer, font) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    if line:
        lines.append(line)
    return [shortened(one, font, width, measure) for one in lines]


def shortened(text: str, font: Font, width: float, measure: Measure) -> str:
    """`text`, or its beginning with an ellipsis where it is wider than `width`."""
    if measure(text, font) <= width:
        return text
    while text and measure(text + "…", font) > width:
        text = text[:-1]
    return text.rstrip(" ,·") + "…"


def line_height(font: Font) -> float:
    """The height that one line takes."""
    return font.size * LINE


def text_block(
    text: str,
    font: Font,
    box: Box,
    measure: Measure,
    *,
    color: str = "ink",
    align: Align = "left",
    key: str = "",
) -> tuple[list[TextBox], float]:
    """`text` as lines from the top of `box`, each in a box of its own, and how high they are."""
    high = line_height(font)
    boxes = []
    for n, line in enumerate(wrapped(text, font, box.width, measure)):
        wide = min(box.width, measure(line, font) + 1)
        x = box.x
        if align != "left":
            x += (box.width - wide) * (1.0 if align == "right" else 0.5)
        boxes.append(TextBox(Box(x, box.y + n * high, wide, high), line, font, color, align, key))
    return boxes, len(boxes) * high
