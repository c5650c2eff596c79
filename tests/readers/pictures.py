"""Small pictures of every kind, made here, good and bad."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from PIL import Image, ImageDraw, TiffImagePlugin

from lawnmap.files.admit import Source
from lawnmap.files.kind import kind_of

SIZE = (60, 40)


def plan(mode: str = "RGB", size: tuple[int, int] = SIZE) -> Image.Image:
    """Return a red square in the upper left quarter of a white sheet."""
    image = Image.new("RGB", size, "white")
    ImageDraw.Draw(image).rectangle((0, 0, size[0] // 2 - 1, size[1] // 2 - 1), fill="red")
    return image if mode == "RGB" else image.convert(mode)


def saved(image: Image.Image, kind: str, **options: Any) -> bytes:
    """Return a picture as a file."""
    stream = io.BytesIO()
    image.save(stream, kind.upper(), **options)
    return stream.getvalue()


def source(data: bytes, name: str, **parts: bytes) -> Source:
    """Return an admitted picture; `parts` are its sisters by suffix without the point."""
    sisters = {f".{suffix}": text for suffix, text in parts.items()}
    return Source(name, data, kind_of(data, name), sisters)


def geotiff(
    tags: dict[int, tuple[float, ...]],
    keys: dict[int, int],
    image: Image.Image | None = None,
    **options: Any,
) -> bytes:
    """Return a GeoTIFF with tags of doubles and keys of short numbers (OGC 19-008r4)."""
    directory = TiffImagePlugin.ImageFileDirectory_v2()
    for tag, values in tags.items():
        directory[tag] = tuple(float(each) for each in values)
        directory.tagtype[tag] = 12
    listed = [1, 1, 0, len(keys)]
    for key, value in sorted(keys.items()):
        listed += [key, 0, 1, value]
    directory[34735] = tuple(listed)
    directory.tagtype[34735] = 3
    for tag, value in options.pop("more", {}).items():
        directory[tag] = value
    return saved(image or plan(), "tiff", tiffinfo=directory, **options)


def chunk(name: bytes, data: bytes) -> bytes:
    """Return one chunk of a PNG."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, *chunks: bytes) -> bytes:
    """Return a PNG whose header says its size, with next to nothing in it."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IDAT", zlib.compress(b"\0" * 100))
    parts = (chunk(b"IHDR", head), *chunks, body, chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def tiff(width: int, height: int) -> bytes:
    """Return a TIFF that claims a size and holds nothing."""
    entries = [(256, width), (257, height), (258, 8), (259, 1), (262, 1), (273, 8), (277, 1)]
    entries += [(278, height), (279, 16)]
    body = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in entries)
    return b"II*\0" + struct.pack("<IH", 8, len(entries)) + body + struct.pack("<I", 0)
