"""Looks at a file before anything parses it: what is it really, and is it safe to open?

Every answer is either "go on" or one `Trouble`. The looks are cheap: first bytes, the directory
of a zip file, one pass over its parts in small pieces.
"""

import re
import stat
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

from servicedesk.exchange.sheetfile import MAX_BYTES
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

MAX_PARTS = 2_000  # a workbook of 50 sheets has about 120 parts; common practice, no source
MAX_UNPACKED = 200_000_000
MAX_RATIO = 200  # repetitive sheets shrink to about a fiftieth; common practice, no source
RATIO_FROM = 5_000_000
PIECE = 1 << 20

# First bytes of kinds of file that people rename; public signatures, from memory
DOCUMENT, PICTURE, RICH_TEXT, ARCHIVE, DATABASE, PROGRAM = range(6)
SIGNATURES = (
    (b"%PDF", DOCUMENT),
    (b"\x89PNG", PICTURE),
    (b"\xff\xd8\xff", PICTURE),
    (b"GIF8", PICTURE),
    (b"II*\x00", PICTURE),
    (b"MM\x00*", PICTURE),
    (b"RIFF", PICTURE),
    (b"{\\rtf", RICH_TEXT),
    (b"\x1f\x8b", ARCHIVE),
    (b"7z\xbc\xaf", ARCHIVE),
    (b"Rar!", ARCHIVE),
    (b"SQLite format 3", DATABASE),
    (b"\x7fELF", PROGRAM),
    (b"MZ\x90", PROGRAM),
)
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def save_as_sheet() -> str:
    """The way out of most trouble with a file."""
    return say("Open it in your spreadsheet program, save it as XLSX or CSV, and choose that file.")


def content_of(source: Path | bytes) -> bytes:
    """The bytes of a file, or those given. Raises Trouble if it is not a readable file."""
    if isinstance(source, bytes):
        _refuse_size(len(source), "")
        return source
    name = str(source)
    try:
        status = source.stat()
        if stat.S_ISDIR(status.st_mode):
            raise Trouble(
                say("{name} is a folder, not a file.", name=name),
                do=say("Choose the spreadsheet inside it."),
            )
        if not stat.S_ISREG(status.st_mode):
            raise Trouble(say("{name} is not an ordinary file.", name=name))
        _refuse_size(status.st_size, name)
        return source.read_bytes()
    except FileNotFoundError as error:
        raise Trouble(
            say("There is no file {name}.", name=name), do=say("Check the name and the folder.")
        ) from error
    except PermissionError as error:
        raise Trouble(
            say("{name} may not be read.", name=name),
            do=say("Close it in other programs, or ask for the right to read it."),
        ) from error
    except (OSError, ValueError) as error:
        raise Trouble(say("{name} could not be read.", name=name)) from error


def kind_of(content: bytes, name: str) -> str:
    """What the bytes themselves are, "xlsx" or "text", whatever the name says. Raises Trouble."""
    if not content.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise empty(name)
    for start, what in SIGNATURES:
        if content.startswith(start):
            raise _not_a_sheet(name, _named(what))
    if content.startswith(OLE):
        raise _old_or_locked(content, name)
    if content.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        _look_at_zip(content, name)
        return "xlsx"
    return "text"


def empty(name: str) -> Trouble:
    """The sentence for a file without content."""
    return Trouble(
        say("{name} is empty.", name=shown(name)),
        do=say("Choose the file that holds the list, and check that it was saved."),
    )


def shown(name: str) -> str:
    """The name of the file for a sentence."""
    return name or say("The file")


def pieces_of(package: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """One part of a zip file, unpacked in pieces, so that memory stays small."""
    with package.open(part) as stream:
        while piece := stream.read(PIECE):
            yield piece


def _named(what: int) -> str:
    return {
        DOCUMENT: say("a PDF document"),
        PICTURE: say("a picture or a recording"),
        RICH_TEXT: say("a text document"),
        ARCHIVE: say("a packed archive"),
        DATABASE: say("a database"),
        PROGRAM: say("a program"),
    }[what]


def _refuse_size(size: int, name: str) -> None:
    if size > MAX_BYTES:
        raise Trouble(
            say(
                "{name} is too large: {size} MB, and lists up to {limit} MB can be read.",
                name=shown(name),
                size=round(size / 1e6),
                limit=round(MAX_BYTES / 1e6),
            ),
            do=say("Save only the sheet with the sites as a file of its own."),
        )


def _not_a_sheet(name: str, what: str) -> Trouble:
    return Trouble(
        say("{name} is {what}, not a spreadsheet.", name=shown(name), what=what),
        do=say("Choose an XLSX or CSV file."),
    )


def _old_or_locked(content: bytes, name: str) -> Trouble:
    # An encrypted workbook is an old-style container with a stream of this name (in UTF-16)
    if "EncryptedPackage".encode("utf-16-le") in content[:MAX_BYTES]:
        return Trouble(
            say("{name} is locked with a password.", name=shown(name)),
            do=say("Open it, save it without a password as XLSX or CSV, and choose that file."),
        )
    return Trouble(
        say("{name} is in an older format that cannot be read here.", name=shown(name)),
        do=save_as_sheet(),
    )


def _look_at_zip(content: bytes, name: str) -> None:
    try:
        with zipfile.ZipFile(BytesIO(content)) as package:
            parts = package.infolist()
            _refuse_bomb(parts, len(content), name)
            _refuse_other_packages(package, name)
            for part in parts:
                if part.filename.endswith((".xml", ".rels", ".vml")):
                    _refuse_doctype(package, part.filename, name)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, OSError, ValueError) as error:
        raise _damaged(name) from error
    except (RuntimeError, NotImplementedError) as error:  # an encrypted or oddly packed part
        raise Trouble(
            say("{name} is packed in a way that cannot be read here.", name=shown(name)),
            do=save_as_sheet(),
        ) from error
    except Exception as error:
        # zlib.error has no common base with the others; anything else is ours and must be seen
        if type(error).__module__ in ("zlib", "_lzma", "_bz2"):
            raise _damaged(name) from error
        raise


def _damaged(name: str) -> Trouble:
    return Trouble(
        say("{name} is damaged or was not copied to its end.", name=shown(name)),
        do=say("Open it in your spreadsheet program, save it again, and choose the new file."),
    )


def _refuse_bomb(parts: list[zipfile.ZipInfo], packed: int, name: str) -> None:
    unpacked = sum(part.file_size for part in parts)
    too_dense = unpacked > RATIO_FROM and unpacked > MAX_RATIO * max(packed, 1)
    if len(parts) > MAX_PARTS or unpacked > MAX_UNPACKED or too_dense:
        raise Trouble(
            say(
                "{name} would unpack to {size} MB in {parts} parts; it was not opened.",
                name=shown(name),
                size=round(unpacked / 1e6),
                parts=len(parts),
            ),
            means=say("A list of sites is never like that: the file may be damaged or harmful."),
            do=say("Save only the sheet with the sites as a new XLSX or CSV file."),
        )


def _refuse_other_packages(package: zipfile.ZipFile, name: str) -> None:
    names = set(package.namelist())
    if "xl/workbook.xml" in names or any(
        part.startswith("xl/") and part.endswith("workbook.xml") for part in names
    ):
        return
    if "mimetype" in names and b"opendocument" in package.read("mimetype")[:200]:
        raise Trouble(
            say("{name} is an OpenDocument file, which cannot be read here.", name=shown(name)),
            do=save_as_sheet(),
        )
    if "xl/workbook.bin" in names:
        raise Trouble(
            say("{name} is a binary workbook, which cannot be read here.", name=shown(name)),
            do=save_as_sheet(),
        )
    what = say("a text document") if "word/document.xml" in names else say("a packed archive")
    raise _not_a_sheet(name, what)


def _refuse_doctype(package: zipfile.ZipFile, part: str, name: str) -> None:
    """XML of a workbook never declares a document type; one that does wants to reach outside."""
    tail = b""
    for piece in pieces_of(package, part):
        seen = tail + piece
        if b"<!" in seen and re.search(rb"<!\s*(DOCTYPE|ENTITY)", seen):
            raise Trouble(
                say("{name} refers to files outside itself; it was not opened.", name=shown(name)),
                means=say("Ordinary spreadsheets never do that: the file may be harmful."),
                do=save_as_sheet(),
            )
        tail = piece[-16:]
