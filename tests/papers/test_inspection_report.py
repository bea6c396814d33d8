"""The report on paper: every text read back from the PDF, pages numbered, nothing cut off."""

from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import pypdfium2
import pytest

from servicedesk.papers.inspection_report import FOOT, MARGIN, report_pages, report_pdf
from servicedesk.papers.layout import PAGE_SIZES
from servicedesk.papers.picture import page_count
from servicedesk.papers.report_rows import Fact, ReportPaper, ReportRow, ReportSection

READINGS = ReportSection(
    title="Readings",
    head=("What was measured", "Reading", "Usual range", "Remark"),
    widths=(0.36, 0.22, 0.18, 0.24),
    rows=(
        ReportRow(("Total chlorine", "less than 0.1 mg/L", "0.1 or more", "BELOW the range"),
                  "watch", strong=True),
        ReportRow(("Air pressure", "3.0 psi", "none set", "measured")),
    ),
    note="A finding to explain, not a verdict.",
)  # fmt: skip
PAPER = ReportPaper(
    letterhead=("Sallow Fork Onsite Care", "1 Office Road", "409-555-0100"),
    to=("Łoziński, Ruth", "118 Dry Hollow Lane"),
    title="Inspection report",
    number="Report 118",
    day="Wednesday, October 14, 2026",
    subtitle="118 Dry Hollow Lane, Old Tessing",
    facts=(Fact("Visited by", "Lena Hobb, RT-1"), Fact("Permit", "TC-00041"), Fact("Work", "x")),
    sections=(
        READINGS,
        ReportSection(title="As left", text=("Running, <b>lids</b> & screws on.",)),
    ),
    cautions=("Never put your body into a tank.",),
    foot="Sallow Fork Onsite Care · report 118",
    invented="Invented data",
)


def texts(pdf):
    with pypdfium2.PdfDocument(BytesIO(pdf)) as document:
        return [page.get_textpage().get_text_range() for page in document]


def words(text):
    return " ".join(text.split())


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_all_of_it_is_read_back_from_the_pdf(size):
    (page,) = texts(report_pdf(PAPER, size))
    told = words(page)

    for part in (
        *PAPER.letterhead, *PAPER.to, PAPER.title, PAPER.number, PAPER.day, PAPER.subtitle,
        *(f.text for f in PAPER.facts), *READINGS.rows[0].cells, *READINGS.rows[1].cells,
        READINGS.note, "Running, <b>lids</b> & screws on.", *PAPER.cautions, PAPER.invented,
        "page 1 of 1",
    ):  # fmt: skip
        assert part in told, part


def test_without_a_signature_it_waits_for_one_and_with_one_it_does_not():
    assert "waiting for signature" in words(texts(report_pdf(PAPER))[0])

    signed = words(texts(report_pdf(replace(PAPER, signed=("Signed by Nell Sallow, MP-31",))))[0])

    assert "Signed by Nell Sallow, MP-31" in signed
    assert "waiting for signature" not in signed


def test_what_a_correction_changed_stands_before_the_sections():
    told = words(
        texts(report_pdf(replace(PAPER, changed=("Air pressure: 3.0 instead of 2.0",))))[0]
    )

    assert (
        told.index("What was changed") < told.index("3.0 instead of 2.0") < told.index("Readings")
    )


def test_a_long_table_goes_on_under_its_heads_and_loses_no_row():
    rows = tuple(ReportRow((f"item {n}", "found", "range", "ok " * (n % 30)), "good")
                 for n in range(120))  # fmt: skip
    pages = texts(report_pdf(replace(PAPER, sections=(replace(READINGS, rows=rows),))))

    assert len(pages) > 2
    told = words(" ".join(pages)).split()
    assert [f"{a} {b}" for a, b in pairwise(told) if a == "item"] == [
        f"item {n}" for n in range(120)
    ]
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in words(page)
    assert "Readings, continued" in words(pages[1])
    assert "What was measured" in words(pages[1])


def test_a_note_longer_than_a_page_flows_on_uncut():
    long = replace(PAPER, sections=(ReportSection(title="Found", text=("word " * 3000,)),))

    pages = texts(report_pdf(long))

    assert sum(page.count("word") for page in pages) == 3000


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_everything_lies_within_the_page(size):
    width, height = PAGE_SIZES[size]
    rows = tuple(ReportRow((f"{n} " + "long name " * 9, "x" * 60, "y", "z")) for n in range(60))
    for page in report_pages(replace(PAPER, sections=(replace(READINGS, rows=rows),)), size):
        for shape in page:
            box = shape.bounds
            assert box.x >= MARGIN - 2
            assert box.right <= width - MARGIN + 2
            assert box.y >= MARGIN - 10
            assert box.bottom <= height - FOOT + 26


def test_the_same_rows_give_the_same_bytes():
    assert report_pdf(PAPER) == report_pdf(PAPER)
    assert page_count(report_pdf(PAPER)) == 1


def test_an_empty_paper_is_still_a_page():
    bare = ReportPaper(letterhead=(), to=(), title="Letter", number="", day="")

    assert page_count(report_pdf(bare)) == 1


def test_nobody_signs_a_page_that_has_nothing_else_on_it():
    for n in range(30, 60):
        rows = tuple(ReportRow((f"item {k}", "in order")) for k in range(n))
        section = ReportSection(title="Checked", head=("What", "How"), widths=(0.7, 0.3), rows=rows)
        last = texts(report_pdf(replace(PAPER, sections=(section,), cautions=())))[-1]
        assert f"item {n - 1}" in last
        assert "waiting for signature" in last
