"""Photos: upright, small, when and where; against Qt's reader and tags written by hand.

Tags: EXIF 2.32 (CIPA DC-008) on TIFF 6.0, written here byte by byte, not by the library that
reads them.
"""

import io
import struct
from datetime import timedelta

import pytest
from PIL import Image
from PySide6.QtCore import QBuffer, QByteArray
from PySide6.QtGui import QImageReader

from servicedesk.exchange import photos
from servicedesk.exchange.photos import bare_photo, photo_of, small_photo
from servicedesk.values.trouble import Trouble

COLORS = ((200, 30, 30), (30, 160, 30), (30, 30, 200), (220, 200, 40))  # the four corners


def tiff(orientation=1, taken="", offset="", gps=None):
    """An EXIF block: one directory with the orientation, one with the time, one with the place."""
    about = [(0x9003, 2, taken.encode() + b"\0")] if taken else []
    about += [(0x9011, 2, offset.encode() + b"\0")] if offset else []
    where = []
    if gps:
        lat, lat_ref, lon, lon_ref = gps
        where = [(1, 2, lat_ref + b"\0"), (2, 5, lat), (3, 2, lon_ref + b"\0"), (4, 5, lon)]
    first = [(0x0112, 3, struct.pack("<H", orientation)), (0x8769, 4, None), (0x8825, 4, None)]
    at = 8 + 2 + 12 * len(first) + 4
    about_block, where_at = directory(about, at)
    where_block, _ = directory(where, where_at)
    pointers = {0x8769: struct.pack("<I", at), 0x8825: struct.pack("<I", where_at)}
    head = [(tag, kind, pointers.get(tag, value)) for tag, kind, value in first]
    return b"Exif\0\0II*\0\x08\0\0\0" + directory(head, 8)[0] + about_block + where_block


def directory(entries, at):
    """A directory that begins at `at`, its long values behind it; and where the next one begins."""
    sizes = {2: 1, 3: 2, 4: 4, 5: 8}
    behind, body = b"", struct.pack("<H", len(entries))
    data_at = at + 2 + 12 * len(entries) + 4
    for tag, kind, value in entries:
        count = len(value) // sizes[kind]
        body += struct.pack("<HHI", tag, kind, count)
        if len(value) <= 4:
            body += value.ljust(4, b"\0")
        else:
            body += struct.pack("<I", data_at + len(behind))
            behind += value
    whole = body + b"\0\0\0\0" + behind
    return whole, at + len(whole)


def degrees(d, m, s100):
    return struct.pack("<6I", d, 1, m, 1, s100, 100)


def a_jpeg(size=(64, 40), exif=b""):
    """Four quarters in four colors."""
    width, height = size
    image = Image.new("RGB", size)
    for n, color in enumerate(COLORS):
        box = (n % 2 * width // 2, n // 2 * height // 2)
        image.paste(color, (*box, box[0] + width // 2, box[1] + height // 2))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=95, exif=exif)
    return out.getvalue()


def corners(image):
    """Which of the four colors lies in each corner."""
    width, height = image.size
    spots = ((4, 4), (width - 5, 4), (4, height - 5), (width - 5, height - 5))
    seen = [image.convert("RGB").getpixel(spot) for spot in spots]
    return [min(range(4), key=lambda n: sum(abs(a - b) for a, b in zip(COLORS[n], one)))  # noqa: B905
            for one in seen]  # fmt: skip


def as_qt_reads_it(data):
    buffer = QBuffer()
    buffer.setData(QByteArray(data))
    reader = QImageReader(buffer, QByteArray(b"jpeg"))
    reader.setAutoTransform(True)
    image = reader.read()
    out = QBuffer()
    out.open(QBuffer.OpenModeFlag.WriteOnly)
    image.save(out, "PNG")
    return Image.open(io.BytesIO(bytes(out.data().data())))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_is_turned_upright_as_another_reader_turns_it(orientation):
    data = a_jpeg(exif=tiff(orientation))

    kept = Image.open(io.BytesIO(photo_of(data, "a.jpg").data))

    expected = as_qt_reads_it(data)
    assert kept.size == expected.size
    assert corners(kept) == corners(expected)
    assert kept.getexif().get(0x0112, 1) == 1  # turned once, never again


@pytest.mark.parametrize(
    ("size", "kept"),
    [((4096, 1024), (2048, 512)), ((900, 3000), (614, 2048)), ((64, 40), (64, 40))],
)
def test_the_long_side_is_at_most_2048_pixels(size, kept):
    photo = photo_of(a_jpeg(size), "a.jpg")
    assert (photo.width_px, photo.height_px) == kept
    assert Image.open(io.BytesIO(photo.data)).size == kept


def test_time_and_place_are_read_and_kept():
    # 29 deg 57' 14.76" N, 94 deg 1' 16.68" W by hand: 29 + 57/60 + 14.76/3600 = 29.954100
    gps = (degrees(29, 57, 1476), b"N", degrees(94, 1, 1668), b"W")
    data = a_jpeg(exif=tiff(6, "2026:10:13 16:20:05", "-05:00", gps))

    photo = photo_of(data, "a.jpg")

    assert photo.taken.isoformat() == "2026-10-13T16:20:05-05:00"
    assert photo.taken.utcoffset() == timedelta(hours=-5)
    assert photo.position.lat_deg == pytest.approx(29.9541, abs=1e-6)
    assert photo.position.lon_deg == pytest.approx(-94.0213, abs=1e-6)
    again = photo_of(photo.data, "a.jpg")
    assert (again.taken, again.position) == (photo.taken, photo.position)


def test_a_copy_that_leaves_the_house_says_neither_when_nor_where():
    gps = (degrees(29, 57, 1476), b"S", degrees(94, 1, 1668), b"E")
    photo = photo_of(a_jpeg(exif=tiff(1, "2026:10:13 16:20:05", "", gps)), "a.jpg")
    assert photo.position.lat_deg < 0 < photo.position.lon_deg

    bare = bare_photo(photo.data)

    assert b"Exif" in photo.data
    assert b"Exif" not in bare
    assert (photo_of(bare, "a.jpg").taken, photo_of(bare, "a.jpg").position) == (None, None)
    assert Image.open(io.BytesIO(bare)).size == (64, 40)


@pytest.mark.parametrize(
    "gps",
    [
        (degrees(0, 0, 0), b"N", degrees(0, 0, 0), b"E"),  # a camera without a fix
        (degrees(95, 0, 0), b"N", degrees(10, 0, 0), b"E"),  # beyond the pole
        (struct.pack("<6I", 10, 0, 0, 1, 0, 1), b"N", degrees(10, 0, 0), b"E"),  # over nothing
    ],
)
def test_a_place_that_makes_no_sense_is_none(gps):
    assert photo_of(a_jpeg(exif=tiff(gps=gps)), "a.jpg").position is None


def test_a_time_that_makes_no_sense_is_none():
    assert photo_of(a_jpeg(exif=tiff(taken="0000:00:00 00:00:00")), "a.jpg").taken is None


def test_a_drawing_with_clear_parts_stays_one():
    out = io.BytesIO()
    Image.new("RGBA", (3000, 10), (0, 0, 0, 0)).save(out, "PNG")
    photo = photo_of(out.getvalue(), "a.png")
    assert (photo.media_type, photo.width_px) == ("image/png", 2048)
    assert small_photo(photo.data, 56).startswith(b"\xff\xd8")


def test_a_heic_photo_names_the_library_that_reads_it(monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "pillow_heif", None)
    with pytest.raises(Trouble) as told:
        photo_of(b"\0\0\0\x18ftypheic" + b"\0" * 40, "IMG_1.HEIC")
    assert "pillow-heif" in told.value.what
    assert "JPEG" in told.value.do


def test_what_is_no_picture_is_none_and_half_a_picture_is_told():
    assert photo_of(b"%PDF-1.7 ...", "a.pdf") is None
    with pytest.raises(Trouble, match="damaged"):
        photo_of(a_jpeg((900, 900))[:3000], "a.jpg")


def test_a_picture_beyond_all_measure_is_refused(monkeypatch):
    monkeypatch.setattr(photos, "MOST_PIXELS", 1000)
    with pytest.raises(Trouble, match="too large"):
        photo_of(a_jpeg(), "a.jpg")
