from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from servicedesk.papers.fonts import clean, face, width_of
from servicedesk.papers.icons import icon_strokes, path_strokes
from servicedesk.papers.layout import Block, Pages, Strip, first_words, wrap
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.picture import page_count, page_png
from servicedesk.values.resources import resource
from servicedesk.values.shapes import (
    Box,
    Bracket,
    Font,
    Hatch,
    Icon,
    Line,
    Mark,
    Polyline,
    QrCode,
    Rect,
    TextBox,
)

FONT = Font(9.3)
TEXTS = st.text(st.characters(codec="utf-8", max_codepoint=0x52F), max_size=200)


@given(TEXTS, st.floats(20, 300))
def test_wrapped_lines_fit_and_lose_no_letter(text, width):
    lines = wrap(text, FONT, width)
    assert "".join("".join(lines).split()) == "".join(clean(text).split())
    for line in lines:
        assert width_of(line, FONT) <= width or len(clean(line)) <= 2


def test_line_breaks_are_kept_and_an_empty_text_gives_no_line():
    assert wrap("one\ntwo three", FONT, 300) == ["one", "two three"]
    assert wrap(" \n ", FONT, 300) == []


def test_the_beginning_of_a_heading_is_marked_as_such():
    assert first_words("short", FONT, 300) == "short"
    cut = first_words("a heading much longer than its room", FONT, 80)
    assert cut.endswith("…")
    assert width_of(cut, FONT) <= 80


def test_control_signs_are_dropped_and_accents_join_their_letter():
    assert clean("a\x00b\x07\tc\u200b\r\nd") == "ab c\nd"
    assert clean("Lo\u0301dz") == "L\u00f3dz"


def test_digits_stand_in_columns():
    for weight in (400, 500, 600):
        widths = {round(width_of(digit, Font(10, weight)), 6) for digit in "0123456789"}
        assert len(widths) == 1


def test_a_title_with_letters_the_title_family_lacks_is_set_in_the_text_family():
    assert "OnsiteTitle" in face(Font(12, 600, "title"), "Dry Hollow Lane").fontName
    for name in ("Łódź", "Ελλάδα", "Кириллица"):
        assert face(Font(12, 600, "title"), name).fontName == "Inter-SemiBold"


@pytest.mark.parametrize("name", ["Łódź", "ŽÕÕ", "Ελλάδα", "Кириллица", "→ − × · ≤ °"])
def test_every_letter_has_a_glyph(name):
    for weight in (400, 500, 600):
        known = face(Font(9, weight), name).face.charToGlyph
        assert [sign for sign in name if ord(sign) not in known] == []


def strip(height):
    return Strip(height, (Rect(Box(0, 0, 10, height)),))


def test_a_block_moves_to_the_next_page_as_a_whole():
    pages = Pages(Box(0, 10, 100, 100), 50)
    pages.place(Block((strip(40),)))
    pages.place(Block((strip(30), strip(30))))
    assert [[s.bounds.y for s in page] for page in pages.pages] == [[50], [10, 40]]


def test_a_block_longer_than_a_page_goes_on_under_its_heading():
    pages = Pages(Box(0, 10, 100, 100), 10)
    pages.place(Block(tuple(strip(30) for _ in range(5)), again=strip(15)))
    assert [[s.bounds.y for s in page] for page in pages.pages] == [[10, 40, 70], [10, 25, 55]]


def test_what_stands_beside_holds_the_next_block_down():
    pages = Pages(Box(0, 0, 100, 100), 0)
    pages.place(Block((strip(10),), side_height=35))
    pages.place(Block((strip(10),)))
    assert [s.bounds.y for s in pages.pages[0]] == [0, 35]


def test_every_icon_can_be_read_and_stays_in_its_box():
    names = [Path(str(f)).stem for f in resource("icons").iterdir() if str(f).endswith(".svg")]
    assert len(names) > 40
    for name in names:
        for stroke in icon_strokes(name):
            for x, y in [stroke.start, *(step[-2:] for step in stroke.steps)]:
                assert -0.5 <= x <= 20.5, name
                assert -0.5 <= y <= 20.5, name


def test_a_half_circle_arc_passes_its_top():
    # SVG 1.1, 8.3.8: sweep flag 1 draws in the direction of growing angles, here over the top
    (stroke,) = path_strokes("M0 0 A10 10 0 0 1 20 0")
    assert len(stroke.steps) == 2
    assert stroke.steps[0][-2:] == pytest.approx((10, -10))
    assert stroke.steps[1][-2:] == pytest.approx((20, 0))


def test_relative_and_smooth_commands_reach_the_same_points():
    (relative,) = path_strokes("m1 1l2 0v3h-2z")
    (absolute,) = path_strokes("M1 1L3 1V4H1Z")
    assert relative == absolute
    (smooth,) = path_strokes("M0 0C0 5 4 5 5 0S10-5 10 0")
    assert smooth.steps[1] == (6, -5, 10, -5, 10, 0)  # the handle mirrored, SVG 1.1, 8.3.6


def inked(shape):
    """The box of what a shape leaves on paper, in points, as PDFium paints it."""
    pdf = write_pdf([[shape]], (100, 100), "one shape")
    picture = Image.open(BytesIO(page_png(pdf, scale=8))).convert("L")
    found = picture.point(lambda v: 255 * (v < 250)).getbbox()
    assert found, "nothing painted"
    left, top, right, bottom = (value / 8 for value in found)
    return Box(left, top, right - left, bottom - top)


BOX = Box(20, 30, 40, 24)


@pytest.mark.parametrize(
    "shape",
    [
        TextBox(BOX, "Wag", Font(12)),
        TextBox(BOX, "Wag", Font(12, 600, "title"), align="right"),
        Rect(BOX, "ink", None, radius=3),
        Rect(BOX, None, "ink", 1.0, 0, (3, 2)),
        Hatch(BOX),
        Icon("truck", Box(20, 30, 20, 20)),
        QrCode(Box(20, 30, 40, 40), "geo:29.9412,-97.0221"),
        Line(20, 30, 60, 54),
        Polyline(((20, 30), (60, 30), (40, 54)), "ink", fill="ink"),
        Bracket(20, 60, 30, 10),
        *(Mark(kind, 40, 40, 12) for kind in
          ("disc", "square", "diamond", "pentagon", "triangle", "cross", "tick")),
    ],
    ids=lambda shape: type(shape).__name__,
)  # fmt: skip
def test_a_shape_is_painted_where_its_bounds_say(shape):
    box = inked(shape)
    assert shape.bounds.holds(box, 1.2)
    again = inked(shape.moved(7, 5))
    assert (again.x - box.x, again.y - box.y) == pytest.approx((7, 5), abs=0.2)


def test_text_goes_to_the_side_it_is_told():
    places = [
        inked(TextBox(BOX, "ink", Font(10), align=align)) for align in ("left", "center", "right")
    ]
    assert places[0].x < places[1].x < places[2].x
    assert places[0].x == pytest.approx(20, abs=1)
    assert places[2].right == pytest.approx(60, abs=1)


def test_a_bracket_open_at_one_end_has_no_leg_there():
    closed = inked(Bracket(20, 60, 30, 10, open_left=True, open_right=True))
    assert closed.height < 3
    assert inked(Bracket(20, 60, 30, 10, open_left=True)).height > 9


def test_a_page_becomes_a_picture():
    pdf = write_pdf([[], [Rect(BOX)]], (100, 200), "two pages")
    assert page_count(pdf) == 2
    picture = Image.open(BytesIO(page_png(pdf, 1, scale=3)))
    assert picture.size == (300, 600)
    with pytest.raises(IndexError):
        page_png(pdf, 2)
