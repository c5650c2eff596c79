"""The names of rows and of their sites, as text, whatever a table holds them as."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door.arrow import pa, pc
from lawnmap.jobs.sites.door.content import ZONES, Content
from lawnmap.jobs.sites.door.trouble import Trouble

Names = npt.NDArray[np.object_]
Hashes = npt.NDArray[np.uint64]
Places = npt.NDArray[np.int64]

SHOWN = 40


class Ids(NamedTuple):
    """Names of some rows, and of the sites they belong to; None where there is none.

    Attributes
    ----------
    zone, site : (n,) array of object
    rows : (n,) array
        Their places in the file, from 1.
    """

    zone: Names
    site: Names
    rows: Places

    def hashes(self) -> Hashes:
        """Return a number for each row that is the same in the rows of one site.

        A row without any name is with nobody: a few of them must not make a file be sorted.
        """
        site = self.site.copy()
        for place in np.flatnonzero(site == None):  # noqa: E711  (an array of objects)
            site[place] = f"\0{self.rows[place]}"
        return np.asarray(pd.util.hash_array(site, categorize=False), dtype=np.uint64)


def ids(zone: pa.Array | None, site: pa.Array | None, rows: Places, *, by_row: bool) -> Ids:
    """Return the names in some rows. A zone without a site is a site of its own.

    Parameters
    ----------
    zone, site : Array of string, shape (n,), or None
    rows : (n,) array
        Places in the file, from 1.
    by_row : bool
        Whether a zone without a name is called by its place.
    """
    zones = pa.nulls(len(rows), pa.string()) if zone is None else _trimmed(zone)
    if by_row:
        zones = pc.coalesce(zones, pa.array(rows).cast(pa.string()))
    sites = zones if site is None else pc.coalesce(_trimmed(site), zones)
    return Ids(_objects(zones), _objects(sites), rows)


def places(before: int, many: int) -> Places:
    """Return the places of rows in a file, counted from 1, after those that came before."""
    return np.arange(before + 1, before + 1 + many, dtype=np.int64)


def check(found: Ids, trouble: Trouble, content: Content = ZONES) -> None:
    """Say which rows have no name, one that is too long, or one with characters nobody can see."""
    of_column = {"zone_id": found.zone, "site_id": found.site}
    for column in content.keys:
        names = of_column[column]
        for row in np.flatnonzero(~_plain(names)):
            name = names[row]
            if name is None:
                reason = f"{column} is missing"
            elif len(name) > BULK.name_length:
                reason = f"{column} is {len(name):,} characters long"
            else:
                reason = f"{column} {name[:SHOWN]!r} holds characters that do not print"
            trouble.add(int(row), column, reason)


def _plain(names: Names) -> npt.NDArray[np.bool_]:
    """Tell which names are there, short enough, and of characters that print."""
    texts = pa.array(names, pa.string())
    good = pc.and_(
        pc.utf8_is_printable(texts), pc.less_equal(pc.utf8_length(texts), BULK.name_length)
    )
    return np.asarray(pc.fill_null(good, fill_value=False).to_numpy(zero_copy_only=False))


def _trimmed(names: pa.Array) -> pa.Array:
    """Return text without blanks round it; empty text is none."""
    trimmed = pc.utf8_trim_whitespace(names)
    return pc.if_else(pc.equal(trimmed, ""), pa.scalar(None, trimmed.type), trimmed)


def _objects(names: pa.Array) -> Names:
    return np.asarray(names.to_numpy(zero_copy_only=False), dtype=object)
