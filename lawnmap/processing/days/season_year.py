"""Seasons as days of one year of work, north or south of the equator."""

from __future__ import annotations

import calendar
import datetime as dt
from dataclasses import dataclass, replace

import geopandas as gpd

from lawnmap.model import Specification
from lawnmap.processing.days.season_days import HALF_A_YEAR, MonthDay, half_a_year_on
from lawnmap.processing.days.season_place import place_of
from lawnmap.processing.iron.label_card import first_day
from lawnmap.reference import tables
from lawnmap.reference.rows import Season


@dataclass(frozen=True)
class SeasonYear:
    """A year that begins with spring's work and ends with autumn's.

    Attributes
    ----------
    year : int
        The year as the north counts it; south of the equator its months lie six months earlier.
    south : bool
    day : date
        The day from which it is looked at.
    """

    year: int
    south: bool
    day: dt.date

    @classmethod
    def of(cls, day: dt.date, *, south: bool) -> SeasonYear:
        """Return the year that a day lies in."""
        return cls(day.year + int(south and day.month > HALF_A_YEAR), south, day)

    @property
    def season(self) -> tuple[int, int]:
        """The year, and 0 for its spring or 1 for its autumn, in which work of the day falls."""
        return self.year, int(not self.in_spring())

    def next(self) -> SeasonYear:
        """Return the year after."""
        return replace(self, year=self.year + 1)

    def first(self, role: str, season: str, *, seed: str = "") -> dt.date:
        """Return the first day of a role's season."""
        return self._at(_season(role, season, seed).first)

    def last(self, role: str, season: str, *, seed: str = "") -> dt.date:
        """Return the last day of a role's season."""
        return self._at(_season(role, season, seed).last)

    def in_spring(self) -> bool:
        """Tell whether light work of this year's spring can still be done."""
        return self.day <= self.last("blades light", "spring")

    def _at(self, at: MonthDay) -> dt.date:
        year = self.year - 1 if self.south and at[0] <= HALF_A_YEAR else self.year
        month, day = half_a_year_on(at) if self.south else at
        return dt.date(year, month, min(day, calendar.monthrange(year, month)[1]))


def season_year(zones: gpd.GeoDataFrame, specification: Specification) -> SeasonYear:
    """Return the year that the first day of a site's work lies in."""
    south = place_of(zones, specification).south
    return SeasonYear.of(first_day(specification), south=south)


def _season(role: str, season: str, seed: str) -> Season:
    return next(
        each
        for each in tables.seasons()
        if each.role == role and each.season == season and (not seed or each.seed == seed)
    )
