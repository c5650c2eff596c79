"""Lines: words set beside each other, as many as a column has room for."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from lawnmap.exports.pdf.document import Document, Pen, box, line
from lawnmap.exports.pdf.looks import INK
from lawnmap.exports.pdf.word import BOX, BREAK, LINE, Word

MIDDLE = 0.36  # of the middle of small letters above the line they stand on [em]
GROUND, CORNER = 1.32, 0.6  # height of what is behind words [em], and its corners [mm]
RING_GAP, RING = 0.12, 0.3  # room outside a ring [em], and how thick it is [mm]
UNDER = 0.6  # of a line to write on, below the words beside it [mm]
HAIR = 1e-6  # by which sums of widths differ in their last digits [mm]


@dataclass(frozen=True)
class Line:
    """Words beside each other; ``room`` is what the column has for them [mm]."""

    words: list[Word]
    document: Document
    room: float
    align: str = "left"

    @property
    def height(self) -> float:
        """Return the height from line to line [mm]."""
        return max((each.how.em * each.how.leading for each in self.words), default=0.0)

    @property
    def width(self) -> float:
        """Return the width of all words and of the spaces between them [mm]."""
        return _width(self.words)

    def draw(self, x: float, y: float) -> None:
        """Draw the line from its top left corner."""
        blanks = sum(each.mark == LINE for each in self.words)
        free = self.room - self.width
        if not blanks:
            x += {"left": 0.0, "right": free, "center": free / 2}[self.align]
        foot = y + self.height / 2 + max(each.how.em for each in self.words) * MIDDLE
        done = 0
        for _, group in groupby(self.words, key=lambda each: (each.run, each.how, each.mark)):
            run = list(group)
            x += run[0].space if done else 0.0
            done += len(run)
            if run[0].mark == LINE:
                self._blank(x, foot, run[0].width + free / blanks)
                x += run[0].width + free / blanks
            elif run[0].mark:
                x = self._marks(run, x, foot)
            else:
                follows = done < len(self.words) and self.words[done].space > 0
                x = self._written(run, x, foot, ending=" " if follows else "")

    def _written(self, run: list[Word], x: float, foot: float, ending: str) -> float:
        """Write a run, the space after it included: who copies the text finds it there."""
        how, wide = run[0].how, _width(run)
        if how.ground:
            self._ground(run[0], x, foot, wide)
        text = run[0].text + "".join(" " * (each.space > 0) + each.text for each in run[1:])
        self.document.say(x + run[0].before, foot, text + ending, how)
        return x + wide

    def _blank(self, x: float, foot: float, wide: float) -> None:
        under = line(x, foot + UNDER, x + wide, foot + UNDER)
        self.document.shape(under, Pen(stroke=INK))

    def _marks(self, run: list[Word], x: float, foot: float) -> float:
        for place, each in enumerate(run):
            x += each.space if place else 0.0
            em = each.how.em
            if each.mark == BOX:
                pen = Pen(stroke=INK, width=0.035 * em + 0.15)
                self.document.shape(box(x, foot - 0.82 * em, em, em, 0.12 * em), pen)
            elif each.drawing is not None:
                top = foot - MIDDLE * em - each.width * each.drawing.proportions / 2
                each.drawing.draw(self.document, x, top, each.width)
            x += each.whole
        return x

    def _ground(self, first: Word, x: float, foot: float, wide: float) -> None:
        how = first.how
        high = how.em * GROUND
        top = foot - MIDDLE * how.em - high / 2
        if how.ring:
            apart = RING_GAP * how.em
            shape = box(x + apart, top, wide - 2 * apart, high, high / 2)
            self.document.shape(shape, Pen(how.ground, INK, RING))
        else:
            self.document.shape(box(x, top, wide, high, CORNER), Pen(how.ground))


def wrapped(
    words: Sequence[Word], document: Document, room: float, align: str = "left"
) -> list[Line]:
    """Return the words in lines that fit the room, what is wider than a line in pieces."""
    lines: list[list[Word]] = [[]]
    used = 0.0
    for unit in _units(words):
        wide = sum(each.whole for each in unit)
        parts = unit if wide <= room + HAIR else list(_parts(unit, document, room))
        for place, each in enumerate(parts):
            ahead = wide if parts is unit and not place else each.whole
            space = each.space if lines[-1] else 0.0
            if lines[-1] and used + space + ahead > room + HAIR and not (parts is unit and place):
                lines.append([])
                used = space = 0.0
            lines[-1].append(each)
            used += space + each.whole
        if unit[-1].mark == BREAK:
            lines.append([])
            used = 0.0
    return [Line(each, document, room, align) for each in lines if each]


def narrowest(words: Sequence[Word]) -> float:
    """Return the width of the widest word, what hangs on it included [mm]."""
    return max((sum(each.whole for each in unit) for unit in _units(words)), default=0.0)


def _width(words: Sequence[Word]) -> float:
    return sum(each.whole + each.space for each in words) - (words[0].space if words else 0.0)


def _units(words: Sequence[Word]) -> Iterator[list[Word]]:
    """Yield words between which no line may end."""
    unit: list[Word] = []
    for each in words:
        if unit and (each.space or unit[-1].mark == BREAK):
            yield unit
            unit = []
        unit.append(each)
    if unit:
        yield unit


def _parts(unit: Sequence[Word], document: Document, room: float) -> Iterator[Word]:
    """Yield the words of a unit that is too wide, each in pieces that fit."""
    for word in unit:
        rest = word
        while rest.whole > room + HAIR and len(rest.text) > 1:
            fits = _fitting(rest, document, room)
            if fits == len(rest.text):
                break
            yield _piece(rest, rest.text[:fits], document)._replace(after=0.0)
            rest = _piece(rest, rest.text[fits:], document)._replace(before=0.0, space=0.0)
        yield rest


def _piece(word: Word, text: str, document: Document) -> Word:
    return word._replace(text=text, width=document.breadth(text, word.how.bold) * word.how.em)


def _fitting(word: Word, document: Document, room: float) -> int:
    """Return how many characters fit, at least one, no accent parted from its letter."""
    used = word.before
    fits = 1
    for place, character in enumerate(word.text):
        used += document.breadth(character, word.how.bold) * word.how.em
        if used > room + HAIR and place:
            break
        fits = place + 1
    while 1 < fits < len(word.text) and unicodedata.combining(word.text[fits]):
        fits -= 1
    return fits
