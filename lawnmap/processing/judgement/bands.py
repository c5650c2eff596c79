"""What is known of moss or thatch: a band, the value judged, its class, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy import ratings, sampling
from lawnmap.processing.judgement.cases import Codes, Mask, first, said
from lawnmap.processing.surveying import cores as cores_of
from lawnmap.reference import tables
from lawnmap.reference.rows import RatingClass

Floats = npt.NDArray[np.float64]
# Value judged, lowest and highest of what was cored or counted in one zone.
Cored = tuple[float, float, float]

NOT_RATED = "not rated"
NOT_MEASURED = "not measured"
MOSS, LAWN_SCALE, FINE_SCALE = "moss", "thatch", "thatch fine"
RESTS_ON = ("measured", "cores", "rating", "")
RATED, UNKNOWN = RESTS_ON.index("rating"), RESTS_ON.index("")


class Classes(NamedTuple):
    """The class of each zone, as a place among `rows`; beyond them it is not known.

    Attributes
    ----------
    codes : array of int
    rows : tuple of RatingClass
    unknown : tuple of str
        Words for what is not known, by the codes that follow those of the rows.
    """

    codes: Codes
    rows: tuple[RatingClass, ...]
    unknown: tuple[str, ...]

    def of(self, read: Callable[[RatingClass], Any], missing: Any) -> npt.NDArray[Any]:
        """Return what is read from the class of each zone; every class is read once."""
        found = [read(each) for each in self.rows]
        return np.array([*found, *(missing for _ in self.unknown)])[self.codes]

    def words(self) -> pd.Categorical:
        """Return the class of each zone in words."""
        return said(self.codes, [*(each.word for each in self.rows), *self.unknown])


class Band(NamedTuple):
    """What is known of moss [%] or thatch [mm] in each zone.

    Attributes
    ----------
    at : array
        The value judged: a measurement, the mean of cores, or the lower edge of a class.
    low, high : array
        What the assessment allows. A class is never more than its band.
    classes : Classes
        The class itself.
    rests_on : array of int
        Place in RESTS_ON.
    """

    at: Floats
    low: Floats
    high: Floats
    classes: Classes
    rests_on: Codes


def moss(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> Band:
    """Return what is known of the moss cover [%]; a measurement beats cores, cores a rating."""
    counted = {
        zone_id: _share(int(cores["moss_hits"].sum()), int(cores["moss_points"].sum()))
        for zone_id, cores in cores_of.by_zone(zones, features, ["moss_hits", "moss_points"])
        if cores["moss_hits"].sum() <= cores["moss_points"].sum()
    }
    return _band(zones, "moss_cover_pct", "moss_rating", MOSS, counted)


def thatch(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, fine: Mask) -> Band:
    """Return what is known of the thatch [mm], in classes of the scale of the turf type.

    On fine turf a class by eye counts as nothing: it turns on millimetres.
    """
    cored = {
        zone_id: _mean(list(cores["thatch_mm"]))
        for zone_id, cores in cores_of.by_zone(zones, features, ["thatch_mm"])
    }
    band = _band(zones, "thatch_mm", "thatch_rating", LAWN_SCALE, cored)
    if not fine.any():
        return band
    void = fine & (band.rests_on == RATED)
    at, low, high = (np.where(void, np.nan, part) for part in band[:3])
    lawn, by_mm = band.classes, ratings.rating(at, tables.bands(FINE_SCALE))
    known = len(lawn.rows)
    rows = (*lawn.rows, *tables.scale(FINE_SCALE))
    # What is not known follows the rows of both scales, which moves it on.
    on_lawn = np.where(lawn.codes < known, lawn.codes, len(rows))
    on_fine = np.where(np.isnan(by_mm), len(rows) + 1, known + np.nan_to_num(by_mm))
    codes = np.where(fine, on_fine, on_lawn).astype(np.int8)
    classes = Classes(codes, rows, (NOT_RATED, NOT_MEASURED))
    return Band(at, low, high, classes, np.where(void, UNKNOWN, band.rests_on))


def _band(
    zones: gpd.GeoDataFrame, measured: str, rated: str, scale: str, cored: Mapping[str, Cored]
) -> Band:
    rows, bands = tables.scale(scale), tables.bands(scale)
    value, given = (zones[column].to_numpy(dtype=float) for column in (measured, rated))
    seen = ~np.isnan(value)
    low, high = ratings.assessed(value, given, bands)
    at, by_core = low, np.zeros(len(zones), dtype=bool)
    if cored:
        mean, least, most = _by_row(zones.index, cored)
        by_core = ~seen & ~np.isnan(mean)
        pairs = ((mean, low), (least, low), (most, high))
        at, low, high = (np.where(by_core, core, other) for core, other in pairs)
    by_rating = ~(seen | by_core | np.isnan(given))
    rating = np.where(by_rating, given, ratings.rating(at, bands))
    codes = np.where(np.isnan(rating), len(rows), rating).astype(np.int8)
    rests_on = first([seen, by_core, by_rating], len(zones))
    return Band(at, low, high, Classes(codes, rows, (NOT_RATED,)), rests_on)


def _by_row(zone_ids: pd.Index, cored: Mapping[str, Cored]) -> npt.NDArray[np.float64]:
    """Return what was cored as three rows, a column a zone; NaN where nothing was."""
    found = np.full((3, len(zone_ids)), np.nan)
    names = zone_ids.astype(str)
    for place in np.flatnonzero(names.isin(list(cored))).tolist():
        found[:, place] = cored[names[place]]
    return found


def _share(hits: int, points: int) -> Cored:
    low, high = sampling.wilson(hits, points)
    return 100 * hits / points, 100 * low, 100 * high


def _mean(thickness_mm: list[float]) -> Cored:
    """Return mean and interval of cores; a single core says no more than its class."""
    if len(thickness_mm) == 1:
        bands = tables.bands(LAWN_SCALE)
        low, high = ratings.band(ratings.rating(thickness_mm, bands), bands)
        return thickness_mm[0], float(low[0]), float(high[0])
    mean, low_mm, high_mm = sampling.mean_interval(thickness_mm)
    return mean, max(low_mm, 0.0), high_mm
