"""Blocks: a page's elements, one below the other, as pieces for its sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lawnmap.exports.pdf.document import Document, Pen, box, line
from lawnmap.exports.pdf.line import narrowest, wrapped
from lawnmap.exports.pdf.lists import Lists
from lawnmap.exports.pdf.looks import INK, LOOKS, STOP, Rules, Type, gap, typed
from lawnmap.exports.pdf.piece import (
    Piece,
    Pieces,
    beside,
    height,
    least_height,
    moved,
    spread,
    together,
)
from lawnmap.exports.pdf.plan import Drawing
from lawnmap.exports.pdf.sheets import fewest
from lawnmap.exports.pdf.sign import sign
from lawnmap.exports.pdf.table import Table
from lawnmap.exports.pdf.tree import Element, without
from lawnmap.exports.pdf.word import Words

HEADINGS = {"h1": 0, "h2": 0, "h3": 1, "h4": 2}  # their depth in the list of contents
BLOCKS = frozenset(
    {"address", "article", "aside", "blockquote", "body", "caption", "details", "dd", "div", "dl",
     "dt", "fieldset", "figcaption", "figure", "footer", "form", "h5", "h6", "header", "hr",
     "html", "legend", "li", "main", "nav", "ol", "p", "page", "pre", "section", "summary",
     "table", "tbody", "td", "tfoot", "th", "thead", "tr", "ul", *HEADINGS}
)  # fmt: skip
BLOCK_CLASSES = frozenset({"checked", "good", "note", "plain", "shut"})  # what is a span or not
SMALL_DRAWING = 40.0  # a drawing narrower than this stands among words [px]
STAYING = frozenset({"weigh"})  # said of what follows, and stands on one page with it
KEPT = frozenset({"stage", "drawn", "front", "head", "ready"})  # not parted if a page holds them
TALLEST = {"drawn": 105.0}  # plan on a paper that is no map [mm]
LEGEND, APART = 50.0, 6.0  # its width beside a plan, and how far from it [mm]
WORTH = 0.52  # a plan that would be smaller than this goes on the next page [its full height]
FRONT = "job"  # the section that pages of their own come after, and so a paper by itself
BAR = 4.5  # how far in is what has a bar beside it [mm]


class Flow:
    """Lays out blocks of one paper."""

    def __init__(
        self, document: Document, named: Mapping[str, Element], rules: Rules = LOOKS
    ) -> None:
        self.document, self.named, self.rules = document, named, rules
        self.words = Words(document, rules, named)
        self.lists = Lists(self)

    def inside(self, element: Element, width: float, how: Type, align: str = "left") -> Pieces:
        """Return what is in an element, one below the other."""
        made: Pieces = []
        words: list[Element | str] = []
        for each in element.children:
            if isinstance(each, str) or not _is_block(each, element):
                words.append(each)
                continue
            made += self.paragraph(words, width, how, align)
            words = []
            made += self.block(each, width, how, align)
        return made + self.paragraph(words, width, how, align)

    def block(self, element: Element, width: float, around: Type, align: str = "left") -> Pieces:
        """Return the pieces of one block, with the room above and below it."""
        how = typed(element, around, self.rules)
        if "page" in element.classes or (element.name == "section" and FRONT in element.classes):
            made = fewest(self.document, lambda each: self._made(element, width, each, align))
        else:
            made = self._made(element, width, how, align)
        if element.name == "section" and all(each.heading for each in made):
            return []  # a heading with nothing under it on paper
        if not KEPT.isdisjoint(element.classes) and least_height(made) <= self.document.room:
            made = together(made)
        if not STAYING.isdisjoint(element.classes):
            made = [each._replace(stays=True) for each in made]
        if made and "page" in element.classes:
            made[0] = made[0]._replace(starts=True)
        return spread(made, *gap(element, around))

    def paragraph(
        self, nodes: Sequence[Element | str], width: float, how: Type, align: str = "left"
    ) -> Pieces:
        """Return words in lines; the first two and the last two stand on one page."""
        words = self.words.of(nodes, how)
        lines = wrapped(words, self.document, width, align)
        narrow = narrowest(words)
        last = len(lines) - 1
        few = last < 4  # noqa: PLR2004 - two and two
        return [
            Piece(
                each.height,
                each.draw,
                wide=each.width,
                narrow=narrow,
                stays=place < last and (few or place in (0, last - 1)),
            )
            for place, each in enumerate(lines)
        ]

    def _made(self, element: Element, width: float, how: Type, align: str) -> Pieces:
        name, classes = element.name, element.classes
        if name in ("ul", "ol"):
            return self.lists.items(element, width, how)
        if name == "dl" or "fields" in classes:
            return self.lists.terms(element, width, how)
        if name == "table":
            return Table(element, width, how, self.inside).pieces(self.document)
        if name == "svg":
            return [self._plan(Drawing(element, self.named), width, self.document.room)]
        if name == "hr":
            return [self.rule(width)]
        if name in HEADINGS:
            return self._heading(element, width, how)
        if "notice" in classes:
            return sign(self.document, width, lambda room, how: self.inside(element, room, how))
        if "keep" in classes:
            return self._boxed(element, width, how)
        return self._section(element, width, how, align)

    def _section(self, element: Element, width: float, how: Type, align: str) -> Pieces:
        name, classes = element.name, element.classes
        if "first" in classes:
            made = self.inside(element, width - BAR, how, align)
            return [each._replace(bar=STOP) for each in moved(made, BAR)]
        legend = element.first(class_="legend") if "stage" in classes else None
        if legend is not None and self.document.w > self.document.h:
            return self._beside(element, legend, width, how)
        made = self.inside(element, width, how, align)
        for each in TALLEST.keys() & set(classes):
            made = [piece.fit(TALLEST[each]) if piece.fit else piece for piece in made]
        if "head" in classes and name == "header":
            made = [each._replace(opening=True) for each in made]
            made.append(
                self.rule(width, 0.5)._replace(above=how.em * 0.5, below=how.em * 0.6, opening=True)
            )
        return made

    def _heading(self, element: Element, width: float, how: Type) -> Pieces:
        made = [each._replace(stays=True) for each in self.inside(element, width, how)]
        if made:
            text = " ".join(element.text().split())
            made[0] = made[0]._replace(heading=(HEADINGS[element.name], text))
            made[1:] = [each._replace(heading=(-1, "")) for each in made[1:]]
        return made

    def rule(self, width: float, thick: float = 0.2) -> Piece:
        """Return a line across."""
        pen = Pen(stroke=INK, width=thick)
        return Piece(thick, lambda x, y: self.document.shape(line(x, y, x + width, y), pen))

    def _boxed(self, element: Element, width: float, how: Type) -> Pieces:
        """Return words in the middle of a thick frame."""
        pad = how.em * 0.45
        lines = self.inside(element, width - 2 * pad, how, "center")
        high = height(lines) + 2 * pad
        pen = Pen(stroke=how.colour, width=how.em * 0.13)

        def draw(x: float, y: float) -> None:
            self.document.shape(box(x, y, width, high), pen)
            down = y + pad
            for each in lines:
                each.at(x + pad, down)
                down += each.height

        return [Piece(high, draw)]

    def _beside(self, element: Element, legend: Element, width: float, how: Type) -> Pieces:
        """Return a plan with its legend beside it: a page that is wider than high has the room."""
        left = width - LEGEND
        made = self.inside(without(element, legend), left - APART, how)
        samples = self.inside(legend, LEGEND, how)
        return [_with(each, samples, left) if each.fit else each for each in made]

    def _plan(self, drawing: Drawing, width: float, most: float) -> Piece:
        """Return a drawing as wide as its column, smaller where it would be taller than `most`."""
        full = min(width * drawing.proportions, self.document.room)
        high = min(full, most)
        wide = high / drawing.proportions
        left = (width - wide) / 2
        return Piece(
            high,
            lambda x, y: drawing.draw(self.document, x + left, y, wide),
            fit=lambda room: self._plan(drawing, width, room),
            least=WORTH * high,
            wide=wide,
        )


def _with(plan: Piece, samples: Pieces, left: float) -> Piece:
    fit = plan.fit
    return beside([[plan], samples], [0.0, left])._replace(
        cut=None,
        fit=(lambda room: _with(fit(room), samples, left)) if fit else None,
        least=max(plan.least, height(samples)),
    )


def _is_block(element: Element, parent: Element) -> bool:
    if element.name == "svg":
        width = element.attributes.get("width", "")
        return not width.isdecimal() or float(width) > SMALL_DRAWING
    if "told" in parent.classes and element.name == "span":
        return True
    if element.name == "small":
        return parent.name in ("td", "li") or "good" in element.classes
    return element.name in BLOCKS or not BLOCK_CLASSES.isdisjoint(element.classes)
