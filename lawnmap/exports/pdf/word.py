"""Words: taken out of the tree, each with its looks, its width and its place in a run."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import count
from typing import NamedTuple

from lawnmap.exports.pdf.document import Document
from lawnmap.exports.pdf.looks import Rules, Type, typed
from lawnmap.exports.pdf.plan import Drawing
from lawnmap.exports.pdf.tree import Element

BLANK = re.compile("[ \t\n\r\f]+")  # what HTML holds to be one space; a no-break space is none
BOX, LINE, BREAK, DRAWING = "box", "line", "break", "drawing"
LINE_WIDTH = 24.0  # shortest line to write on [mm]
PAD, RING_PAD, RING_WIDTH = 0.35, 0.55, 2.0  # beside words on a ground or in a ring [em]
SAMPLE = 1.15  # height of a drawing among words [em]


class Word(NamedTuple):
    """What is parted only when it is wider than its column: a word, a mark, a drawing.

    Attributes
    ----------
    text : str
    how : Type
    run : int
        Words of one run are written by one stroke, so that a name that reads from right to left is
        turned round by itself and takes nothing with it.
    width : float
        [mm]
    space : float
        Of the space before it; 0 when it hangs on the word before [mm].
    before, after : float
        Room before and after it on a ground of its own [mm].
    mark : str
        What it is instead of text, if anything.
    drawing : Drawing, optional
    """

    text: str
    how: Type
    run: int
    width: float
    space: float = 0.0
    before: float = 0.0
    after: float = 0.0
    mark: str = ""
    drawing: Drawing | None = None

    @property
    def whole(self) -> float:
        """Return the width with the room beside it [mm]."""
        return self.before + self.width + self.after


class Words:
    """Takes the words of one paper out of its tree."""

    def __init__(self, document: Document, rules: Rules, named: Mapping[str, Element]) -> None:
        self.document, self.rules, self.named = document, rules, named
        self._runs = count(1)
        self._spaced = False

    def of(self, nodes: Sequence[Element | str], how: Type) -> list[Word]:
        """Return the words of what stands in one block."""
        self._spaced = False
        return list(self._walk(nodes, how, 0))

    def _walk(self, nodes: Sequence[Element | str], how: Type, run: int) -> Iterator[Word]:
        for each in nodes:
            if isinstance(each, str):
                yield from self._text(each, how, run)
            else:
                yield from self._element(each, how, run)

    def _text(self, text: str, how: Type, run: int) -> Iterator[Word]:
        for place, part in enumerate(BLANK.split(text)):
            self._spaced = self._spaced or place > 0
            if part:
                width = self.document.breadth(part, how.bold) * how.em
                yield Word(part, how, run, width, self._space(how))

    def _element(self, element: Element, around: Type, run: int) -> Iterator[Word]:
        how = typed(element, around, self.rules)
        if element.name == "br":
            yield Word("", how, run, 0.0, mark=BREAK)
            self._spaced = False
        elif element.name == "svg":
            drawing = Drawing(element, self.named)
            width = SAMPLE * how.em / drawing.proportions
            yield Word("", how, run, width, self._space(how), mark=DRAWING, drawing=drawing)
            self._spaced = True
        elif "box" in element.classes:
            yield Word("", how, run, how.em, self._space(how), mark=BOX)
            self._spaced = True
        elif "line" in element.classes:
            self._spaced = True
            yield Word("", how, run, LINE_WIDTH, self._space(how), mark=LINE)
            self._spaced = True
        else:
            own = element.name == "bdi" or bool(how.ground)
            words = self._walk(element.children, how, next(self._runs) if own else run)
            yield from _padded(list(words), how) if how.ground else words

    def _space(self, how: Type) -> float:
        """Return the width of the space before a word, which is thereby used up [mm]."""
        spaced, self._spaced = self._spaced, False
        return self.document.breadth(" ", how.bold) * how.em if spaced else 0.0


def _padded(words: list[Word], how: Type) -> list[Word]:
    if not words:
        return words
    pad = (RING_PAD if how.ring else PAD) * how.em
    if how.ring:
        pad = max(pad, (RING_WIDTH * how.em - sum(each.width for each in words)) / 2)
    words[0] = words[0]._replace(before=words[0].before + pad)
    words[-1] = words[-1]._replace(after=words[-1].after + pad)
    return words
