"""Columns: items side by side, in rows, or down one column and on in the next."""

from __future__ import annotations

from collections.abc import Sequence

from lawnmap.exports.pdf.piece import Piece, Pieces, beside, height

LEAST = 24.0  # of columns that go on on the next page [mm]
TRIES = 24  # of halving the span in which the least height of even columns lies


def rows(items: Sequence[Pieces], count: int, step: float) -> Pieces:
    """Return items in rows of so many, each column `step` from the one before [mm]."""
    made = []
    for place in range(0, len(items), count):
        row = [each for each in items[place : place + count] if each]
        if row:
            piece = beside(row, [step * column for column in range(len(row))])
            made.append(piece._replace(above=_above(row), below=_below(row)))
    return made


def even(items: Sequence[Pieces], count: int, step: float) -> Piece:
    """Return items in columns of much the same height, read down one and then the next.

    Where a page ends, the columns on it end, and the items that are left make columns anew.
    """
    least, most = 0.0, height([piece for each in items for piece in each])
    for _ in range(TRIES):
        middle = (least + most) / 2
        if sum(map(len, _filled(items, count, middle))) == len(items):
            most = middle
        else:
            least = middle
    filled = _filled(items, count, most)
    cells = [[piece for each in column for piece in each] for column in filled]
    piece = beside(cells, [step * place for place in range(count)])

    def cut(room: float) -> tuple[Piece, Piece] | None:
        fits = sum(map(len, _filled(items, count, room)))
        if not fits or fits == len(items):
            return None
        return even(items[:fits], count, step), even(items[fits:], count, step)

    return piece._replace(
        cut=cut,
        least=min(piece.height, LEAST),
        above=_above(cells),
        below=_below(cells),
    )


def _filled(items: Sequence[Pieces], count: int, room: float) -> list[list[Pieces]]:
    """Return the items that fit into columns of a height, column by column."""
    columns: list[list[Pieces]] = [[]]
    for each in items:
        there = [piece for item in columns[-1] for piece in item]
        if height([*there, *each]) > room:
            if len(columns) == count or height(each) > room:
                break
            columns.append([])
        columns[-1].append(each)
    return columns + [[] for _ in range(count - len(columns))]


def _above(cells: Sequence[Pieces]) -> float:
    return max((each[0].above for each in cells if each), default=0.0)


def _below(cells: Sequence[Pieces]) -> float:
    return max((each[-1].below for each in cells if each), default=0.0)
