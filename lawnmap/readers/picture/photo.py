"""A photo redrawn in the guarded child: upright, small, and without a word of who took it where."""

from __future__ import annotations

import base64
from importlib.util import find_spec
from typing import Any, NamedTuple

from lawnmap.errors import ExtraNeeded, InputRefused
from lawnmap.files import child

LONGEST_SIDE = 1_600  # pixels
# First bytes of what cameras and phones write and Pillow reads (RFC 9649 for WebP).
KINDS = {b"\x89PNG\r\n\x1a\n": "png", b"\xff\xd8\xff": "jpeg", b"II*\0": "tiff", b"MM\0*": "tiff"}
SECONDS = 20.0


class Small(NamedTuple):
    """A photo redrawn: WebP, and its width and height in pixels."""

    webp: bytes
    size: tuple[int, int]


def photo(data: bytes) -> bytes:
    """Return a photo as WebP of at most a megabyte, with pixels and nothing else in it.

    Parameters and errors are those of :func:`small`.
    """
    return small(data, LONGEST_SIDE).webp


def small(data: bytes, longest: int) -> Small:
    """Return a photo upright, its longer side no longer than so many pixels.

    Parameters
    ----------
    data : bytes
        PNG, JPEG, TIFF or WebP.
    longest : int

    Raises
    ------
    ExtraNeeded
        When Pillow is not installed.
    InputRefused
        When it is another kind of file, too large, or damaged.
    """
    kind = _kind(data)
    if find_spec("PIL") is None:
        raise ExtraNeeded(
            "a photo needs Pillow", remedy="Install it: pip install lawnmap[pictures]."
        )
    told = child.run(
        "lawnmap.readers.picture.photo:drawn_again",
        {f"photo.{kind}": data},
        {"file": f"photo.{kind}", "kind": kind, "longest": longest},
        seconds=SECONDS,
    )
    webp = base64.b64decode(told["webp"], validate=True)
    return Small(webp, (int(told["width"]), int(told["height"])))


def drawn_again(file: str, kind: str, longest: int) -> dict[str, Any]:
    """Return a picture upright and small, as plain JSON. Runs in the guarded child.

    Raises
    ------
    InputRefused
        When it cannot be read or is too large.
    """
    from lawnmap.readers.picture import image as picture_image
    from lawnmap.readers.picture import warp

    with picture_image.opened(file, kind) as image:
        upright = picture_image.decoded(image).convert("RGBA")
    upright.thumbnail((longest, longest))
    return warp.small(upright)


def _kind(data: bytes) -> str:
    for magic, kind in KINDS.items():
        if data.startswith(magic):
            return kind
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "webp"
    raise InputRefused(
        "is not a photo that can be read", remedy="Give a JPEG, PNG, WebP or TIFF picture."
    )
