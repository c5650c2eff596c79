"""Pages of a PDF, drawn by pdfium. Runs in the guarded child."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator
from typing import Any

from PIL import Image

from lawnmap.errors import InputRefused
from lawnmap.readers.picture.image import check_size

DPI = 200  # of a page as a picture: 0.13 mm on paper, as fine as anybody drew it
POINTS = 72  # of a page to an inch
MOST_PAGES = 500
LOCKED = "password"  # in what pdfium says


@contextlib.contextmanager
def _opened(file: str) -> Iterator[Any]:
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(file)
    except pypdfium2.PdfiumError as error:
        if LOCKED in str(error).lower():
            raise InputRefused(
                "is locked with a password", remedy="Save it without one and read it again."
            ) from error
        raise InputRefused(
            "cannot be read as PDF", remedy="Print it to a PDF again, or save it as a picture."
        ) from error
    try:
        yield document
    except pypdfium2.PdfiumError as error:
        raise InputRefused(
            "holds a page that cannot be read", remedy="Print that page to a PDF of its own."
        ) from error
    finally:
        document.close()


def sizes(file: str) -> list[list[int]]:
    """Return width and height of every page, in pixels as it will be drawn.

    Raises
    ------
    InputRefused
        For a file that pdfium cannot read, that is locked, or that has too many pages.
    """
    with _opened(file) as document:
        count = len(document)
        if count > MOST_PAGES:
            raise InputRefused(
                f"has {count:,} pages",
                remedy="Print the page with the plan to a PDF of its own.",
            )
        return [
            [math.ceil(side * DPI / POINTS) for side in document.get_page_size(place)]
            for place in range(count)
        ]


def drawn(file: str, page: int) -> Image.Image:
    """Return a page, counted from 1, as a picture on white.

    Raises
    ------
    InputRefused
        When it would be larger than any picture may be, or cannot be drawn.
    """
    with _opened(file) as document:
        width, height = document.get_page_size(page - 1)
        check_size(math.ceil(width * DPI / POINTS), math.ceil(height * DPI / POINTS))
        bitmap = document[page - 1].render(scale=DPI / POINTS)
        picture: Image.Image = bitmap.to_pil().convert("RGB")
        return picture
