"""Counting a drawing's entities before a single block is expanded.

Nine kilobytes of blocks in blocks stand for a hundred million entities, and one insert with rows
and columns for a thousand million: rows x columns x the product down the tree tells in no time.
"""

from __future__ import annotations

from typing import Any

from ezdxf.document import Drawing

from lawnmap.errors import InputRefused

MOST_ENTITIES = 100_000
DEEPEST = 8


def check(document: Drawing) -> None:
    """Refuse a drawing that holds too much once its blocks are inserted.

    Raises
    ------
    InputRefused
        For more than 100,000 entities in model space, blocks more than 8 deep, and blocks that
        insert each other, by name.
    """
    total, _ = _Tree(document).counted(document.modelspace(), ())
    if total > MOST_ENTITIES:
        raise InputRefused(
            f"comes to {_short(total)} entities once its blocks are inserted "
            f"({MOST_ENTITIES:,} are read)",
            remedy="Cut the drawing down to the site, or leave symbols and patterns out of it.",
        )


def grid(insert: Any) -> tuple[int, int]:
    """Return how many rows and columns an INSERT has, at least one each."""
    return max(1, int(insert.dxf.row_count)), max(1, int(insert.dxf.column_count))


class _Tree:
    """Counts each block once, whatever stands in it and however often it is inserted."""

    def __init__(self, document: Drawing) -> None:
        self.document = document
        self.known: dict[str, tuple[int, int]] = {}

    def counted(self, space: Any, path: tuple[str, ...]) -> tuple[int, int]:
        """Return how many entities `space` stands for, and how many levels of blocks."""
        total, levels = 0, 0
        for entity in space:
            if entity.dxftype() != "INSERT":
                total += 1
                continue
            rows, columns = grid(entity)
            inside, below = self._block(str(entity.dxf.get("name", "")), path)
            total += rows * columns * (1 + inside) + len(entity.attribs)
            levels = max(levels, below)
        return total, levels

    def _block(self, name: str, path: tuple[str, ...]) -> tuple[int, int]:
        key = name.lower()
        if key in path:
            ring = (*path[path.index(key) :], key)
            raise InputRefused(
                f"has blocks that insert each other: {' in '.join(part[:40] for part in ring)}",
                remedy="Break the ring in the program that drew it, or explode these blocks.",
            )
        if key not in self.known:
            self._check_depth(len(path) + 1)
            block = self.document.blocks.get(name)
            inside = (0, 0) if block is None else self.counted(block, (*path, key))
            self.known[key] = (inside[0], inside[1] + 1)
        self._check_depth(len(path) + self.known[key][1])
        return self.known[key]

    @staticmethod
    def _check_depth(levels: int) -> None:
        if levels > DEEPEST:
            raise InputRefused(
                f"has blocks more than {DEEPEST} deep in each other",
                remedy="Explode the outer blocks in the program that drew it.",
            )


def _short(total: int) -> str:
    return f"{total:,}" if total < 10**12 else "more than a million million"
