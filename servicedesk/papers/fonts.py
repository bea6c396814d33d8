"""The bundled fonts on paper: registered once, measured, and a family that has every letter."""

import unicodedata
from functools import cache
from io import BytesIO

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from servicedesk.values.resources import resource
from servicedesk.values.shapes import Font

_FILES = {
    ("text", 400): "Inter-Regular.ttf",
    ("text", 500): "Inter-Medium.ttf",
    ("text", 600): "Inter-SemiBold.ttf",
    ("title", 400): "OnsiteTitle-Regular.ttf",
    ("title", 600): "OnsiteTitle-SemiBold.ttf",
}


@cache
def _face(family: str, weight: int) -> TTFont:
    file = _FILES[family, weight]
    font = TTFont(file.removesuffix(".ttf"), BytesIO(resource("fonts", file).read_bytes()))
    pdfmetrics.registerFont(font)
    return font


def face(font: Font, text: str) -> TTFont:
    """The registered face for `text`.

    The title family knows Western European letters only: a title with any other is set in the
    text family as a whole, so that no name is pieced together from two designs.
    """
    weight = min((400, 500, 600), key=lambda known: abs(known - font.weight))
    if font.family == "title":
        title = _face("title", 600 if weight > 500 else 400)
        if all(ord(sign) in title.face.charToGlyph for sign in text):
            return title
    return _face("text", weight)


def width_of(text: str, font: Font) -> float:
    """The width of `text` on paper, in points."""
    width: float = pdfmetrics.stringWidth(text, face(font, text).fontName, font.size)
    return width


def clean(text: str) -> str:
    """Text as it can be printed: composed letters, no control signs but the line break.

    A tab and other kinds of space become a space.
    """
    text = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    kept = (
        " " if sign == "\t" else sign
        for sign in text
        if sign in "\n\t" or unicodedata.category(sign) not in ("Cc", "Cf", "Cs")
    )
    return "".join(kept)
