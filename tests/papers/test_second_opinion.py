"""A second opinion on paper: whole, on one page where it fits, the same bytes each time."""

from dataclasses import replace

import pytest

from servicedesk.papers.picture import page_count
from servicedesk.papers.second_opinion import (
    _USUAL,
    OpinionPage,
    PageCause,
    PageCheck,
    _laid_out,
    opinion_pages,
    opinion_pdf,
)
from servicedesk.values.shapes import Rect, TextBox

PAGE = OpinionPage(
    address="118 Dry Hollow Lane",
    symptoms="High-water alarm",
    facts="20 earlier visits looked at",
    causes=(PageCause("Splice wet", 0.5), PageCause("Something not in this list", 0.25)),
    notes=("not proved",),
    fix="Remake the splice.",
    next_title="Next, in this order",
    next_checks=(PageCheck("Open the splice and look", "5 min", "Photograph first."),),
    never_done=("Open the splice and look",),
    to_bring=("Sealed splice kit (41 %)",),
    cautions=("Switch off, lock and tag; prove dead with a meter.",),
    foot="Sallow Fork Onsite Care",
)


def texts(page):
    return " ".join(shape.text for shapes in page for shape in shapes if isinstance(shape, TextBox))


def test_every_text_is_on_the_page():
    told = texts(opinion_pages(PAGE))

    for part in (PAGE.address, PAGE.symptoms, PAGE.fix, *PAGE.cautions, *PAGE.to_bring, PAGE.foot):
        assert part in told
    assert "50 %" in told
    assert "Photograph first." in told


def test_a_bar_is_as_long_as_its_chance():
    bars = [s for s in opinion_pages(PAGE)[0] if isinstance(s, Rect) and s.fill == "ink"]

    assert bars[0].box.width == pytest.approx(2 * bars[1].box.width)


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_it_is_one_page_and_the_same_bytes_each_time(size):
    pdf = opinion_pdf(PAGE, size)

    assert page_count(pdf) == 1
    assert opinion_pdf(PAGE, size) == pdf


def test_cautions_that_do_not_fit_flow_on_uncut():
    many = replace(PAGE, cautions=tuple(f"Caution {n}: " + "take care " * 60 for n in range(12)))

    pages = opinion_pages(many)

    assert len(pages) > 1
    told = texts(pages)
    assert all(f"Caution {n}:" in told for n in range(12))
    assert told.count("take care") == 12 * 60
    assert "page 2 of" in told


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_a_page_a_little_too_long_is_laid_out_tighter_before_it_runs_over(size):
    """What fits with edges drawn in stays on one sheet, and not a word of it is lost."""
    n_pages = []
    for n in range(4, 40):
        page = replace(PAGE, cautions=tuple(f"Caution {k}: take care." for k in range(n)))
        usual, shown = _laid_out(page, size, _USUAL), opinion_pages(page, size)
        assert all(f"Caution {k}:" in texts(shown) for k in range(n))
        n_pages.append((len(usual), len(shown)))
    assert (1, 1) in n_pages
    assert (2, 1) in n_pages
    assert (2, 2) in n_pages
