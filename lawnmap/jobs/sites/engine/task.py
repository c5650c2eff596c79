"""What an engine is asked to do with each partition."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar

import geopandas as gpd

Result_co = TypeVar("Result_co", covariant=True)

Progress = Callable[[int, int], None]  # partitions done, of how many


class Task(Protocol[Result_co]):
    """A partition read and worked; it travels to other processes, so it can be pickled.

    The same partition gives the same result and the same files however often, and wherever, it is
    worked: an engine may do so again when a worker has died.
    """

    def read(self, number: int) -> gpd.GeoDataFrame:
        """Return the zones of a partition, whole sites."""
        ...

    def work(self, number: int, zones: gpd.GeoDataFrame) -> Result_co:
        """Work them out; the result is small, what is large goes into files.

        Returns
        -------
        Result_co
        """
        ...


def quiet(done: int, of: int) -> None:
    """Say nothing of how far the work is."""
