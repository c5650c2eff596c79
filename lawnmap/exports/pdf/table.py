"""Tables: columns as wide as what is in them, the head again on every page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from lawnmap.exports.pdf.document import Document, Pen, line
from lawnmap.exports.pdf.looks import INK, QUIET, RULE, Type
from lawnmap.exports.pdf.piece import Draw, Piece, Pieces, beside
from lawnmap.exports.pdf.tree import Element, within

SPACE = 3.2  # between columns [mm]
PAD, GROUP_PAD = 0.3, 0.8  # above the words of a row, and of one that heads those under it [em]
SPEAKING = 300  # rows that say how wide the columns are; the rest wrap into them
WIDEST = 34.0  # a word longer than this is broken rather than making its column wider [mm]
NARROW = {"price": 120.0}  # tables that are not as wide as their page [mm]
AIRY = 1.35  # by how much a column grows where there is room [its own width]
HEAD, BODY = 0.86, 0.94  # size of the words in it [size of those round about]
SUMS = frozenset({"sum", "total"})
WHOLE = frozenset({"area", "cost", "left_over", "n", "sun", "to_buy"})  # figures on one line
RIGHT = frozenset({"price"})  # tables whose last column is set to the right

Lay = Callable[[Element, float, Type, str], Pieces]


@dataclass(frozen=True)
class Cell:
    """One cell: the columns it covers and how its words are set."""

    element: Element
    first: int
    span: int
    how: Type


@dataclass(frozen=True)
class Row:
    """One row, whether it heads the table, or the rows under it."""

    element: Element
    cells: list[Cell]
    part: Element
    head: bool
    group: bool


class Table:
    """Lays out one table; ``lay`` sets what is in a cell into a width."""

    def __init__(self, element: Element, width: float, around: Type, lay: Lay) -> None:
        self.element, self.lay = element, lay
        self.width = min([width, *(NARROW[each] for each in NARROW.keys() & set(element.classes))])
        self.around = around._replace(size=around.size * BODY)
        self.right = not RIGHT.isdisjoint(element.classes)
        self.rows = list(self._rows(element, head=False))
        self.columns = max((_reach(each.cells) for each in self.rows), default=0)

    def pieces(self, document: Document) -> Pieces:
        """Return a piece for each row."""
        if not self.columns:
            return []
        widths = self._widths()
        lefts = [sum(widths[:place]) for place in range(self.columns + 1)]
        heads = [self._piece(row, lefts, document) for row in self.rows if row.head]
        made: Pieces = []
        part: Element | None = None
        group: Pieces = []
        for row in self.rows:
            if row.head:
                continue
            piece = self._piece(row, lefts, document)
            if row.part is not part or row.group:
                part, group = row.part, []
            again = [*heads, *group]
            made.append(piece._replace(head=beside([again], [0.0]) if again else None))
            if row.group:
                group = [piece]
        if not heads:
            return made
        return [beside([heads], [0.0])._replace(stays=bool(made)), *made]

    def _rows(self, element: Element, *, head: bool) -> Iterator[Row]:
        for each in within(element, "tr"):
            if each.name == "tr":
                cells = list(self._cells(each, head=head))
                group = any(cell.element.attributes.get("scope") == "rowgroup" for cell in cells)
                yield Row(each, cells, element, head, group)
            else:
                yield from self._rows(each, head=each.name == "thead")

    def _cells(self, row: Element, *, head: bool) -> Iterator[Cell]:
        how = self.around
        if head:
            how = how._replace(size=how.size * HEAD, bold=True, colour=QUIET)
        if "out" in row.classes:
            how = how._replace(colour=QUIET)
        if "total" in row.classes:
            how = how._replace(bold=True)
        first = 0
        for each in within(row, "td"):
            span = max(1, int(each.attributes.get("colspan") or 1))
            bold = how.bold or (each.name == "th" and not self.right)
            yield Cell(each, first, span, how._replace(bold=bold))
            first += span

    def _piece(self, row: Row, lefts: Sequence[float], document: Document) -> Piece:
        cells, starts = [], []
        for each in row.cells:
            left, right = lefts[each.first], lefts[each.first + each.span]
            last = each.first + each.span >= self.columns
            room = right - left - (0.0 if last else SPACE)
            align = "right" if self.right and last and each.first else "left"
            cells.append(self.lay(each.element, room, each.how, align))
            starts.append(left)
        em = self.around.em
        pad = ((GROUP_PAD if row.group else PAD) * em, PAD * em)
        piece = beside(cells, starts, pad=pad, rule=self._rule(row, document), low=row.head)
        return piece._replace(stays=row.group)

    def _rule(self, row: Row, document: Document) -> Draw:
        strong = row.group or row.head or SUMS.intersection(row.element.classes)
        pen = Pen(stroke=INK if strong else RULE, width=0.3 if strong else 0.2)
        return lambda x, y: document.shape(line(x, y, x + self.width, y), pen)

    def _widths(self) -> list[float]:
        """Return the width of each column, the space after it included [mm]."""
        least, most = self._extents()
        if sum(most) <= self.width:
            grown = [each * min(self.width / sum(most), AIRY) for each in most]
            return [*grown[:-1], self.width - sum(grown[:-1])]
        spare = self.width - sum(least)
        if spare <= 0:
            return [each * self.width / sum(least) for each in least]
        wishes = [(want - need) ** 0.7 for need, want in zip(least, most, strict=True)]
        total = sum(wishes) or 1.0
        return [need + spare * wish / total for need, wish in zip(least, wishes, strict=True)]

    def _extents(self) -> tuple[list[float], list[float]]:
        """Return the least width of each column, and the one at which nothing wraps [mm]."""
        least, most = [4.0] * self.columns, [4.0] * self.columns
        for row in self.rows[:SPEAKING]:
            for each in row.cells:
                if each.span > 1:
                    continue
                space = 0.0 if each.first + 1 == self.columns else SPACE
                for piece in self.lay(each.element, 10_000.0, each.how, "left"):
                    place = each.first
                    whole = not WHOLE.isdisjoint(each.element.classes)
                    need = min(piece.wide if whole else piece.narrow, WIDEST)
                    least[place] = max(least[place], need + space)
                    most[place] = max(most[place], piece.wide + space)
        return least, most


def _reach(cells: Sequence[Cell]) -> int:
    return max((each.first + each.span for each in cells), default=0)
