"""The printed history: every text on some page, a long entry goes on, pages are counted."""

from datetime import date, timedelta

from servicedesk.papers.layout import PAGE_SIZES
from servicedesk.papers.site_history import HistoryPaper, PaperEntry, history_pages, history_pdf
from servicedesk.values.shapes import TextBox


def a_paper(n=60, long=""):
    first = date(2020, 1, 10)
    entries = tuple(
        PaperEntry(
            on=first + timedelta(days=40 * k), day=f"day {k}", icon="check", title=f"title {k}",
            lines=(f"line {k}", long),
        )
        for k in range(n)
    )  # fmt: skip
    return HistoryPaper(
        letterhead=("Sallow Fork Onsite Care", "1 Office Road"), address="118 Dry Hollow Lane",
        facts=("Permit TC-1",), day="As of today", entries=entries, note="something is left out",
        foot="invented",
    )  # fmt: skip


def boxes(shapes):
    return [shape for shape in shapes if isinstance(shape, TextBox)]


def test_every_entry_stands_on_some_page_once_and_inside_it():
    width, height = PAGE_SIZES["letter"]
    pages = history_pages(a_paper(long="Łódź & <b> " * 80))
    titles = [box.text for shapes in pages for box in boxes(shapes) if box.text.startswith("title")]
    assert titles == [f"title {k}" for k in range(60)]
    for shapes in pages:
        for box in boxes(shapes):
            assert box.box.bottom <= height
            assert box.box.right <= width


def test_pages_are_counted_and_the_year_never_stands_alone():
    pages = history_pages(a_paper())
    for number, shapes in enumerate(pages, 1):
        texts = [box.text for box in boxes(shapes)]
        assert any(f"page {number} of {len(pages)}" in text for text in texts)
        years = [n for n, text in enumerate(texts) if text.isdigit() and len(text) == 4]
        assert all(texts[n + 1].startswith(("title", "day")) for n in years)


def test_an_entry_longer_than_a_page_goes_on_under_its_day():
    pages = history_pages(a_paper(n=1, long="word " * 4000))
    assert len(pages) > 2
    assert all(any(box.text == "day 0" for box in boxes(shapes)) for shapes in pages)


def test_an_empty_history_says_so_and_equal_papers_give_equal_bytes():
    (page,) = history_pages(a_paper(n=0))
    assert any("Nothing has happened" in box.text for box in boxes(page))
    assert history_pdf(a_paper(n=3)) == history_pdf(a_paper(n=3))
