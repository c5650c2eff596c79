"""Weather as it was measured or foretold, one value a day."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Series = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Weather:
    """Daily values from a first day on, without a gap in the days; NaN where there is no figure.

    Attributes
    ----------
    first : date
    mean_c, min_c, max_c : (n,) array
        Mean, lowest and highest temperature of the air [°C].
    soil_c : (n,) array
        Temperature of the soil [°C].
    rain_mm : (n,) array
        Rain [mm].
    frost : (n,) array
        1 with frost, 0 without.

    Raises
    ------
    ValueError
        When the arrays are empty or not of one length.
    """

    first: dt.date
    mean_c: Series = field(repr=False)
    min_c: Series = field(repr=False)
    max_c: Series = field(repr=False)
    soil_c: Series = field(repr=False)
    rain_mm: Series = field(repr=False)
    frost: Series = field(repr=False)

    def __post_init__(self) -> None:
        """Refuse what is no series of days."""
        if not len(self.mean_c) or len({len(self.of(name)) for name in SERIES}) != 1:
            raise ValueError("the series of weather must hold the same days, and at least one")

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.mean_c)

    @property
    def last(self) -> dt.date:
        """The last day."""
        return self.first + dt.timedelta(days=len(self) - 1)

    def of(self, name: str) -> Series:
        """Return one series by its name."""
        series: Series = getattr(self, name)
        return series

    def days(self, name: str, first: dt.date, last: dt.date) -> Series:
        """Return the series of that name for other days, as :meth:`placed` does."""
        return self.placed(self.of(name), first, last)

    def placed(self, series: Series, first: dt.date, last: dt.date) -> Series:
        """Return values of the file's days for other days; NaN outside the file.

        Parameters
        ----------
        series : (n,) array
            One value a day of the file.
        first, last : date
            Both in.
        """
        place = (first - self.first).days + np.arange((last - first).days + 1)
        known = (place >= 0) & (place < len(self))
        return np.where(known, series[np.where(known, place, 0)], np.nan)

    @property
    def gaps(self) -> tuple[tuple[dt.date, dt.date], ...]:
        """Runs of days of which nothing is known: first and last of each."""
        empty = np.all([np.isnan(self.of(name)) for name in SERIES], axis=0)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], empty, [False]])))
        return tuple(
            (self._day(start), self._day(end - 1)) for start, end in edges.reshape(-1, 2).tolist()
        )

    def _day(self, place: int) -> dt.date:
        return self.first + dt.timedelta(days=place)


SERIES = tuple(each.name for each in fields(Weather) if each.name != "first")
