"""Pages of a PDF as pictures of a plan, drawn by pdfium in the guarded child."""

from __future__ import annotations

from importlib.util import find_spec

from lawnmap.errors import ExtraNeeded, InputRefused
from lawnmap.files import child
from lawnmap.files.admit import Source
from lawnmap.files.limits import SITE
from lawnmap.found import Found, Layer, Picture
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted
from lawnmap.readers.picture.found import stem

TITLE = "PDF page, as a picture"
KINDS = ("pdf",)
CHILD = True

FILE = "plan.pdf"
BETTER = (
    "A PDF page is read as a picture; where the program that drew it can export DXF, that is "
    "better."
)


@netted
def look(source: Source) -> list[Layer]:
    """List the pages: the layers are ``page 1``, ``page 2`` and so on."""
    return _layers(_sizes(source))


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; a picture has pixels
) -> Found:
    """Return one page as a picture that does not say where it lies.

    Raises
    ------
    ExtraNeeded
        When pypdfium2 is not installed.
    InputRefused
        For a file that is damaged, locked, or has a page too large.
    """
    pages = _sizes(source)
    layers = _layers(pages)
    place = layers.index(choose(layers, layer))
    width, height = pages[place]
    if width * height > SITE.pixels:
        raise InputRefused(
            f"is {width:,} by {height:,} pixels at the size it is drawn",
            place=f"page {place + 1}",
            remedy="Print it to a smaller sheet and read it again.",
        )
    name = stem(source) if len(pages) == 1 else f"{stem(source)} page {place + 1}"
    picture = Picture(
        data=source.data, kind="pdf", width=width, height=height, page=place + 1, name=name
    )
    return Found((), crs, (BETTER,), picture=picture)


def _layers(pages: list[tuple[int, int]]) -> list[Layer]:
    return [Layer(f"page {number}", 1, ("Picture",)) for number in range(1, len(pages) + 1)]


def _sizes(source: Source) -> list[tuple[int, int]]:
    if find_spec("pypdfium2") is None or find_spec("PIL") is None:
        raise ExtraNeeded(
            "PDF pages are drawn by the packages pypdfium2 and Pillow, which are not installed",
            remedy="Install them: pip install 'lawnmap[pdf]'.",
        )
    told = child.run("lawnmap.readers.picture.page:sizes", {FILE: source.data}, {"file": FILE})
    return [(int(width), int(height)) for width, height in told]
