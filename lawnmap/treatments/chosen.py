"""Some of the zones. A table of them has a hundred columns, and a treatment reads ten."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.coded import Held
from lawnmap.model import Specification
from lawnmap.treatments.names import Names, few

Floats = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]


class Chosen:
    """Some zones of a table, of which a column is taken when it is asked for.

    Parameters
    ----------
    zones : GeoDataFrame
        Or a table without outlines, which no treatment looks at.
    places : array of int, optional
        Which of them, in order; one may come more than once. All when not given.
    """

    def __init__(self, zones: pd.DataFrame, places: Places | None = None) -> None:
        self._zones, self._places = zones, places

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._zones if self._places is None else self._places)

    def __contains__(self, column: str) -> bool:
        """Tell whether the table has a column."""
        return column in self._zones.columns

    @cached_property
    def index(self) -> pd.Index:
        """Their zone_id."""
        return self._zones.index if self._places is None else self._zones.index[self._places]

    @cached_property
    def table(self) -> gpd.GeoDataFrame:
        """Every column of them, for what is told of single zones."""
        return self._zones if self._places is None else self._zones.iloc[self._places]

    @cached_property
    def records(self) -> list[dict[Any, Any]]:
        """Each of them by itself, with every column."""
        found: list[dict[Any, Any]] = self.table.to_dict("records")
        return found

    def at(self, places: Places) -> Chosen:
        """Return those at some places among these."""
        return Chosen(self._zones, places if self._places is None else self._places[places])

    def where(self, mask: Mask) -> Chosen:
        """Return those where a mask holds."""
        return self if mask.all() else self.at(np.flatnonzero(mask))

    def numbers(self, column: str) -> Floats:
        """Return a column of numbers."""
        found = self._zones[column].to_numpy(dtype=np.float64)
        return found if self._places is None else found[self._places]

    def names(self, column: str) -> pd.Categorical:
        """Return a column of text in which few differ."""
        return few(self.texts(column))

    def texts(self, column: str) -> Held:
        """Return a column of text, as the table holds it."""
        found: Held = self._zones[column].array
        return found if self._places is None else found.take(self._places)

    def among(self, column: str, *words: str) -> Mask:
        """Tell where a column holds one of some words."""
        found = self._zones[column]
        mask: Mask = np.logical_or.reduce([(found == each).to_numpy(dtype=bool) for each in words])
        return mask if self._places is None else mask[self._places]

    def choice(self, specification: Specification, name: str) -> Names:
        """Return a choice in words for each, empty where nothing is chosen."""
        if specification.by_zone:
            return few(specification.each(name, self.index))
        return str(specification.choice(name) or "")

    def agree(self, specification: Specification, asked: Callable[[str], Any]) -> Mask:
        """Tell what is so of the choices for each; asked once for all that have none of their own.

        Parameters
        ----------
        specification : Specification
        asked : callable
            From a zone_id to yes or no; an empty one means the site.
        """
        found = np.full(len(self), bool(asked("")))
        if specification.by_zone:
            for place in np.flatnonzero(self.index.isin(list(specification.by_zone))).tolist():
                found[place] = bool(asked(str(self.index[place])))
        return found
