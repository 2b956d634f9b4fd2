"""What lies in a picture's file besides the picture: where it ends, how large it says it is, what else is in there.

Reads the structure of a JPEG, PNG, WebP or HEIC file and decodes nothing, so that what could harm is refused before a
decoder sees it. What a file may hold, and the sentences of the refusals, are `salon.common.pictures`' to say.

The line drawn on files that are two things at once: a picture begins at the file's first byte, and everything beside
its pixels (metadata in front of and between them, whatever follows its end) is looked through for the beginnings of an
archive, a document, a program, markup or script, or a picture of another kind; whatever holds one is refused. Phones do
put things there: a second JPEG (the thumbnail, the gain map, the other lens), the film of a moving photo, zeros, and
makers' own records that nothing else can read. Those pass, for a photo straight from a camera must pass; since every
picture is drawn anew from its pixels, nothing of them is stored.

Not looked through are the compressed pixels themselves: any bytes can stand there by chance.

Sources, from memory: ITU-T T.81 (JPEG), W3C PNG third edition, Google's WebP container specification, ISO/IEC 14496-12
and 23008-12 (HEIF), PKWARE's APPNOTE (ZIP), WHATWG MIME Sniffing.
"""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass
from typing import Any, Literal

Kind = Literal["JPEG", "PNG", "WEBP", "HEIC"]
Ranges = list[tuple[int, int]]

MOST_SCANS = 100  # a progressive camera makes about ten; thousands of empty ones keep a decoder busy for hours
MOST_PARTS = 50_000  # segments or chunks; a file that needs more is made to be slow


class CutShortError(ValueError):
    """The file ends before the picture does."""


class BrokenError(ValueError):
    """The file does not keep to its own format."""


@dataclass(frozen=True)
class Container:
    """What a file says of its picture. `beside` are the ranges of bytes that are not its pixels."""

    kind: Kind
    end: int
    beside: tuple[tuple[int, int], ...]
    pixels: int = 0  # the largest picture it announces; what decoding would ask memory for
    moves: bool = False
    coding: tuple[int, int] | None = None  # colour primaries and transfer by number (ITU-T H.273), when the PNG says so


def read_container(data: bytes) -> Container | None:
    """The container, or None when the file begins like none of the four. Raises CutShortError or BrokenError."""
    if data.startswith(b"\xff\xd8\xff"):
        return _read_jpeg(data)
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return _read_png(data)
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return _read_webp(data)
    if data[4:8] == b"ftyp" and _brands(data) & (HEIC_STILLS | HEIC_FILMS):
        return _read_heic(data)
    return None


# JPEG: segments, then scans, until the end-of-image marker

_NEXT_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")  # in scan data: neither a stuffed byte nor a restart
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_STANDALONE = frozenset({0x00, 0x01, *range(0xD0, 0xD8)})


def _read_jpeg(data: bytes) -> Container:
    position, pixels, scans = 2, 0, 0
    beside: Ranges = []
    for _ in range(MOST_PARTS):
        if position + 2 > len(data):
            raise CutShortError
        if data[position] != 0xFF:
            raise BrokenError
        marker = data[position + 1]
        if marker == 0xFF:  # a fill byte
            position += 1
            continue
        position += 2
        if marker == 0xD9:
            return Container("JPEG", position, (*beside, (position, len(data))), pixels)
        if marker in _STANDALONE:
            continue
        (length,) = _unpack(">H", data, position)
        segment_end = position + length
        if length < 2:
            raise BrokenError
        if segment_end > len(data):
            raise CutShortError
        if marker in _FRAMES:
            _, height, width = _unpack(">BHH", data, position + 2)
            pixels = max(pixels, width * height)
        elif marker >= 0xE0:
            beside.append((position + 2, segment_end))
        elif marker == 0xDA:
            scans += 1
            following = _NEXT_MARKER.search(data, segment_end)
            if following is None:
                raise CutShortError
            if scans > MOST_SCANS:
                raise BrokenError
            segment_end = following.start()
        position = segment_end
    raise BrokenError


# PNG: chunks, until IEND


def _read_png(data: bytes) -> Container:
    position, pixels, moves, coding = 8, 0, False, None
    beside: Ranges = []
    for _ in range(MOST_PARTS):
        length, name = _unpack(">I4s", data, position)
        body, position = position + 8, position + 12 + length
        if position > len(data):
            raise CutShortError
        if not name.isalpha():
            raise BrokenError
        if name == b"IHDR":
            width, height = _unpack(">II", data, body)
            pixels = max(pixels, width * height)
        elif name == b"acTL":
            moves = True
        elif name == b"cICP" and length == 4:
            coding = (data[body], data[body + 1])
        if name == b"IEND":
            return Container("PNG", position, (*beside, (position, len(data))), pixels, moves, coding)
        if name != b"IDAT":
            beside.append((body, position - 4))
    raise BrokenError


# WebP: one RIFF list of chunks


def _read_webp(data: bytes) -> Container:
    (size,) = _unpack("<I", data, 4)
    position, end, pixels, moves = 12, 8 + size, 0, False
    beside: Ranges = []
    if end > len(data):
        raise CutShortError
    for _ in range(MOST_PARTS):
        if position >= end:
            return Container("WEBP", end, (*beside, (end, len(data))), pixels, moves)
        name, length = _unpack("<4sI", data, position)
        body, position = position + 8, position + 8 + length + length % 2
        if body + length > end:
            raise BrokenError
        if name == b"VP8X":
            flags, across, down = _unpack("<I3s3s", data, body)
            moves = moves or bool(flags & 0x02)
            pixels = max(pixels, (int.from_bytes(across, "little") + 1) * (int.from_bytes(down, "little") + 1))
        elif name == b"VP8 ":
            width, height = _unpack("<HH", data, body + 6)
            pixels = max(pixels, (width & 0x3FFF) * (height & 0x3FFF))
        elif name == b"VP8L":
            (bits,) = _unpack("<I", data, body + 1)
            pixels = max(pixels, ((bits & 0x3FFF) + 1) * ((bits >> 14 & 0x3FFF) + 1))
        elif name in {b"ANIM", b"ANMF"}:
            moves = True
        elif name != b"ALPH":
            beside.append((body, body + length))
    raise BrokenError


# HEIC: boxes, to the file's end or to the first thing that is no box

HEIC_STILLS = frozenset({b"heic", b"heix", b"heim", b"heis"})
HEIC_FILMS = frozenset({b"hevc", b"hevx", b"hevm", b"hevs"})
_BOXES = frozenset({b"ftyp", b"meta", b"mdat", b"free", b"skip", b"uuid", b"moov", b"mpvd", b"sefd", b"wide"})
_SIZES = re.compile(rb"\x00\x00\x00\x14ispe\x00\x00\x00\x00(.{4})(.{4})", re.DOTALL)


def _brands(data: bytes) -> frozenset[bytes]:
    size = min(int.from_bytes(data[0:4], "big"), 512)
    return frozenset([data[8:12], *(data[at : at + 4] for at in range(16, size, 4))])


def _read_heic(data: bytes) -> Container:
    """Looks at every size that any part announces: a small crop of a huge picture is decoded whole all the same."""
    position, pixels = 0, 0
    beside: Ranges = []
    moves, found = not _brands(data) & HEIC_STILLS, set()
    for _ in range(MOST_PARTS):
        if position == len(data):
            break
        if position + 8 > len(data):
            beside.append((position, len(data)))
            break
        size, name = _unpack(">I4s", data, position)
        header = 8
        if size == 1:
            (size,) = _unpack(">Q", data, position + 8)
            header = 16
        elif size == 0:
            size = len(data) - position
        if size < header or position + size > len(data):
            if name in _BOXES:
                raise CutShortError
            beside.append((position, len(data)))
            break
        if name == b"meta":
            sizes = _SIZES.finditer(data, position, position + size)
            pixels = max(
                [pixels, *(int.from_bytes(w, "big") * int.from_bytes(h, "big") for w, h in map(_groups, sizes))]
            )
        moves = moves or name == b"moov"
        found.add(name)
        if name != b"mdat":
            beside.append((position + header, position + size))
        position += size
    if not found >= {b"meta", b"mdat"}:
        raise CutShortError
    return Container("HEIC", position, tuple(beside), pixels, moves)


def _groups(found: re.Match[bytes]) -> tuple[bytes, bytes]:
    return found[1], found[2]


def _unpack(layout: str, data: bytes, position: int) -> tuple[Any, ...]:
    try:
        return struct.unpack_from(layout, data, position)
    except struct.error as short:
        raise CutShortError from short


# What else a file is


def _marks(*named: tuple[str, bytes]) -> tuple[tuple[str, re.Pattern[bytes]], ...]:
    return tuple((name, re.compile(mark, re.DOTALL)) for name, mark in named)


_MARKS = _marks(  # looked for everywhere beside the pixels: long enough that none stands there by chance
    ("a ZIP archive", rb"PK\x03\x04[\x0a-\x3f]\x00"),
    ("a RAR archive", rb"Rar!\x1a\x07"),
    ("a 7z archive", rb"7z\xbc\xaf\x27\x1c"),
    ("an archive", rb"\xfd7zXZ\x00"),
    ("an archive", rb"ustar(?:\x0000|  \x00)"),
    ("a PDF", rb"%PDF-\d"),
    ("an office document", rb"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
    ("a program", rb"\x7fELF[\x01\x02][\x01\x02]\x01"),
    ("a program", rb"This program cannot be run in DOS mode"),
    ("a GIF", rb"GIF8[79]a"),
    ("a PNG", rb"\x89PNG\r\n\x1a\n"),
    ("an SVG drawing", rb"<(?i:svg)(?:>|\s)[\t\n\r -~]{4}"),
    ("a web page", rb"<(?i:!doctype\s+html|html[\s>]|iframe[\s>]|body[\s>])"),
    ("a script", rb"<(?i:script[\s>]|\?php)"),
)
_FIRST_WORDS = _marks(  # too short for that: they count only at the very place where the picture has ended
    ("an archive", rb"PK|\x1f\x8b\x08|BZh\d"),
    ("a program", rb"MZ|\xca\xfe\xba\xbe|[\xce\xcf]\xfa\xed\xfe|#!"),
    ("a web page", rb"\s*<[!?A-Za-z]"),
)
_OTHER_FILES = _marks(  # what is sent in place of a photo, for a refusal that names it
    ("a TIFF", rb"II\*\x00|MM\x00\*"),
    ("a BMP", rb"BM.{12}[\x0c\x28\x7c]\x00\x00\x00"),
    ("an AVIF", rb".{4}ftypavi[fs]"),
    ("a film", rb".{4}(?:ftyp|moov|mdat)|\x1a\x45\xdf\xa3"),
)
_ZIP_DIRECTORY = b"PK\x05\x06"
_ZIP_DIRECTORY_WITHIN = 22 + 65_535  # a ZIP is read from its end: the record there, and the longest comment after it
_OWN_MAGIC = 8  # bytes by which each of the four kinds says what it is
_PDF_WITHIN = 1024  # where readers of PDF look for its beginning
_SCRIPT_IN_A_LENGTH = b"\xff\xd8\xff\xe0/*"  # the first segment's length opens a comment of JavaScript


def foreign_in(data: bytes, container: Container) -> str | None:
    """What this file is besides a picture ("a ZIP archive"), or None."""
    if data.startswith(_SCRIPT_IN_A_LENGTH):
        return "a script"
    if data.find(_ZIP_DIRECTORY, max(0, len(data) - _ZIP_DIRECTORY_WITHIN)) >= 0:
        return "a ZIP archive"
    for begins, ends in ((_OWN_MAGIC, _PDF_WITHIN), *container.beside):
        for name, mark in _MARKS:
            if mark.search(data, begins, ends):
                return name
    return next((name for name, word in _FIRST_WORDS if word.match(data, container.end)), None)


def name_of(data: bytes) -> str | None:
    """What a file that is none of the four begins like ("a GIF"), or None for what nobody recognises."""
    for name, mark in _MARKS:
        if mark.search(data, 0, _PDF_WITHIN):
            return name
    return next((name for name, word in (*_OTHER_FILES, *_FIRST_WORDS) if word.match(data)), None)
