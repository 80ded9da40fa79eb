"""Invented photos as a tablet's camera writes them, and a reader of JPEG segments of our own."""

from __future__ import annotations

import io
import struct
import zlib

from PIL import Image
from PIL.PngImagePlugin import PngInfo

XMP = b'<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?><x>Ann Invented</x><?xpacket end="w"?>'


def quarters(width: int = 400, height: int = 300) -> Image.Image:
    """A picture in which up, down, left and right can be told apart."""
    picture = Image.new("RGB", (width, height), (200, 40, 40))
    picture.paste((40, 160, 40), (width // 2, 0, width, height // 2))
    picture.paste((40, 40, 200), (0, height // 2, width // 2, height))
    picture.paste((220, 220, 60), (width // 2, height // 2, width, height))
    return picture


def shot(width: int = 400, height: int = 300, kind: str = "JPEG", turn: int = 1, **more) -> bytes:
    """A photo with place, maker, comment and packet, held in one of eight ways."""
    exif = Image.Exif()
    exif[0x0112] = turn
    exif[0x010F] = "Invented Maker"
    exif[0x8825] = {1: "N", 2: (52.0, 31.0, 12.0), 3: "E", 4: (13.0, 24.0, 36.0)}
    out = io.BytesIO()
    words = PngInfo()
    words.add_itxt("XML:com.adobe.xmp", XMP.decode())
    own = {"JPEG": {"comment": b"taken by Ann Invented"}, "PNG": {"pnginfo": words}}.get(kind, {})
    quarters(width, height).save(out, kind, exif=exif, xmp=XMP, **own, **more)
    return out.getvalue()


def claimed_png(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose head claims a size: ISO/IEC 15948, 11.2."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 64)), (b"IEND", b""))
    body = b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + body


def segments(content: bytes) -> list[tuple[int, bytes]]:
    """Marker and content of each segment before the first scan: ITU-T T.81, B.1.1."""
    assert content[:2] == b"\xff\xd8" and content[-2:] == b"\xff\xd9"
    found, place = [], 2
    while content[place] == 0xFF:
        marker = content[place + 1]
        length = struct.unpack(">H", content[place + 2 : place + 4])[0]
        found.append((marker, content[place + 4 : place + 2 + length]))
        place += 2 + length
        if marker == 0xDA:
            return found
    raise AssertionError("no scan")
