"""Picture files read and made by the standards alone.

JPEG's markers are in ITU-T T.81, annex B; PNG's chunks in W3C PNG, third edition, section 5.
"""

import struct
import zlib
from itertools import pairwise
from typing import Final

PNG_START: Final = b"\x89PNG\r\n\x1a\n"


def jpeg_markers(content: bytes) -> list[tuple[int, bytes]]:
    """Each marker segment up to the first scan, as (second byte of the marker, content)."""
    assert content[:2] == b"\xff\xd8"  # SOI
    found, at = [], 2
    while True:
        assert content[at] == 0xFF
        marker = content[at + 1]
        (length,) = struct.unpack(">H", content[at + 2 : at + 4])
        found.append((marker, content[at + 4 : at + 2 + length]))
        at += 2 + length
        if marker == 0xDA:  # SOS; entropy-coded data follows, in which FF is followed by 00 or RSTn
            rest = content[at:-2]
            ahead = [b for a, b in pairwise(rest) if a == 0xFF]
            assert all(b == 0 or 0xD0 <= b <= 0xD7 for b in ahead), "a second segment"
            assert content[-2:] == b"\xff\xd9"  # EOI, and nothing behind it
            return found


def png_chunks(content: bytes) -> list[bytes]:
    """The names of the chunks; each one's check sum is checked, and that nothing follows IEND."""
    assert content.startswith(PNG_START)
    names, at = [], len(PNG_START)
    while at < len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        name, data = content[at + 4 : at + 8], content[at + 8 : at + 8 + length]
        assert zlib.crc32(name + data) == int.from_bytes(
            content[at + 8 + length : at + 12 + length]
        )
        names.append(name)
        at += 12 + length
    assert names[-1] == b"IEND"
    return names


def size_of(content: bytes) -> tuple[int, int]:
    """Width and height as the frame header (T.81, B.2.2) or IHDR says."""
    if content.startswith(PNG_START):
        width, height = struct.unpack(">II", content[16:24])
        return width, height
    (frame,) = [data for marker, data in jpeg_markers(content) if marker in (0xC0, 0xC1, 0xC2)]
    height, width = struct.unpack(">HH", frame[1:5])
    return width, height


def chunk(name: bytes, data: bytes) -> bytes:
    """One PNG chunk."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, pixels: bytes, *more: bytes) -> bytes:
    """A grey PNG of 8 bits, its compressed pixels as given, other chunks ahead of them."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"".join(
        (PNG_START, chunk(b"IHDR", head), *more, chunk(b"IDAT", pixels), chunk(b"IEND", b""))
    )
