"""Sheets: pieces put on pages, and the pages drawn."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby

from lawnmap.exports.pdf.document import MARGIN, Document, Pen, box, line
from lawnmap.exports.pdf.looks import QUIET, RULE, Type
from lawnmap.exports.pdf.piece import Piece, Pieces, height, least_height

SIZES = (Type(), Type(8.8), Type(8.4), Type(8.0))
FEW, SHORT = (
    6,
    0.3,
)  # pages of a paper, and how far its last is filled, for smaller type to be tried
SMALL = Type(7.6, colour=QUIET)
BAR_WIDTH = 1.0  # [mm]
FRAME_WIDTH = 1.2  # [mm]

Placed = tuple[float, Piece]


class Sheets:
    """Fills one page after the other, from `MARGIN` down to the foot."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.pages: list[list[Placed]] = [[]]
        self.y = MARGIN
        self._begun = False  # whether the page holds more than the head of a table

    def fill(self, pieces: Iterable[Piece]) -> list[list[Placed]]:
        """Return the pages, each with how far down its pieces begin [mm]."""
        waiting = deque(pieces)
        while waiting:
            opening = all(each.opening for _, each in self.pages[-1])
            if waiting[0].starts and self._begun and not opening:
                self._next(waiting[0])
            waiting[0] = waiting[0]._replace(starts=False)
            chain = _chain(waiting)
            piece, above, room = chain[0], self._above(chain[0]), self._room(chain[0])
            least = least_height(chain)
            if self._begun and least > room and least <= self.document.room:
                self._next(piece)
                continue
            if piece.fit:
                piece = piece.fit(room - (height(chain) - piece.height))
            if piece.height <= room:
                self._place(piece, above)
                waiting.popleft()
                continue
            self._part(waiting, piece, room, above)
        return self.pages

    def _part(self, waiting: deque[Piece], piece: Piece, room: float, above: float) -> None:
        """Put what fits of a piece that is too tall on this page, the rest on the next."""
        if self._begun and piece.height <= self.document.room and not piece.least:
            self._next(piece)
            return
        parts = piece.cut(room) if piece.cut else None
        if parts:
            self._place(parts[0], above)
            waiting[0] = parts[1]._replace(head=piece.head, stays=piece.stays, bar=piece.bar)
            self._next(waiting[0])
        elif self._begun:
            self._next(piece)
        else:
            self._place(piece, above)  # taller than a page and in one piece: it runs off the foot
            waiting.popleft()

    def _above(self, piece: Piece) -> float:
        page = self.pages[-1]
        return max(page[-1][1].below, piece.above) if page else 0.0

    def _room(self, piece: Piece) -> float:
        return self.document.bottom - self.y - self._above(piece)

    def _place(self, piece: Piece, above: float) -> None:
        self.pages[-1].append((self.y + above, piece))
        self.y += above + piece.height
        self._begun = True

    def _next(self, piece: Piece) -> None:
        """Begin a page, with the head of the table that goes on there."""
        self.pages.append([])
        self.y = MARGIN
        head = piece.head
        if head and head.height < self.document.room / 3:
            self._place(head._replace(heading=None), 0.0)
        self._begun = False


def fewest(document: Document, lay: Callable[[Type], Pieces]) -> Pieces:
    """Return what begins on a page of its own; in smaller type where that saves its last page.

    Only what fills a few pages is tried so, and only where the last of them holds but little.

    Parameters
    ----------
    document : Document
    lay : callable
        Lays it out in a type.
    """
    made = lay(SIZES[0])
    if any(each.starts for each in made):
        return made  # each sheet in it has been tried by itself
    pages = Sheets(document).fill(made)
    if not 1 < len(pages) <= FEW or _depth(pages[-1]) > SHORT * document.room:
        return made

    def fewer(smaller: Pieces) -> bool:
        return len(Sheets(document).fill(smaller)) < len(pages)

    smallest = lay(SIZES[-1])
    if not fewer(smallest):
        return made
    return next(filter(fewer, map(lay, SIZES[1:-1])), smallest)


def draw(
    document: Document,
    pages: Sequence[Sequence[Placed]],
    foot: str,
    counted: Callable[[int, int], str],
) -> None:
    """Draw the pages.

    Parameters
    ----------
    document : Document
    pages : sequence of placed pieces
    foot : str
        What stands at the foot of each page on the left.
    counted : callable
        Given the number of a page and of all pages, says what stands there on the right.
    """
    for number, page in enumerate(pages, start=1):
        document.add_page()
        for y, piece in page:
            if piece.heading and piece.heading[1]:
                document.set_y(y)
                document.start_section(piece.heading[1], piece.heading[0], strict=False)
            piece.at(MARGIN, y)
        _bars(document, page)
        if not _frame(document, page):
            y = document.h - 13.2
            rule = line(MARGIN, y, document.w - MARGIN, y)
            document.shape(rule, Pen(stroke=RULE))
        _foot(document, foot, counted(number, len(pages)))


def _depth(page: Sequence[Placed]) -> float:
    return max((y + piece.height - MARGIN for y, piece in page), default=0.0)


def _bars(document: Document, page: Sequence[Placed]) -> None:
    for colour, placed in groupby(page, key=lambda each: each[1].bar):
        if colour:
            those = list(placed)
            top, (last, piece) = those[0][0], those[-1]
            shape = box(MARGIN, top, BAR_WIDTH, last + piece.height - top)
            document.shape(shape, Pen(fill=colour))


def _frame(document: Document, page: Sequence[Placed]) -> bool:
    colour = next((piece.frame for _, piece in page if piece.frame), "")
    if colour:
        high = document.bottom - MARGIN
        shape = box(MARGIN, MARGIN, document.w - 2 * MARGIN, high)
        document.shape(shape, Pen(stroke=colour, width=FRAME_WIDTH))
    return bool(colour)


def _foot(document: Document, foot: str, counted: str) -> None:
    y = document.h - 9.0
    right = document.w - MARGIN
    wide = document.breadth(counted, SMALL.bold) * SMALL.em
    room = right - wide - 6.0 - MARGIN
    document.say(MARGIN, y, _shortened(document, foot, room), SMALL)
    document.say(right - wide, y, counted, SMALL)


def _shortened(document: Document, text: str, room: float) -> str:
    """Return the text, cut where it is too long for its room."""
    if document.breadth(text, SMALL.bold) * SMALL.em <= room:
        return text
    fits, used = 0, document.breadth("…", SMALL.bold) * SMALL.em
    for character in text:
        used += document.breadth(character, SMALL.bold) * SMALL.em
        if used > room:
            break
        fits += 1
    return f"{text[:fits]}…"


def _chain(waiting: Sequence[Piece]) -> list[Piece]:
    """Return the first piece and those that have to stand on one page with it."""
    chain: list[Piece] = []
    for each in waiting:
        if chain and each.starts:
            break
        chain.append(each)
        if not each.stays:
            break
    return chain
