"""Which shared libraries a Linux program file names (ELF, System V ABI, dynamic section)."""

import mmap
import struct
from pathlib import Path

_MAGIC_64_LITTLE = b"\x7fELF\x02\x01"
_PT_LOAD, _PT_DYNAMIC = 1, 2
_DT_NULL, _DT_NEEDED, _DT_STRTAB = 0, 1, 5
_HEADER = struct.Struct("<16xHHIQQQIHHHHHH")  # Elf64_Ehdr after e_ident
_SEGMENT = struct.Struct("<IIQQQQQQ")  # Elf64_Phdr
_ENTRY = struct.Struct("<qQ")  # Elf64_Dyn


def needed_by(path: Path) -> tuple[str, ...]:
    """Sonames in the DT_NEEDED entries of a 64-bit little-endian ELF file, in its order.

    Empty for any other file. Layout: System V ABI, chapters 4 and 5 (ELF-64), from memory;
    checked against `readelf` in the tests.
    """
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as image:
        return _needed_in(image) if image[:6] == _MAGIC_64_LITTLE else ()


def _needed_in(image: mmap.mmap) -> tuple[str, ...]:
    header = _HEADER.unpack_from(image)
    first, size, count = header[4], header[8], header[9]
    segments = [_SEGMENT.unpack_from(image, first + size * i) for i in range(count)]
    entries = _dynamic_entries(image, segments)
    tables = [value for tag, value in entries if tag == _DT_STRTAB]
    if not tables:
        return ()
    strings = _file_offset(segments, tables[0])
    return tuple(_text_at(image, strings + value) for tag, value in entries if tag == _DT_NEEDED)


def _dynamic_entries(image: mmap.mmap, segments: list[tuple[int, ...]]) -> list[tuple[int, int]]:
    entries = []
    for kind, _flags, offset, _virtual, _physical, in_file, *_rest in segments:
        if kind != _PT_DYNAMIC:
            continue
        for at in range(offset, offset + in_file, _ENTRY.size):
            tag, value = _ENTRY.unpack_from(image, at)
            if tag == _DT_NULL:
                break
            entries.append((tag, value))
    return entries


def _file_offset(segments: list[tuple[int, ...]], address: int) -> int:
    for kind, _flags, offset, virtual, _physical, in_file, *_rest in segments:
        if kind == _PT_LOAD and virtual <= address < virtual + in_file:
            return offset + address - virtual
    return address


def _text_at(image: mmap.mmap, start: int) -> str:
    return image[start : image.find(b"\0", start)].decode("ascii", "replace")
