"""A partition worked even though some of its sites cannot be: they are found, and told.

All sites of a partition are worked at once, so a fault in one is a fault in all. It is halved until
the site stands alone; the others go on without it. When many fail before the first has been worked
it is no fault of theirs, and the run stops.
"""

from __future__ import annotations

from collections.abc import Iterator

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.errors import LawnmapError
from lawnmap.jobs.sites.partition import Part, Terms, worked
from lawnmap.jobs.sites.planned import Trouble, of_fault
from lawnmap.processing.many.site_rows import bare_rows

MOST = 50  # sites of one partition, before any of it was worked


class _Search:
    """Looks for the sites in trouble, and counts them."""

    def __init__(self, features: gpd.GeoDataFrame, terms: Terms) -> None:
        self.features, self.terms = features, terms
        self.troubles: list[Trouble] = []
        self.worked = False

    def parts(self, zones: gpd.GeoDataFrame) -> Iterator[Part]:
        """Yield the parts of a partition that can be worked."""
        try:
            made = worked(zones, self.features, self.terms)
        except MemoryError:
            raise
        except Exception as fault:  # noqa: BLE001 - one site never stops the rest
            ids = pd.unique(zones["site_id"])
            if len(ids) == 1:
                self._note(str(ids[0]), fault)
                return
            for half in np.array_split(ids, 2):
                own = zones["site_id"].isin(half)
                yield from self.parts(zones[own].reset_index(drop=True))
        else:
            self.worked = True
            yield made

    def _note(self, site_id: str, fault: Exception) -> None:
        if len(self.troubles) == MOST and not self.worked:
            raise fault
        if isinstance(fault, LawnmapError):
            told = Trouble(site_id, fault.problem, fault.exit_code, remedy=fault.remedy)
        else:
            told = of_fault(site_id, fault)
        self.troubles.append(told)


def apart(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, terms: Terms) -> Part:
    """Work out a partition; a site that cannot be is a row of ``sites`` with its trouble, no more.

    Parameters
    ----------
    zones, features, terms
        As :func:`lawnmap.jobs.sites.partition.worked` takes them.

    Returns
    -------
    Part

    Raises
    ------
    Exception
        The fault of the next site when the first `MOST` are all in trouble.
    """
    search = _Search(features, terms)
    parts = list(search.parts(zones))
    if not search.troubles:
        return parts[0]
    told = {each.site_id: str(each) for each in search.troubles}
    bad = zones[zones["site_id"].isin(list(told))].drop_duplicates("site_id")
    sites = bare_rows(bad).assign(trouble=[told[each] for each in bad["site_id"]])
    return Part(
        zones=pd.concat([each.zones for each in parts], ignore_index=True) if parts else zones[:0],
        steps={},
        sites=pd.concat([*(each.sites for each in parts), sites], ignore_index=True),
        needs=_below([each.needs for each in parts], "site_needs"),
        hours=_below([each.hours for each in parts], "site_hours"),
    )


def _below(tables: list[pd.DataFrame], name: str) -> pd.DataFrame:
    if tables:
        return pd.concat(tables, ignore_index=True)
    columns = schema.columns(name)
    return pd.DataFrame({each.name: pd.Series([], dtype=each.dtype) for each in columns})
