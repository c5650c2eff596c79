"""The file that is drawn into: words, shapes and pages, in millimetres from the top left."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any, NamedTuple

import ttf_opensans
from fpdf import FPDF, ViewerPreferences

from lawnmap.exports.pdf.face import Face
from lawnmap.exports.pdf.looks import Type

FAMILY = "sans"
FACES = {
    False: ttf_opensans.OPENSANS_REGULAR.path,
    True: ttf_opensans.OPENSANS_BOLD.path,
}  # by bold
MARGIN, FOOT = 14.0, 17.0  # [mm]
ROUND = 0.5523  # handles of a quarter circle [radius]; 4/3 (sqrt 2 - 1)
logging.getLogger("fontTools").setLevel(logging.WARNING)  # it tells of every table it cuts

# A path: letters as in PDF 32000-1, table 59 (m, l, c, h), each with its coordinates [mm].
Step = tuple[str, tuple[float, ...]]
Path = Sequence[Step]


class Pen(NamedTuple):
    """How a shape is painted: colours as ``#rrggbb``, empty for none; widths and dashes [mm]."""

    fill: str = ""
    stroke: str = ""
    width: float = 0.2
    dash: tuple[float, ...] = ()
    even_odd: bool = False
    veil: float = 1.0  # opacity of the fill
    ink: float = 1.0  # opacity of the stroke
    round: bool = False


class Document(FPDF):
    """One paper. Nothing of the machine, the user or the clock goes into it."""

    def __init__(
        self, size: str, *, landscape: bool, title: str, language: str, made: dt.date
    ) -> None:
        super().__init__(
            orientation="landscape" if landscape else "portrait", unit="mm", format=size
        )
        self.set_title(title)
        self.set_lang(language)
        self.set_producer("lawnmap")
        self.set_creation_date(dt.datetime(made.year, made.month, made.day, tzinfo=dt.UTC))
        self.viewer_preferences = ViewerPreferences(display_doc_title=True)
        self.set_auto_page_break(auto=False)
        self.alias_nb_pages("")  # its pages are counted before they are drawn
        self.set_margin(MARGIN)
        self.faces = {bold: self._face(bold) for bold in FACES}
        self.breadth = cache(self._breadth)

    @property
    def bottom(self) -> float:
        """Return how far down the lines of a page may reach [mm]."""
        return float(self.h) - FOOT

    @property
    def room(self) -> float:
        """Return the height of a page that is filled [mm]."""
        return self.bottom - MARGIN

    def say(self, x: float, y: float, text: str, how: Type) -> None:
        """Write words from x on, standing on y."""
        self.set_font(FAMILY, "B" if how.bold else "", how.size)
        self.set_text_color(how.colour)
        self.text(x, y, text)

    def shape(self, path: Path, pen: Pen) -> None:
        """Paint a path."""
        if not path or not (pen.fill or pen.stroke):
            return
        rule = "*" if pen.even_odd else ""
        paint = f"B{rule}" if pen.fill and pen.stroke else f"f{rule}" if pen.fill else "S"
        words = " ".join([*self._pen(pen), *self._steps(path), paint])
        if pen.veil == pen.ink == 1:
            self._out(f"q {words} Q")
            return
        with self.local_context(fill_opacity=pen.veil, stroke_opacity=pen.ink):
            self._out(words)

    @contextmanager
    def inside(self, path: Path, *, even_odd: bool = False) -> Iterator[None]:
        """Show of what is drawn only what lies inside a path."""
        with self.local_context():
            self._out(" ".join([*self._steps(path), "W*" if even_odd else "W", "n"]))
            yield

    def close(self) -> None:
        """Shut the files of the faces."""
        for face in self.faces.values():
            face.ttfont.close()

    def _face(self, bold: bool) -> Face:  # noqa: FBT001 - it is the key it is kept under
        style = "B" if bold else ""
        key = f"{FAMILY}{style}"
        self.fonts[key] = made = Face(self, FACES[bold], key, style)
        return made

    def _breadth(self, text: str, bold: bool) -> float:  # noqa: FBT001 - a key of the cache
        return self.faces[bold].breadth(text)

    def _pen(self, pen: Pen) -> Iterator[str]:
        if pen.fill:
            yield f"{_parts(pen.fill)} rg"
        if pen.stroke:
            yield f"{_parts(pen.stroke)} RG {pen.width * self.k:.2f} w"
            yield f"{int(pen.round)} J {int(pen.round)} j"
            yield f"[{' '.join(f'{each * self.k:.2f}' for each in pen.dash)}] 0 d"

    def _steps(self, path: Path) -> Iterator[str]:
        """Yield the path as the file writes it: in points, from the bottom left."""
        for letter, places in path:
            for place, value in enumerate(places):
                yield f"{(self.h - value if place % 2 else value) * self.k:.2f}"
            yield letter


@contextmanager
def opened(size: str, **options: Any) -> Iterator[Document]:
    """Give a document, and shut its faces whatever happens."""
    document = Document(size, **options)
    try:
        yield document
    finally:
        document.close()


def box(x: float, y: float, wide: float, high: float, radius: float = 0.0) -> list[Step]:
    """Return the path of a rectangle, its corners rounded if asked to."""
    right, low = x + wide, y + high
    if radius <= 0:
        return [("m", (x, y)), ("l", (right, y)), ("l", (right, low)), ("l", (x, low)), ("h", ())]
    r = min(radius, wide / 2, high / 2)
    c = r * (1 - ROUND)  # how far the handles stay from the corner
    return [
        ("m", (x + r, y)),
        ("l", (right - r, y)),
        ("c", (right - c, y, right, y + c, right, y + r)),
        ("l", (right, low - r)),
        ("c", (right, low - c, right - c, low, right - r, low)),
        ("l", (x + r, low)),
        ("c", (x + c, low, x, low - c, x, low - r)),
        ("l", (x, y + r)),
        ("c", (x, y + c, x + c, y, x + r, y)),
        ("h", ()),
    ]


def line(x: float, y: float, to_x: float, to_y: float) -> list[Step]:
    """Return the path of one straight line."""
    return [("m", (x, y)), ("l", (to_x, to_y))]


def _parts(colour: str) -> str:
    return " ".join(f"{int(colour[place : place + 2], 16) / 255:.3f}" for place in (1, 3, 5))
