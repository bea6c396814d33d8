"""Broken and hostile files: one clear sentence each, in bounded time and memory, never a traceback."""

import contextlib
import io
import os
import time
import tracemalloc
import zipfile

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from servicedesk.exchange.columns import propose
from servicedesk.exchange.sheetfile import MAX_ROWS, read_sheet_file
from servicedesk.exchange.understand import layout_for, likeliest_table
from servicedesk.exchange.waypoints import read_waypoints
from servicedesk.values.trouble import Trouble

SECONDS = 30  # of the processor: what never ends is caught, a busy machine is not
MEGABYTES = 150


def refused(content, *, name="list.xlsx", says):
    """The file is refused with a sentence that holds `says`, fast and in little memory."""
    tracemalloc.start()
    begun = time.process_time()
    try:
        with pytest.raises(Trouble) as caught:
            read_sheet_file(content, name=name if isinstance(content, bytes) else "")
        took = time.process_time() - begun
        peak = tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()
    sentence = str(caught.value)
    assert says.casefold() in sentence.casefold()
    assert "Traceback" not in sentence
    assert "Error" not in sentence
    assert took < SECONDS
    assert peak < MEGABYTES
    return caught.value


def workbook(rows=(("Name", "Address"), ("Quillan", "3 Heron Bank"))):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def with_part(content, part, change):
    """The workbook with one part changed by `change(bytes) -> bytes`, or added if it has none."""
    result = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for info in old.infolist():
            body = old.read(info)
            new.writestr(info.filename, change(body) if info.filename == part else body)
        if part not in old.namelist():
            new.writestr(part, change(b"<?xml version='1.0'?><sst/>"))
    return result.getvalue()


SHEET = "xl/worksheets/sheet1.xml"


def test_an_empty_file_is_refused():
    refused(b"", says="is empty")
    refused(b"\x00" * 4000, says="is empty")
    refused(b"\xef\xbb\xbf\r\n\r\n", name="list.csv", says="is empty")


def test_a_folder_is_refused(tmp_path):
    refused(tmp_path, says="is a folder")


def test_a_file_that_is_not_there_is_refused(tmp_path):
    refused(tmp_path / "gone.xlsx", says="There is no file")


def test_something_that_is_no_file_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe.csv")

    refused(tmp_path / "pipe.csv", says="not an ordinary file")


@pytest.mark.parametrize(
    ("start", "says"),
    [
        (b"%PDF-1.7\n%\xe2\xe3", "a PDF document"),
        (b"\x89PNG\r\n\x1a\n", "a picture"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "a picture"),
        (b"{\\rtf1\\ansi", "a text document"),
        (b"\x1f\x8b\x08\x00", "a packed archive"),
        (b"SQLite format 3\x00", "a database"),
        (b"\x7fELF\x02", "a program"),
    ],
)
@pytest.mark.parametrize("name", ["list.xlsx", "list.csv"])
def test_another_kind_of_file_under_a_false_name_is_named(start, says, name):
    refused(start + b"\x00 some body " * 50, name=name, says=says)


def test_an_older_workbook_is_sent_back_to_be_saved_anew():
    old = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 2000

    trouble = refused(old, name="list.xls", says="older format")

    assert "save it as XLSX or CSV" in trouble.do


def test_a_locked_workbook_is_named():
    locked = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 900
    locked += "EncryptedPackage".encode("utf-16-le") + b"\x00" * 900

    refused(locked, says="password")


def test_an_open_document_is_sent_back_to_be_saved_anew():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", "<x/>")

    refused(stream.getvalue(), name="list.ods", says="OpenDocument")


def test_a_text_document_and_an_archive_are_named():
    for part, says in (("word/document.xml", "text document"), ("photo.jpg", "packed archive")):
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w") as package:
            package.writestr(part, "<x/>")
        refused(stream.getvalue(), says=says)


def test_a_zip_bomb_is_not_unpacked():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.xml", "<workbook/>")
        package.writestr(SHEET, b"0" * 190_000_000)

    assert len(stream.getvalue()) < 300_000
    refused(stream.getvalue(), says="would unpack to 190 MB")


def test_thousands_of_parts_are_not_opened():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        package.writestr("xl/workbook.xml", "<workbook/>")
        for n in range(2500):
            package.writestr(f"xl/worksheets/sheet{n}.xml", "<x/>")

    refused(stream.getvalue(), says="2501 parts")


def test_a_size_that_the_zip_directory_understates_does_no_harm():
    content = with_part(workbook(), SHEET, lambda body: body + b" " * 3_000_000)
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        true_size = package.getinfo(SHEET).file_size
    lied = content.replace(true_size.to_bytes(4, "little"), (200).to_bytes(4, "little"))

    refused(lied, says="damaged")


@pytest.mark.parametrize(
    "doctype",
    [
        b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>',
        b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>',
        b'<!DOCTYPE x SYSTEM "http://203.0.113.7/x.dtd">',
    ],
)
@pytest.mark.parametrize(
    "part", [SHEET, "xl/workbook.xml", "xl/sharedStrings.xml", "[Content_Types].xml"]
)
def test_external_entities_are_refused_in_every_part(doctype, part):
    def declare(body):
        head, mark, rest = body.partition(b"?>")
        return head + mark + doctype + rest if mark else doctype + body

    refused(with_part(workbook(), part, declare), says="outside itself")


def test_entities_hidden_in_another_encoding_are_refused():
    def hide(body):
        text = body.decode("utf-8").partition("?>")[2] or body.decode("utf-8")
        head = '<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE x [<!ENTITY a "b">]>'
        return (head + text).encode("utf-16")

    refused(with_part(workbook(), SHEET, hide), says="workbook")


def test_a_workbook_cut_off_is_damaged():
    content = workbook()

    for share in (0.3, 0.7, 0.95):
        refused(content[: int(len(content) * share)], says="damaged")


def test_a_workbook_with_torn_xml_is_refused():
    refused(
        with_part(workbook(), SHEET, lambda body: body[: len(body) // 2]), says="not a workbook"
    )
    refused(with_part(workbook(), "xl/workbook.xml", lambda _body: b"<workbook"), says="workbook")


def test_a_workbook_without_content_is_refused():
    refused(workbook(rows=()), says="no filled cell")


def test_headers_only_are_refused():
    sheet = read_sheet_file(b"Name,Address,Phone\r\n,,\r\n", name="list.csv")

    with pytest.raises(Trouble, match="headings but no rows"):
        layout_for(likeliest_table(sheet))


def test_null_bytes_are_refused():
    refused(b"Name,Address\r\nQuil\x00lan,3 Heron Bank\r\n", name="list.csv", says="null bytes")


def test_noise_is_refused():
    refused(bytes(range(1, 256)) * 40, name="list.csv", says="not a text file")


def test_a_million_rows_of_text_are_refused():
    content = b"1042;Quillan;3 Heron Bank\n" * 1_000_000

    refused(content, name="list.csv", says=f"more than {MAX_ROWS} rows")


def test_a_million_rows_of_a_workbook_are_refused():
    row = '<row r="{0}"><c r="A{0}"><v>{0}</v></c><c r="B{0}"><v>1</v></c></row>'
    rows = "".join(row.format(n) for n in range(1, 1_000_001)).encode()

    content = with_part(
        workbook(),
        SHEET,
        lambda body: (
            body.split(b"<sheetData>")[0] + b"<sheetData>" + rows + b"</sheetData></worksheet>"
        ),
    )

    refused(content, says=f"more than {MAX_ROWS} rows")


def test_a_file_of_a_hundred_megabytes_is_not_read(tmp_path):
    path = tmp_path / "big.csv"
    with path.open("wb") as file:
        file.truncate(100_000_000)

    refused(path, says="too large: 100 MB")


def test_cells_in_the_last_column_of_many_rows_are_refused():
    row = '<row r="{0}"><c r="A{0}"><v>{0}</v></c><c r="XFD{0}"><v>1</v></c></row>'
    rows = "".join(row.format(n) for n in range(1, 5001)).encode()

    content = with_part(
        workbook(),
        SHEET,
        lambda body: (
            body.split(b"<sheetData>")[0] + b"<sheetData>" + rows + b"</sheetData></worksheet>"
        ),
    )

    refused(content, says="far too wide")


def test_a_workbook_that_states_a_false_size_is_read_in_time():
    content = with_part(
        workbook(), SHEET, lambda body: body.replace(b'ref="A1:B2"', b'ref="A1:XFD1048576"')
    )
    begun = time.process_time()

    sheet = read_sheet_file(content, name="list.xlsx")

    assert [row.number for row in sheet.tables[0].rows] == [1, 2]
    assert time.process_time() - begun < SECONDS


def test_one_cell_at_the_very_bottom_is_read_in_time():
    content = with_part(
        workbook(), SHEET,
        lambda body: body.replace(b"</sheetData>", b'<row r="1048576"><c r="A1048576"><v>7</v></c></row></sheetData>'),
    )  # fmt: skip
    begun = time.process_time()

    sheet = read_sheet_file(content, name="list.xlsx")

    assert sheet.tables[0].rows[-1].number == 1_048_576
    assert time.process_time() - begun < SECONDS


def test_a_quotation_mark_never_closed_is_told_with_its_row():
    body = b'Name,Address\r\n"Quillan,3 Heron Bank\r\n' + b"Pell,52 Ashpit Lane\r\n" * 5000

    refused(body, name="list.csv", says="quotation mark")


def test_formulas_stay_text_and_are_flagged():
    sheet = read_sheet_file(
        b'Name,Address\r\n"=HYPERLINK(""http://203.0.113.7"",""x"")",3 Heron Bank\r\n@SUM(A1),+1 802 555 0142\r\n',
        name="a.csv",
    )

    table = sheet.tables[0]
    assert table.rows[1].text(1).startswith("=HYPERLINK")
    assert table.formulas == {(2, 1), (3, 1)}


def test_a_formula_without_its_result_is_flagged_and_not_run():
    table = read_sheet_file(workbook([("Name", "Fee"), ("Quillan", "=1+1")]), name="a.xlsx").tables[
        0
    ]

    assert table.rows[1].text(2) == ""
    assert (2, 2) in table.formulas


def test_xml_that_is_no_gpx_and_hostile_gpx_are_refused():
    bomb = b'<!DOCTYPE g [<!ENTITY a "aaaaaaaaaa">]><gpx><wpt lat="1" lon="1"><name>&a;</name></wpt></gpx>'
    for content in (b"<html><body/></html>", bomb, b"<gpx><wpt", b'<gpx version="1.1"></gpx>'):
        with pytest.raises(Trouble):
            read_waypoints(content, name="a.gpx")


def read_whole(content, name):
    """Read as far as the columns; Trouble is the only way out but success."""
    with contextlib.suppress(Trouble):
        propose(layout_for(likeliest_table(read_sheet_file(content, name=name))))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=600))
def test_no_bytes_trip_the_reader(content):
    read_whole(content, "list.csv")
    read_whole(b"PK\x03\x04" + content, "list.xlsx")


BOOK = workbook()


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_no_flipped_byte_of_a_workbook_trips_the_reader(data):
    at = data.draw(st.integers(0, len(BOOK) - 1))
    byte = data.draw(st.integers(0, 255))

    read_whole(BOOK[:at] + bytes([byte]) + BOOK[at + 1 :], "list.xlsx")


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_no_flipped_byte_of_a_sheet_trips_the_reader(data):
    def flip(body):
        at = data.draw(st.integers(0, len(body) - 1))
        return body[:at] + bytes([data.draw(st.integers(0, 255))]) + body[at + 1 :]

    part = data.draw(
        st.sampled_from(
            [
                SHEET,
                "xl/workbook.xml",
                "xl/styles.xml",
                "xl/_rels/workbook.xml.rels",
                "[Content_Types].xml",
            ]
        )
    )
    read_whole(with_part(BOOK, part, flip), "list.xlsx")


def test_a_workbook_whose_list_of_parts_is_damaged_gets_a_sentence():
    damaged = with_part(
        BOOK, "[Content_Types].xml", lambda body: body.replace(b"sheet.main+xml", b"sheet.mbin+xml")
    )

    with pytest.raises(Trouble):
        read_sheet_file(damaged, name="list.xlsx")
