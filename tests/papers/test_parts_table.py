"""Tables of parts on paper: headings come again, nothing is cut or lies upon another."""

import pytest

from servicedesk.papers.layout import PAGE_SIZES
from servicedesk.papers.order_paper import OrderPaper, order_pages, order_pdf
from servicedesk.papers.parts_table import Column, PartsTable
from servicedesk.papers.pick_list import TruckPage, truck_pages
from servicedesk.values.shapes import TextBox


def a_table(n, *, ticks=False):
    columns = (Column("Number", 20, strong=True), Column("What", 50), Column("Count", 10, "right"))
    rows = tuple((f"N-{i}", f"a part with a rather long name, kept on shelf {i} " * 2, str(i))
                 for i in range(n))  # fmt: skip
    return PartsTable(columns, rows, ticks)


def an_order(table):
    return OrderPaper(
        company="Sallow Fork Onsite Care", company_lines=("1 Office Road",), to=("Beck Supply",),
        title="Order 7", second="Wednesday", table=table, total="As we expect: $12.00",
        notes=("Please tell us.",), foot="invented",
    )  # fmt: skip


def texts(page):
    return [shape for shape in page if isinstance(shape, TextBox)]


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_a_long_order_goes_on_under_its_headings(size):
    pages = order_pages(an_order(a_table(60)), size)
    width, height = PAGE_SIZES[size]

    assert len(pages) > 1
    for page in pages[:-1]:
        assert "Number" in {one.text for one in texts(page)}
    every = [one.text for page in pages for one in texts(page)]
    assert [text for text in every if text.startswith("N-")] == [f"N-{i}" for i in range(60)]
    for page in pages:
        for one in texts(page):
            assert one.box.x >= 0
            assert one.box.right <= width
            assert one.box.bottom <= height


def test_no_two_texts_lie_upon_each_other():
    (page,) = order_pages(an_order(a_table(6)))
    boxes = [one.box.grown(-0.6) for one in texts(page)]

    assert not any(a.touches(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_equal_orders_give_equal_bytes():
    assert order_pdf(an_order(a_table(3))) == order_pdf(an_order(a_table(3)))


def test_a_truck_without_anything_to_put_on_says_so():
    page = TruckPage(
        title="Lena, T1", second="Oct 15", chance=("95%",), table=a_table(0, ticks=True),
        none="Nothing to put on.", notes=(), foot="invented",
    )  # fmt: skip
    ((shapes),) = truck_pages(page)

    assert "Nothing to put on." in {one.text for one in texts(shapes)}


def test_a_row_must_fill_its_columns():
    with pytest.raises(ValueError, match="not one cell"):
        order_pages(an_order(PartsTable((Column("A", 1),), (("x", "y"),))))
