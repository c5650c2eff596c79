"""What is wrong with rows of a batch: they are left out, each with one reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

SHOWN = 3  # reasons in the sentence on a site


class Skipped(NamedTuple):
    """A row that was left out.

    Attributes
    ----------
    table : str
        ``zones`` or ``features``.
    row : int
        Its place in the file, from 1.
    site_id, zone_id : str
        As far as the file says them.
    column : str
        What is wrong with it: a column, or ``geometry``.
    reason : str
        As the end of the sentence "zone: …".
    """

    table: str
    row: int
    site_id: str
    zone_id: str
    column: str
    reason: str


class Trouble:
    """The first thing that is wrong with each of some rows.

    Parameters
    ----------
    many : int
        Number of rows.
    """

    def __init__(self, many: int) -> None:
        self.bad: npt.NDArray[np.bool_] = np.zeros(many, dtype=bool)
        self._said: dict[int, tuple[str, str]] = {}

    def add(self, row: int, column: str, reason: str) -> None:
        """Say what is wrong with a row, unless something was said already."""
        if not self.bad[row]:
            self.bad[row] = True
            self._said[row] = (column, reason)

    def add_all(self, rows: Iterable[int], column: str, reason: str) -> None:
        """Say one thing of several rows."""
        for row in rows:
            self.add(int(row), column, reason)

    def skipped(
        self,
        rows: npt.NDArray[np.int64],
        site_ids: npt.NDArray[np.object_],
        zone_ids: npt.NDArray[np.object_],
        table: str = "zones",
    ) -> tuple[Skipped, ...]:
        """Return what is left out, in the order of the file."""
        found = (
            Skipped(
                table, int(rows[row]), str(site_ids[row] or ""), str(zone_ids[row] or ""), *said
            )
            for row, said in self._said.items()
        )
        return tuple(sorted(found))


def by_site(skipped: Sequence[Skipped]) -> dict[str, str]:
    """Return for each site with rows left out how many, and why: a sentence for each table."""
    of_site: dict[str, dict[str, list[Skipped]]] = {}
    for each in skipped:
        of_site.setdefault(each.site_id, {}).setdefault(each.table, []).append(each)
    return {site_id: " ".join(map(_sentence, found.values())) for site_id, found in of_site.items()}


def _sentence(found: list[Skipped]) -> str:
    table = found[0].table
    many = f"1 {table.removesuffix('s')}" if len(found) == 1 else f"{len(found):,} {table}"
    shown = "; ".join(
        f"{each.zone_id or f'row {each.row}'}: {each.reason}" for each in found[:SHOWN]
    )
    more = f"; and {len(found) - SHOWN:,} more" if len(found) > SHOWN else ""
    return f"{many} left out: {shown}{more}."
