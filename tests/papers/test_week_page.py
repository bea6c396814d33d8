"""The week on one page: everybody on it, nothing over an edge, nothing left out unsaid."""

import random
import re
from io import BytesIO

import pypdfium2
import pytest
from pypdf import PdfReader

from servicedesk.papers.fonts import width_of
from servicedesk.papers.week_page import (
    WallCell,
    WallPerson,
    WallPlace,
    WallWindow,
    WeekPage,
    cell_shapes,
    week_page,
)
from servicedesk.values.shapes import Box

DAYS = ("Monday 12", "Tuesday 13", "Wednesday 14", "Thursday 15", "Friday 16")
NAMES = ("Pinder", "Marl Quay", "Old Tessing", "Upper Brackenwater Crossing", "Łódź Hill")


def a_cell(*places):
    return WallCell(tuple(WallPlace(name, tuple(f"{n} Low Meadow" for n in range(stops)))
                          for name, stops in places))  # fmt: skip


def a_page(people=(), windows=(), days=DAYS):
    return WeekPage(title="Week of October 12 to October 16, 2026", days=days, people=people,
                    windows=windows, foot="Sallow Fork Onsite Care")  # fmt: skip


def some_people(n, *, days=5, seed=1):
    chance = random.Random(seed)
    return tuple(
        WallPerson(
            f"Person {number}",
            tuple(
                a_cell(*((chance.choice(NAMES), chance.randint(1, 4))
                         for _ in range(chance.randint(1, 5))))
                for _ in range(days)
            ),
        )
        for number in range(n)
    )  # fmt: skip


def text_of(pdf):
    (page,) = PdfReader(BytesIO(pdf)).pages
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize("n", [0, 1, 3, 8, 14])
@pytest.mark.parametrize("size", ["letter", "a4"])
def test_any_number_of_people_is_one_page_that_lies(n, size):
    (page,) = PdfReader(BytesIO(week_page(a_page(some_people(n)), size=size))).pages
    assert page.mediabox.width > page.mediabox.height
    words = page.extract_text()
    assert all(f"Person {number}" in words for number in range(n))


@pytest.mark.parametrize("seed", range(30))
def test_what_stands_in_a_cell_stays_in_it_and_every_stop_is_shown_or_counted(seed):
    chance = random.Random(seed)
    cell = some_people(1, days=1, seed=seed)[0].cells[0]
    box = Box(100, 100, chance.uniform(90, 180), chance.uniform(32, 160))

    shapes = cell_shapes(cell, box)

    for shape in shapes:
        assert box.holds(shape.bounds, slack=0.01)
        assert width_of(shape.text, shape.font) <= shape.box.width + 0.01
    for one in shapes:
        assert not any(one is not two and one.bounds.grown(-0.1).touches(two.bounds.grown(-0.1))
                       for two in shapes)  # fmt: skip
    # a street begins with its number; every other place is one stop or says how many
    text = " ".join(s.text for s in shapes if not re.match(r"\d+ Low Meadow", s.text))
    shown = sum(text.count(name) for name in NAMES)
    times = sum(int(n) - 1 for n in re.findall(r"×(\d+)", text))
    more = sum(int(n) for n in re.findall(r"and (\d+) stops? more", text))
    assert shown + times + more == cell.n_stops


def test_place_names_are_larger_than_anything_else_in_a_cell():
    shapes = cell_shapes(a_cell(("Pinder", 2), ("Marl Quay", 1)), Box(0, 0, 140, 150))
    sizes = {shape.text: shape.font.size for shape in shapes}
    assert sizes["Pinder ×2"] == sizes["Marl Quay"] >= 14
    assert sizes["0 Low Meadow"] < 10


def test_what_fits_in_no_letters_is_counted_and_the_count_is_right():
    cell = a_cell(*[("Upper Brackenwater Crossing", 2)] * 9)
    shapes = cell_shapes(cell, Box(0, 0, 100, 48))
    text = " ".join(shape.text for shape in shapes)
    shown = 2 * text.count("×2")
    assert 0 < shown < 18
    assert f"and {18 - shown} stops more" in text
    assert all(Box(0, 0, 100, 48).holds(shape.bounds) for shape in shapes)


def test_the_fuller_a_cell_the_smaller_its_letters():
    def size(n):
        return max(
            s.font.size for s in cell_shapes(a_cell(*[("Pinder", 1)] * n), Box(0, 0, 140, 60))
        )

    assert size(1) > size(4) > size(12)


def test_the_open_windows_stand_at_the_foot_and_late_ones_are_framed():
    windows = (
        WallWindow("Oct 3", "118 Dry Hollow Lane, Old Tessing", is_late=True),
        WallWindow("Oct 19", "10 Quarry Spur, Pinder"),
    )
    words = text_of(week_page(a_page(some_people(2), windows)))
    assert "118 Dry Hollow Lane, Old Tessing" in words
    assert "Oct 19" in words
    assert "framed" in words
    assert "framed" not in text_of(week_page(a_page(some_people(2), windows[1:])))
    assert "has its day" in text_of(week_page(a_page(some_people(2))))


def test_more_windows_than_there_is_room_for_are_counted():
    windows = tuple(WallWindow("Oct 19", f"{n} Quarry Spur") for n in range(40))
    words = text_of(week_page(a_page(some_people(3), windows)))
    shown = sum(f" {n} Quarry Spur" in words for n in range(40))
    assert f"and {40 - shown} more" in words
    assert shown == 20


def test_the_page_is_black_on_white():
    with pypdfium2.PdfDocument(week_page(a_page(some_people(3)))) as document:
        picture = document[0].render(scale=1).to_pil().convert("RGB")
    red, green, blue = (band.tobytes() for band in picture.split())
    assert red == green == blue
    assert red.count(255) > 0.8 * len(red)


def test_equal_input_gives_equal_bytes_and_a_short_row_is_a_mistake():
    page = a_page(some_people(3))
    assert week_page(page) == week_page(page)
    with pytest.raises(ValueError, match="cells"):
        week_page(a_page((WallPerson("Lena", (WallCell(),)),)))
