"""Photos as they come from a phone: turned upright, made small, with when and where they say.

What is kept holds only the picture, the time taken and the place. A copy that leaves the house
holds neither time nor place: `bare_photo`.
"""

import io
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any

from PIL import Image, ImageOps, UnidentifiedImageError

from servicedesk.values.position import Position
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

LONG_SIDE_PX = 2_048
MOST_PIXELS = 150_000_000  # a phone takes up to 108 million; more is no photo
QUALITY = 88
# tags of EXIF 2.32 (CIPA DC-008), sections 4.6.4 to 4.6.6
_EXIF_IFD, _GPS_IFD = 0x8769, 0x8825
_TAKEN, _OFFSET = 0x9003, 0x9011
_LAT_REF, _LAT, _LON_REF, _LON = 1, 2, 3, 4
_HEIC = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as it is kept. `taken`: wall time of the camera, with its zone if it says so."""

    data: bytes
    media_type: str
    width_px: int
    height_px: int
    taken: datetime | None
    position: Position | None


def is_heic(data: bytes) -> bool:
    """Is it a photo as newer phones store them?"""
    return data[4:8] == b"ftyp" and data[8:12] in _HEIC


def photo_of(data: bytes, name: str) -> Photo | None:
    """A photo made ready to be kept; None if these bytes are no picture.

    Raises Trouble for a broken one, one beyond all measure, and a HEIC one where the library that
    reads them is not installed.
    """
    if is_heic(data):
        _open_heic(name)
    image = _opened(data)
    if image is None:
        return None
    if image.width * image.height > MOST_PIXELS:
        raise Trouble(say("{name} is too large a picture.", name=name))
    taken, position = _taken(image), _position(image)
    try:
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX), Image.Resampling.LANCZOS)
        kept, media_type = _written(upright, _kept_tags(image))
    except (OSError, ValueError, SyntaxError) as error:
        raise Trouble(
            say("{name} is a damaged picture.", name=name),
            do=say("Open it in the camera's own program and save it anew."),
        ) from error
    return Photo(kept, media_type, upright.width, upright.height, taken, position)


def bare_photo(data: bytes) -> bytes:
    """The same picture without anything that tells when or where it was taken.

    Bytes that are no picture come back as they are.
    """
    image = _opened(data)
    return data if image is None else _written(image, None)[0]


def small_photo(data: bytes, side_px: int) -> bytes:
    """A small JPEG of a photo for a list; empty if it cannot be read."""
    image = _opened(data)
    if image is None:
        return b""
    try:
        image.draft("RGB", (side_px, side_px))  # a JPEG is only read as fine as is needed
        image.thumbnail((side_px, side_px))
        return _written(image.convert("RGB"), None, jpeg=True)[0]
    except (OSError, ValueError):
        return b""


def place_of_photo(data: bytes) -> Position | None:
    """Where a photo says that it was taken."""
    image = _opened(data)
    return None if image is None else _position(image)


def _open_heic(name: str) -> None:
    """Make the reader of HEIC known, where somebody installed it."""
    try:
        from pillow_heif import register_heif_opener  # type: ignore[import-not-found,unused-ignore]
    except ImportError as missing:
        raise Trouble(
            say("{name} is a HEIC photo, and the library pillow-heif is not installed.", name=name),
            do=say("Install pillow-heif, or have the phone save photos as JPEG."),
        ) from missing
    register_heif_opener()


def _opened(data: bytes) -> Any:
    """The picture, not read yet; None if it is none. (Any: a reader of files, not of types.)"""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # we count the pixels ourselves
            return Image.open(io.BytesIO(data))
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        return None
    except Image.DecompressionBombError:
        raise Trouble(say("That picture is too large.")) from None


def _written(image: Any, tags: Any, *, jpeg: bool = False) -> tuple[bytes, str]:
    """A drawing with clear parts stays PNG, everything else is JPEG."""
    out = io.BytesIO()
    more = {} if tags is None else {"exif": tags}
    clear = image.mode in ("RGBA", "LA", "P", "PA")
    if clear and not jpeg:
        image.save(out, "PNG", optimize=True, **more)
        return out.getvalue(), "image/png"
    image.convert("RGB").save(out, "JPEG", quality=QUALITY, optimize=True, **more)
    return out.getvalue(), "image/jpeg"


def _kept_tags(image: Any) -> Any:
    """Only when and where: no serial numbers, no small picture from before, upright by now."""
    seen, kept = image.getexif(), Image.Exif()
    about = {t: v for t, v in seen.get_ifd(_EXIF_IFD).items() if t in (_TAKEN, _OFFSET)}
    where = {t: v for t, v in seen.get_ifd(_GPS_IFD).items() if t in (1, 2, 3, 4)}
    if about:
        kept[_EXIF_IFD] = about
    if where:
        kept[_GPS_IFD] = where
    return kept


def _taken(image: Any) -> datetime | None:
    about: Mapping[int, Any] = image.getexif().get_ifd(_EXIF_IFD)
    try:
        taken = datetime.strptime(str(about.get(_TAKEN, ""))[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    offset = str(about.get(_OFFSET, ""))
    if len(offset) == 6 and offset[0] in "+-" and offset[1:3].isdigit() and offset[4:].isdigit():
        sign = -1 if offset[0] == "-" else 1
        away = timedelta(hours=int(offset[1:3]), minutes=int(offset[4:]))
        return taken.replace(tzinfo=timezone(sign * away))
    return taken


def _position(image: Any) -> Position | None:
    """Degrees, minutes and seconds of the GPS tags as one position; None where they make none."""
    where: Mapping[int, Any] = image.getexif().get_ifd(_GPS_IFD)
    try:
        lat = _degrees(where[_LAT]) * (-1 if str(where.get(_LAT_REF, "N")).upper() == "S" else 1)
        lon = _degrees(where[_LON]) * (-1 if str(where.get(_LON_REF, "E")).upper() == "W" else 1)
        found = Position(round(lat, 6), round(lon, 6))
    except (KeyError, TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    # a camera without a fix writes zeros
    return None if (found.lat_deg, found.lon_deg) == (0.0, 0.0) else found


def _degrees(parts: Any) -> float:
    degrees, minutes, seconds = (float(part) for part in parts)
    return degrees + minutes / 60 + seconds / 3600
