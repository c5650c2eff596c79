"""In what order to walk the pieces of lines: up and down, one patch without obstacles at a time.

Pieces on neighbouring lines belong to one patch (a cell) as long as each has one neighbour only;
where an obstacle parts a line in two, or two meet behind it, a new patch begins.

Sources
-------
Cells of up-and-down motion: S. M. LaValle, Planning Algorithms, Cambridge 2006, section 7.6.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.passes.scanline import Pieces

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


class Walk(NamedTuple):
    """Pieces in the order they are walked, and whether each is walked from left to right."""

    piece: Places
    forward: npt.NDArray[np.bool_]


def walk(pieces: Pieces, step_m: float, start_x: float) -> Walk:
    """Return the order: from line 0 on, at the end nearer to the start, then patch by patch.

    Parameters
    ----------
    pieces : Pieces
        Of one polygon.
    step_m : float
        From one line to the next [m].
    start_x : float
        Place along the lines of where one comes from [m].
    """
    waiting = cells(pieces)
    if not waiting:
        return Walk(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.bool_))
    at = np.array([start_x, pieces.line.min() * step_m])
    order: list[int] = []
    forward: list[bool] = []
    while waiting:
        entries = _entries(pieces, waiting, step_m)
        if not order:  # the first patch is entered on the line to start from, and on no other
            entries[entries[:, 1] > at[1], :2] = np.inf
        place = int(np.argmin(np.hypot(*(entries[:, :2] - at).T)))
        cell = waiting.pop(int(entries[place, 2]))
        last, right = divmod(place % 4, 2)
        cell = cell[::-1] if last else cell
        ways = [bool(right) == bool(number % 2) for number in range(len(cell))]
        order += cell
        forward += ways
        final = cell[-1]
        end = pieces.right[final] if ways[-1] else pieces.left[final]
        at = np.array([end, pieces.line[final] * step_m])
    return Walk(np.array(order, dtype=np.intp), np.array(forward, dtype=np.bool_))


def cells(pieces: Pieces) -> list[list[int]]:
    """Return the patches, each as its pieces from the first line to the last."""
    after, before = _neighbours(pieces)
    found: list[list[int]] = []
    for piece in range(len(pieces.line)):
        if before[piece] >= 0:
            continue
        chain = [piece]
        while after[chain[-1]] >= 0:
            chain.append(int(after[chain[-1]]))
        found.append(chain)
    return found


def _neighbours(pieces: Pieces) -> tuple[Places, Places]:
    """Return the one piece after and before each on the next lines; −1 for none or several."""
    many = len(pieces.line)
    start = np.searchsorted(pieces.line, np.arange(pieces.line.max(initial=-1) + 3))
    over: list[tuple[int, int]] = [
        (one, other)
        for one in range(many)
        for other in range(start[pieces.line[one] + 1], start[pieces.line[one] + 2])
        if pieces.left[one] < pieces.right[other] and pieces.left[other] < pieces.right[one]
    ]
    pairs = np.array(over, dtype=np.intp).reshape(-1, 2)
    single = [np.bincount(side, minlength=many) == 1 for side in pairs.T]
    only = pairs[single[0][pairs[:, 0]] & single[1][pairs[:, 1]]]
    after, before = (np.full(many, -1, dtype=np.intp) for _ in range(2))
    after[only[:, 0]], before[only[:, 1]] = only[:, 1], only[:, 0]
    return after, before


def _entries(pieces: Pieces, waiting: list[list[int]], step_m: float) -> Floats:
    """Return the four ways into each patch: place along and across the lines, and the patch.

    In this order: first line left, first line right, last line left, last line right.
    """
    ends = np.array([[cell[0], cell[0], cell[-1], cell[-1]] for cell in waiting]).reshape(-1)
    patch = np.repeat(np.arange(len(waiting)), 4)
    right = np.tile([False, True], 2 * len(waiting))
    x = np.where(right, pieces.right[ends], pieces.left[ends])
    return np.column_stack([x, pieces.line[ends] * step_m, patch])
