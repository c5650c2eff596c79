"""One picture opened by Pillow: its header first, its pixels only when they are wanted.

Runs in the guarded child. Pillow is told which one format it may take the bytes for, and refuses
texts in a PNG that unpack to more than a megabyte by itself (``PngImagePlugin.MAX_TEXT_CHUNK``).
"""

from __future__ import annotations

import contextlib
import warnings
from collections.abc import Iterator

import numpy as np
from PIL import Image, UnidentifiedImageError

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files.limits import SITE

ORIENTATION = 274  # the same tag in Exif and in TIFF
REDUCED = 254  # TIFF's NewSubfileType: its lowest bit says that a page is a smaller copy
SIDEWAYS = 5  # from this orientation on, width and height change places
PLAIN = ("L", "LA", "RGB", "RGBA", "CMYK", "YCbCr")  # eight bits a band
BYTE = 256
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


@contextlib.contextmanager
def opened(file: str, kind: str) -> Iterator[Image.Image]:
    """Open a picture of at most ``SITE.pixels`` pixels, nothing of it decoded.

    Parameters
    ----------
    file : str
        In the working folder.
    kind : str
        ``png``, ``jpeg`` or ``tiff``: nothing else is tried.

    Raises
    ------
    InputRefused
        When it is too large, and for whatever goes wrong while it is open.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of metadata that we do not use
            with Image.open(file, formats=[kind.upper()]) as image:
                check_size(*image.size)
                yield image
    except (LawnmapError, MemoryError):
        raise
    except Image.DecompressionBombError as error:
        raise _too_large() from error
    except Exception as error:
        raise InputRefused(
            f"cannot be read as {kind.upper()} ({_reason(error)})",
            remedy="Open it in a picture program and save it again.",
        ) from error


def check_size(width: int, height: int) -> None:
    """Refuse a picture of more pixels than are ever decoded, and one without any."""
    if width * height > SITE.pixels:
        raise _too_large(f"is {width:,} by {height:,} pixels")
    if min(width, height) < 1:
        raise InputRefused("holds no pixels", remedy="Export the plan again.")


def _too_large(problem: str = "holds too many pixels") -> InputRefused:
    return InputRefused(
        problem,
        remedy=f"At most {SITE.pixels / 1e6:.0f} million are read: cut it down to the site, or "
        "save it at a lower resolution.",
    )


def _reason(error: Exception) -> str:
    if isinstance(error, UnidentifiedImageError):
        return "it does not begin like one"
    return type(error).__name__


def orientation(image: Image.Image) -> int:
    """Return how the picture was held, 1 to 8; 1 when nothing or nonsense is said.

    Asked before it is decoded. In a PNG it counts when it stands before the pixels: to look for it
    behind them Pillow would decode them all.
    """
    if image.format == "PNG" and "exif" not in image.info:
        return 1
    said = image.getexif().get(ORIENTATION, 1)
    return said if said in range(1, 9) else 1


def pages(image: Image.Image) -> int:
    """Return how many pictures the file holds, smaller copies of the first not counted."""
    count = int(getattr(image, "n_frames", 1))
    if count > 1 and image.format == "TIFF":
        image.seek(1)
        copy = int(getattr(image, "tag_v2", {}).get(REDUCED, 0)) & 1
        image.seek(0)
        return 1 if copy else count
    return count


def is_heights(image: Image.Image) -> bool:
    """Tell a grid of heights: one band of more than eight bits, in TIFF."""
    deep = image.mode in {"F", "I"} or image.mode.startswith("I;16")
    return image.format == "TIFF" and deep


def decoded(image: Image.Image) -> Image.Image:
    """Return the picture upright, in a mode of eight bits a band that can be made smaller.

    Raises
    ------
    InputRefused
        For colours that have no plain meaning on a screen.
    """
    held = orientation(image)
    image.load()
    upright = image.format == "TIFF" or held not in TURNS  # Pillow turns a TIFF by itself
    turned = image if upright else image.transpose(TURNS[held])
    if turned.mode in PLAIN:
        return turned
    if turned.mode == "1":
        return turned.convert("L")
    if turned.mode in {"P", "PA", "La", "RGBa", "RGBX"}:
        return turned.convert("RGBA")
    if turned.mode == "I" or turned.mode.startswith("I;16"):
        return Image.fromarray((np.asarray(turned) // BYTE).clip(0, BYTE - 1).astype(np.uint8))
    raise InputRefused(
        f"has colours of the kind {turned.mode}", remedy="Save it as RGB or in shades of grey."
    )
