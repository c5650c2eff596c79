"""Signs: a sheet to hang up, its words as large as its page can hold."""

from __future__ import annotations

from collections.abc import Callable

from lawnmap.exports.pdf.document import Document
from lawnmap.exports.pdf.looks import STOP, Type
from lawnmap.exports.pdf.piece import Piece, Pieces, height, moved, together

INSET = 7.0  # of the words from the frame round the page [mm]
SMALLEST, LARGEST = 8.0, 21.0  # of the words [pt]
TRIES = 7  # of halving what lies between: to a tenth of a point

Lay = Callable[[float, Type], Pieces]


def sign(document: Document, width: float, lay: Lay) -> Pieces:
    """Return the pieces of a sign that begins a page, in a frame.

    Parameters
    ----------
    document : Document
    width : float
        [mm]
    lay : callable
        Lays out what is on the sign in a width [mm] and a type.
    """
    room = document.room - 2 * INSET
    small, large = SMALLEST, LARGEST
    made = lay(width - 2 * INSET, Type(small))
    for _ in range(TRIES):
        middle = (small + large) / 2
        tried = lay(width - 2 * INSET, Type(middle))
        if height(tried) <= room:
            made, small = tried, middle
        else:
            large = middle
    if not made:
        return made
    made = [Piece(INSET, lambda _x, _y: None), *moved(made, INSET)]
    made = [each._replace(frame=STOP) for each in made]
    made[0] = made[0]._replace(starts=True)
    return together(made) if height(made) <= document.room else made
