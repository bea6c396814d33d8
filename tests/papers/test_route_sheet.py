import re
from dataclasses import replace
from io import BytesIO

import pypdfium2
import pytest
from made_up import (
    INSULATION,
    LOCKOUT,
    NAMES,
    NO_ENTRY,
    OPEN_RISER,
    long_notes,
    six_stops,
    twenty_stops,
)
from pypdf import PdfReader

from servicedesk.papers import pick_block
from servicedesk.papers.layout import PAGE_SIZES
from servicedesk.papers.paint import qr_modules
from servicedesk.papers.route_sheet import SheetOptions, route_sheet, route_sheets, sheet_pages
from servicedesk.papers.rows import PickItem
from servicedesk.papers.stop_block import geo_uri
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Icon, QrCode, Rect, TextBox
from servicedesk.words.formats import Formats

FORMATS = Formats()
DAYS = [six_stops, twenty_stops, long_notes]
PAPERS = ["letter", "a4"]


def pages_of(sheet, page="letter", *, secrets=False):
    return sheet_pages(sheet, FORMATS, SheetOptions(page, secrets))


def text_of(pdf: bytes) -> str:
    """Everything written, by a reader that is not ours (PDFium), without line breaks."""
    document = pypdfium2.PdfDocument(pdf)
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    return re.sub(r"\s+", " ", text)


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_every_word_of_the_day_can_be_read_back():
    sheet = six_stops()
    text = text_of(route_sheet(sheet, FORMATS))
    wanted = [
        sheet.technician,
        "Thursday, October 15, 2026",
        sheet.company,
        sheet.phone,
        "truck T1",
    ]
    wanted += ["6 stops", "66 min driving", "home 2:18 pm", "leave at 7:15 am", "Invented data"]
    wanted += ["printed Wed, Oct 14, 4:10 pm", "straight lines, times estimated", "sheet 1 of 1"]
    wanted += ["promised 11:00 to 1:00", "The place on the map is guessed", "(since Oct 2025)"]
    wanted += [item.name for item in sheet.load] + [place.name for place in sheet.places]
    for stop in sheet.stops:
        wanted += [stop.address, stop.customer, stop.lids, stop.dogs, stop.visiting_hours]
        wanted += [stop.call_before, *stop.access, *stop.cautions, *stop.bring]
        wanted += [owed.text for owed in stop.owed] + [past.text for past in stop.past]
        wanted += [part for job in stop.jobs for part in (job.kind, job.why, job.first_check)]
    missing = [part for part in wanted if squeezed(part) not in squeezed(text)]
    assert missing == []


def with_picks(sheet, n=7):
    long = "Air pump with a name that nobody would write and somebody wrote all the same, " * 3
    picks = [PickItem(2, f"Float {k}", f"F-{k}") for k in range(n)]
    picks[3] = PickItem(1, long.strip(), "A-060", "buy 1 first")
    chance = "All finished at the first visit: 61% as the truck is, 94% with this list"
    return replace(sheet, picks=tuple(picks), pick_chance=chance)


@pytest.mark.parametrize("sheet", [six_stops(), twenty_stops(), long_notes()])
def test_the_pick_list_stands_whole_with_a_box_each_and_the_chance(sheet):
    listed = with_picks(sheet)
    text = squeezed(text_of(route_sheet(listed, FORMATS)))
    wanted = [f"{one.quantity} x {one.name} ({one.number})" for one in listed.picks]
    wanted += [f"Put on the truck. {listed.pick_chance}", "buy 1 first"]
    assert [part for part in wanted if squeezed(part) not in text] == []
    boxes = [
        shape.box
        for page in pages_of(listed)
        for shape in page
        if isinstance(shape, Rect) and shape.box.width == pick_block.BOX
    ]
    assert len(boxes) == len(listed.picks)
    assert "Put on the truck" not in text_of(route_sheet(sheet, FORMATS))


def test_nothing_to_put_on_is_said():
    sheet = replace(six_stops(), pick_chance="All finished at the first visit: 95% as it is")
    assert "Nothing to put on the truck. All finished" in text_of(route_sheet(sheet, FORMATS))


@pytest.mark.parametrize("caution", [NO_ENTRY, OPEN_RISER, LOCKOUT, INSULATION])
def test_cautions_stand_uncut(caution):
    assert caution in text_of(route_sheet(six_stops(), FORMATS))


@pytest.mark.parametrize(
    "word", ["in", "out", "found", "did", "left", "done", "patched", "could not"]
)
def test_there_is_a_line_or_box_for_each_thing_to_write(word):
    texts = [s.text for page in pages_of(six_stops()) for s in page if isinstance(s, TextBox)]
    assert texts.count(word) == (1 if word in ("found", "did", "left") else 6)


def test_names_in_four_scripts_are_embedded_and_read_back_by_two_readers():
    pdf = route_sheet(twenty_stops(), FORMATS)
    text = text_of(pdf)
    other = " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    for name in (*NAMES, "Ελένη Żółkiewska"):
        assert squeezed(name) in squeezed(text)
        assert squeezed(name) in squeezed(other)


def test_only_our_fonts_are_used_and_all_are_embedded():
    reader = PdfReader(BytesIO(route_sheet(twenty_stops(), FORMATS)))
    fonts = {}
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            fonts[str(font["/BaseFont"])] = "/FontFile2" in font.get("/FontDescriptor", {})
    used = {name for name in fonts if "Helvetica" not in name}
    assert used
    assert all(re.search("Inter|OnsiteTitle", name) and fonts[name] for name in used)


def test_a_note_longer_than_a_page_and_a_word_longer_than_a_line_are_whole():
    sheet = long_notes()
    text = squeezed(text_of(route_sheet(sheet, FORMATS)))
    for n in range(1, 160):
        assert squeezed(f"behind the shed {n}, under the boards, mind the wire.") in text
    assert sheet.stops[0].notes[1] in text
    assert "LAST-NAME" in text
    assert "END-OF-ADDRESS" in text
    assert squeezed(sheet.technician) in text
    assert "9TessingRoad,goeson" in text


@pytest.mark.parametrize("day", DAYS)
@pytest.mark.parametrize("page", PAPERS)
def test_nothing_stands_outside_the_page_or_on_another_text(day, page):
    width, height = PAGE_SIZES[page]
    paper = Box(24, 24, width - 48, height - 48)
    for shapes in pages_of(day(), page, secrets=True):
        for shape in shapes:
            assert paper.holds(shape.bounds, 0.5), shape
        boxes = [s for s in shapes if isinstance(s, TextBox)]
        inked = [s.box.grown(-s.font.size * 0.17) for s in boxes]
        for index, one in enumerate(inked):
            for other, rest in zip(inked[index + 1 :], boxes[index + 1 :], strict=True):
                assert not one.touches(other), (boxes[index].text, rest.text)


@pytest.mark.parametrize("day", DAYS)
def test_ink_stays_off_the_margins(day):
    """The page as PDFium paints it: an empty rim of 8 mm, so what was laid out is what is seen."""
    document = pypdfium2.PdfDocument(route_sheet(day(), FORMATS))
    for page in document:
        picture = page.render(scale=2).to_pil().convert("L").point(lambda v: 255 * (v < 200))
        left, top, right, bottom = picture.getbbox()
        assert left >= 46
        assert top >= 46
        assert right <= picture.width - 46
        assert bottom <= picture.height - 46


@pytest.mark.parametrize("page", PAPERS)
def test_a_stop_that_fits_on_a_page_is_never_divided(page):
    for shapes in pages_of(twenty_stops(), page):
        texts = [s.text for s in shapes if isinstance(s, TextBox)]
        roads = sum("Upper Sallow Fork Road" in text for text in texts)
        assert roads == texts.count("could not") == texts.count("Bring: tablets")


def test_the_same_rows_give_the_same_bytes_and_another_print_time_does_not():
    sheet = six_stops()
    assert route_sheet(sheet, FORMATS) == route_sheet(sheet, FORMATS)
    assert route_sheet(sheet, FORMATS) != route_sheet(replace(sheet, printed_min=971), FORMATS)


def test_secrets_are_printed_only_when_asked():
    assert "2580#" not in text_of(route_sheet(six_stops(), FORMATS))
    assert "Sensitive notes are left out" in text_of(route_sheet(six_stops(), FORMATS))
    no_phone = text_of(route_sheet(replace(six_stops(), phone=""), FORMATS))
    assert "Gate codes: the office." in no_phone
    asked = text_of(route_sheet(six_stops(), FORMATS, SheetOptions(secrets=True)))
    assert "Gate code 2580#" in asked
    assert "Sensitive notes are left out" not in asked


def test_sheets_of_a_day_are_numbered_through_and_begin_on_their_own_pages():
    pdf = route_sheets([six_stops(), twenty_stops()], FORMATS)
    text = text_of(pdf)
    assert "sheet 1 of 2" in text
    assert "sheet 2 of 2" in text
    alone = sum(len(pages_of(day())) for day in (six_stops, twenty_stops))
    assert len(PdfReader(BytesIO(pdf)).pages) == alone


def test_a_day_without_stops_and_one_without_positions_say_so():
    assert "No stops on this day" in text_of(route_sheet(replace(six_stops(), stops=()), FORMATS))
    lost = tuple(replace(stop, position=None) for stop in six_stops().stops)
    assert "No map" in text_of(route_sheet(replace(six_stops(), stops=lost), FORMATS))
    half = (*lost[:2], *six_stops().stops[2:])
    text = text_of(route_sheet(replace(six_stops(), stops=half), FORMATS))
    assert "Without a position, not on the map: 1, 2" in text


@pytest.mark.parametrize(
    ("position", "uri"),
    [
        # examples of RFC 5870, sections 1 and 6.1 (quoted from memory): latitude first
        (Position(13.4125, 103.8667), "geo:13.4125,103.8667"),
        (Position(48.2010, 16.3695), "geo:48.201,16.3695"),
        # section 3.4.2 (from memory): the longitude of a pole SHOULD be 0
        (Position(90, -22.43), "geo:90,0"),
        (Position(-0.000001, -97.0221), "geo:0,-97.0221"),
    ],
)
def test_the_code_carries_a_geo_uri(position, uri):
    assert geo_uri(position) == uri


def test_each_code_is_white_around_and_large_enough():
    """A quiet zone of four modules (ISO/IEC 18004, from memory) and modules of at least half a millimeter."""
    for shapes in pages_of(six_stops()):
        for code in (s for s in shapes if isinstance(s, QrCode)):
            module = code.box.width / len(qr_modules(code.text))
            assert module >= 0.5 / 25.4 * 72
            zone = code.box.grown(4 * module)
            for shape in shapes:
                if shape is not code and isinstance(shape, TextBox | Rect | Icon):
                    assert not zone.touches(shape.bounds), shape


def test_control_signs_and_markup_in_a_note_are_only_text():
    odd = replace(six_stops().stops[0], notes=("R&amp;D <b>unclosed \x07\x00 tab\there",))
    text = text_of(route_sheet(replace(six_stops(), stops=(odd,)), FORMATS))
    assert "R&amp;D <b>unclosed tab here" in text
