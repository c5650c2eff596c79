"""The studio: one browser that gives the same picture each time, and the small PNG it comes to.

Size, fonts as they are smoothed, colours, day, language and time zone are fixed, nothing moves, and
nothing comes from a network. Another release of Chromium or other fonts may draw a letter
otherwise; what a picture says stays the same.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image, ImageOps

CHROMIUM = "/usr/bin/chromium"
STEADY = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-lcd-text",
    "--font-render-hinting=none",
    "--force-color-profile=srgb",
    "--hide-scrollbars",
)
COLOURS = 224  # flat colours: more do not show
KMEANS = 3  # how hard it is looked for colours that lie near those of the picture
WIDE, PHONE = (1280, 800), (390, 760)
EDGE = "#b9b6ab"  # round white paper, which would have no end on a white page
POINTS_AN_INCH = 72
SETTLED_MS = 350  # for what is drawn after a press; nothing is measured by it


class Studio:
    """A browser, and how its windows are set up.

    Parameters
    ----------
    browser : playwright.sync_api.Browser
    today : date
        What every page takes for today.
    """

    def __init__(self, browser: Any, today: dt.date) -> None:
        self._browser = browser
        self._noon = dt.datetime.combine(today, dt.time(12), tzinfo=dt.UTC)

    @contextlib.contextmanager
    def window(self, size: tuple[int, int], *, dark: bool = False) -> Iterator[Any]:
        """Open an empty page of that size [px]; up to phone width it is under a thumb."""
        thumb = size[0] <= PHONE[0]
        context = self._browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            has_touch=thumb,
            is_mobile=thumb,
            locale="en-GB",
            timezone_id="Europe/London",
            color_scheme="dark" if dark else "light",
            reduced_motion="reduce",
            accept_downloads=True,
        )
        try:
            page = context.new_page()
            page.clock.set_fixed_time(self._noon)
            yield page
        finally:
            context.close()

    @contextlib.contextmanager
    def opened(
        self, path: Path, size: tuple[int, int], *, part: str = "", dark: bool = False
    ) -> Iterator[Any]:
        """Open a page that lies on disk; `part` is what stands behind its name."""
        with self.window(size, dark=dark) as page:
            page.goto(path.as_uri() + part)
            settle(page)
            yield page


@contextlib.contextmanager
def studio(today: dt.date) -> Iterator[Studio]:
    """Start the browser, and end it."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(STEADY))
        try:
            yield Studio(browser, today)
        finally:
            browser.close()


def settle(page: Any) -> None:
    """Wait until what was pressed is drawn."""
    page.wait_for_timeout(SETTLED_MS)


def shot(page: Any, element: str = "") -> bytes:
    """Return a picture of the window, or of one element."""
    settle(page)
    return small(page.locator(element).first.screenshot() if element else page.screenshot())


def sheet(pdf: bytes, which: int | str, *, dots_an_inch: int = 96, part: float = 1.0) -> bytes:
    """Return a picture of one page of a PDF.

    Parameters
    ----------
    pdf : bytes
    which : int or str
        Counted from 1; or words, for the first page that has them.
    dots_an_inch : int
        96 shows an A4 page 794 pixels wide.
    part : float
        How much of the page from its top; 1 is all of it.
    """
    import pypdfium2

    pages = list(pypdfium2.PdfDocument(pdf))
    told = [" ".join(each.get_textpage().get_text_range().split()) for each in pages]
    found = (each for each, words in zip(pages, told, strict=True) if str(which) in words)
    page = pages[which - 1] if isinstance(which, int) else next(found)
    image = page.render(scale=dots_an_inch / POINTS_AN_INCH).to_pil().convert("RGB")
    image = image.crop((0, 0, image.width, round(image.height * part)))
    return small(ImageOps.expand(image, border=1, fill=EDGE))


def small(picture: bytes | Image.Image) -> bytes:
    """Return a picture as a PNG with a palette."""
    if isinstance(picture, bytes):
        picture = Image.open(io.BytesIO(picture))
    stream = io.BytesIO()
    picture.convert("RGB").quantize(COLOURS, kmeans=KMEANS).save(stream, "PNG", optimize=True)
    return stream.getvalue()
