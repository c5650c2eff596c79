"""Known weak spots of Python and the libraries, and what lawnmap does about each."""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib import resources
from typing import NamedTuple

NUMBER = re.compile(r"\d+")


class WeakSpot(NamedTuple):
    """One weak spot.

    Attributes
    ----------
    id : str
        Its number in a public list, or a name of ours where it has none.
    part : str
        Python or a library, as ``lawnmap about`` names it.
    fixed_in : tuple of str
        The first version without it, of each series that was mended, the newest last; empty where
        no version is known.
    weakness : str
    guard : str
        What lawnmap does about it, whether it is mended or not.
    told_by : str
        Who says so.
    standing : str
        How firmly it is known, as in the other tables.
    """

    id: str
    part: str
    fixed_in: tuple[str, ...]
    weakness: str
    guard: str
    told_by: str
    standing: str

    def mended(self, version: str) -> bool:
        """Return whether a version is without it, as far as is known.

        Examples
        --------
        >>> spot = WeakSpot("", "Python", ("3.11.8", "3.12.2"), "", "", "", "published")
        >>> [spot.mended(version) for version in ("3.11.7", "3.11.9", "3.12.1", "3.13.0")]
        [False, True, False, True]
        """
        found = numbers(version)
        series = [numbers(each) for each in self.fixed_in]
        return any(found >= first and (found[:2] == first[:2]) for first in series) or bool(
            series and found >= series[-1]
        )


def numbers(version: str) -> tuple[int, ...]:
    """Return the numbers of a version in the order in which they count.

    Examples
    --------
    >>> numbers("2.6.0") < numbers("2.10"), numbers("159.0.8149.0@built")[:3]
    (True, (159, 0, 8149))
    """
    return tuple(int(each) for each in NUMBER.findall(version))


@cache
def weak_spots() -> tuple[WeakSpot, ...]:
    """Return every weak spot in the order of the table."""
    table = resources.files("lawnmap.reference").joinpath("weak_spots.csv")
    found = []
    for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines()):
        fixed_in = tuple(row.pop("fixed_in").split())
        found.append(WeakSpot(**row, fixed_in=fixed_in))
    return tuple(found)
