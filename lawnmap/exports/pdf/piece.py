"""Pieces: what a page is stacked from, each never cut but where it says how."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

Draw = Callable[[float, float], None]  # from the left edge of the column and the top [mm]


class Piece(NamedTuple):
    """A line, a row of a table, a drawing: what stands on one page as a whole.

    Attributes
    ----------
    height : float
        [mm]
    draw : callable
    left : float
        How far in from the left edge of its column [mm].
    above, below : float
        Empty room asked for; of two pieces the greater counts, and none at the top of a page [mm].
    wide, narrow : float
        Width that it would like, and that it needs at the least [mm].
    stays : bool
        Whether it stands on one page with the next piece.
    starts : bool
        Whether it begins a page.
    opening : bool
        Whether it heads the whole paper: what begins a page may yet stand under it.
    head : Piece, optional
        What is repeated above it when it begins a page: the head of its table.
    cut : callable, optional
        Given a height, returns the part that fits and the rest; None when nothing fits.
    fit : callable, optional
        Given a height, returns the piece not taller than that: for a drawing that may shrink.
    least : float
        Height under which a drawing is not made smaller, and columns are not parted, but put on the
        next page; 0 for what is parted only when it is taller than a page [mm].
    bar : str
        Colour of a line beside it, for what must be read first.
    frame : str
        Colour of a frame round its page.
    heading : (int, str), optional
        Depth and text, for the list of contents that a reader of the file shows.
    """

    height: float
    draw: Draw
    left: float = 0.0
    above: float = 0.0
    below: float = 0.0
    wide: float = 0.0
    narrow: float = 0.0
    stays: bool = False
    starts: bool = False
    opening: bool = False
    head: Piece | None = None
    cut: Callable[[float], tuple[Piece, Piece] | None] | None = None
    fit: Callable[[float], Piece] | None = None
    least: float = 0.0
    bar: str = ""
    frame: str = ""
    heading: tuple[int, str] | None = None

    def at(self, x: float, y: float) -> None:
        """Draw it in the column that begins at x."""
        self.draw(x + self.left, y)


Pieces = list[Piece]


def stacked(pieces: Sequence[Piece]) -> Iterator[tuple[float, Piece]]:
    """Yield pieces with how far below the first one's top each begins [mm]."""
    y = 0.0
    before: Piece | None = None
    for each in pieces:
        y += max(before.below, each.above) if before else 0.0
        yield y, each
        y += each.height
        before = each


def height(pieces: Sequence[Piece]) -> float:
    """Return the height of pieces below each other [mm]."""
    last = 0.0
    for y, each in stacked(pieces):
        last = y + each.height
    return last


def least_height(pieces: Sequence[Piece]) -> float:
    """Return the height of pieces that are made as small as they may get [mm]."""
    return height([each._replace(height=each.least or each.height) for each in pieces])


def spread(pieces: Pieces, above: float, below: float) -> Pieces:
    """Return the pieces of one block with the room above the first and below the last."""
    if not pieces:
        return pieces
    made = [*pieces]
    made[0] = made[0]._replace(above=max(made[0].above, above))
    made[-1] = made[-1]._replace(below=max(made[-1].below, below))
    return made


def together(pieces: Pieces) -> Pieces:
    """Return pieces that stand on one page."""
    return [*(each._replace(stays=True) for each in pieces[:-1]), *pieces[-1:]]


def moved(pieces: Pieces, left: float) -> Pieces:
    """Return pieces further in from the left, and as much narrower."""
    return [
        each._replace(left=each.left + left, wide=each.wide + left, narrow=each.narrow + left)
        for each in pieces
    ]


def beside(
    cells: Sequence[Pieces],
    lefts: Sequence[float],
    *,
    pad: tuple[float, float] = (0.0, 0.0),
    rule: Draw | None = None,
    low: bool = False,
) -> Piece:
    """Return columns side by side as one piece, which is cut between the lines in them.

    Parameters
    ----------
    cells : sequence of pieces
        Each column from its top.
    lefts : sequence of float
        Where each column begins [mm].
    pad : (float, float)
        Room above and below within the row [mm].
    rule : callable, optional
        Draws what stands under the row, from its lower left corner.
    low : bool
        Whether columns stand on the foot of the row.
    """
    tall = [height(each) for each in cells]
    inner = max(tall, default=0.0)

    def draw(x: float, y: float) -> None:
        for cell, left, high in zip(cells, lefts, tall, strict=True):
            top = y + pad[0] + (inner - high if low else 0.0)
            for below, each in stacked(cell):
                each.at(x + left, top + below)
        if rule:
            rule(x, y + pad[0] + inner + pad[1])

    def cut(room: float) -> tuple[Piece, Piece] | None:
        parts = [_parted(each, room - sum(pad)) for each in cells]
        if not any(upper for upper, _ in parts) or not any(lower for _, lower in parts):
            return None
        upper, lower = zip(*parts, strict=True)
        return (
            beside(upper, lefts, pad=pad, rule=rule),
            beside(lower, lefts, pad=pad, rule=rule),
        )

    return Piece(sum(pad) + inner, draw, cut=cut)


def _parted(pieces: Pieces, room: float) -> tuple[Pieces, Pieces]:
    """Return the pieces that fit into a height, and the rest; what is taller yet is cut itself."""
    for place, (y, each) in enumerate(stacked(pieces)):
        if y + each.height <= room:
            continue
        parts = each.cut(room - y) if each.cut else None
        if parts:
            return [*pieces[:place], parts[0]], [parts[1], *pieces[place + 1 :]]
        return pieces[:place], pieces[place:]
    return pieces, []
