"""What an assessment says of moss and thatch: a band, the value judged, and what it rests on."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import ratings, sampling
from lawnmap.agronomy import thatch as formulas
from lawnmap.model import Specification
from lawnmap.processing.surveying import cores as cores_of
from lawnmap.reference import tables
from lawnmap.reference.rows import RatingClass

Floats = npt.NDArray[np.float64]
Texts = npt.NDArray[np.object_]
Mask = npt.NDArray[np.bool_]

NOT_RATED = "not rated"
NOT_MEASURED = "not measured"
LAWN_SCALE, FINE_SCALE = "thatch", "thatch fine"


class Band(NamedTuple):
    """What is known of moss [%] or thatch [mm] in each zone.

    Attributes
    ----------
    at : array
        The value judged: a measurement, the mean of cores, or the lower edge of a class.
    low, high : array
        What the assessment allows. A class is never more than its band.
    rating : array
        The class itself; NaN when nothing is known.
    rests_on : array of str
        ``measured``, ``cores``, ``rating`` or empty.
    """

    at: Floats
    low: Floats
    high: Floats
    rating: Floats
    rests_on: Texts


def turf_types(zones: gpd.GeoDataFrame, specification: Specification) -> Texts:
    """Return the turf type of each zone: as mapped, else as chosen."""
    chosen = [specification.choice("turf_type", str(zone_id)) for zone_id in zones.index]
    return np.array(
        [
            mapped if isinstance(mapped, str) and mapped else other or "general lawn"
            for mapped, other in zip(zones["turf_type"], chosen, strict=True)
        ],
        dtype=object,
    )


def fine(turf_type: Texts) -> Mask:
    """Return where the turf turns on millimetres that a class cannot tell."""
    return np.array([tables.turf(each).measured_only for each in turf_type], dtype=bool)


def moss(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> Band:
    """Return what is known of the moss cover [%]; a measurement beats cores, cores a rating."""
    counted = {
        zone_id: _share(int(cores["moss_hits"].sum()), int(cores["moss_points"].sum()))
        for zone_id, cores in cores_of.by_zone(zones, features, ["moss_hits", "moss_points"])
        if cores["moss_hits"].sum() <= cores["moss_points"].sum()
    }
    return _band(zones, "moss_cover_pct", "moss_rating", "moss", counted)


def thatch(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, turf_type: Texts) -> Band:
    """Return what is known of the thatch [mm], rated on the lawn scale.

    On fine turf a class counts as nothing: see :func:`fine`.
    """
    cored = {
        zone_id: _mean(list(cores["thatch_mm"]))
        for zone_id, cores in cores_of.by_zone(zones, features, ["thatch_mm"])
    }
    band = _band(zones, "thatch_mm", "thatch_rating", LAWN_SCALE, cored)
    void = fine(turf_type) & (band.rests_on == "rating")
    at, low, high, rating = (np.where(void, np.nan, part) for part in band[:4])
    return Band(at, low, high, rating, np.where(void, "", band.rests_on).astype(object))


def moss_words(band: Band) -> Texts:
    """Return the moss class in words."""
    return _words(band.rating, "moss", NOT_RATED)


def thatch_words(band: Band, turf_type: Texts) -> Texts:
    """Return the thatch class in words, on the scale of the turf type."""
    by_mm = ratings.rating(band.at, tables.bands(FINE_SCALE))
    return np.where(
        fine(turf_type),
        _words(by_mm, FINE_SCALE, NOT_MEASURED),
        _words(band.rating, LAWN_SCALE, NOT_RATED),
    )


def moss_classes(band: Band) -> list[RatingClass | None]:
    """Return the class of moss of each zone; None where nothing is known."""
    return _classes(band.rating, "moss")


def thatch_classes(band: Band, turf_type: Texts) -> list[RatingClass | None]:
    """Return the class of thatch of each zone, on the scale of the turf type."""
    on_fine = _classes(ratings.rating(band.at, tables.bands(FINE_SCALE)), FINE_SCALE)
    on_lawn = _classes(band.rating, LAWN_SCALE)
    choices = zip(fine(turf_type), on_fine, on_lawn, strict=True)
    return [of_fine if is_fine else of_lawn for is_fine, of_fine, of_lawn in choices]


def thatch_states(band: Band, turf_type: Texts) -> Texts:
    """Return what the thatch calls for by the limits of the turf type; empty where not known."""
    states = np.full(len(band.at), "", dtype=object)
    for name in sorted(set(turf_type)):
        turf = tables.turf(name)
        found = formulas.state(
            band.at,
            act_mm=tables.value(turf.act).number,
            staged_mm=tables.value(turf.staged).number,
            too_deep_mm=tables.value(turf.too_deep).number,
        )
        states = np.where(turf_type == name, found.astype(object), states)
    return states


def deep_mat(moss_depth_mm: Floats) -> Mask:
    """Return whether the moss is a mat that iron would only burn the top of."""
    return np.asarray(moss_depth_mm >= tables.value("moss_deep_mat_mm").number)


def _band(
    zones: gpd.GeoDataFrame,
    measured: str,
    rated: str,
    scale: str,
    cores: dict[str, tuple[float, float, float]],
) -> Band:
    bands = tables.bands(scale)
    value = zones[measured].to_numpy(dtype=float)
    given = zones[rated].to_numpy(dtype=float)
    nothing = (np.nan, np.nan, np.nan)
    cored = np.array([cores.get(str(each), nothing) for each in zones.index]).reshape(-1, 3)
    by_core = np.isnan(value) & ~np.isnan(cored[:, 0])
    by_rating = np.isnan(value) & ~by_core & ~np.isnan(given)
    low, high = ratings.assessed(value, np.where(by_core, np.nan, given), bands)
    low, high = np.where(by_core, cored[:, 1], low), np.where(by_core, cored[:, 2], high)
    at = np.where(by_core, cored[:, 0], low)
    rests_on = np.select(
        [~np.isnan(value), by_core, by_rating], ["measured", "cores", "rating"], ""
    )
    rating = np.where(by_rating, given, ratings.rating(at, bands))
    return Band(at, low, high, rating, rests_on.astype(object))


def _share(hits: int, points: int) -> tuple[float, float, float]:
    low, high = sampling.wilson(hits, points)
    return 100 * hits / points, 100 * low, 100 * high


def _mean(thickness_mm: list[float]) -> tuple[float, float, float]:
    """Return mean and interval of cores; a single core says no more than its class."""
    if len(thickness_mm) == 1:
        bands = tables.bands(LAWN_SCALE)
        low, high = ratings.band(ratings.rating(thickness_mm, bands), bands)
        return thickness_mm[0], float(low[0]), float(high[0])
    mean, low_mm, high_mm = sampling.mean_interval(thickness_mm)
    return mean, max(low_mm, 0.0), high_mm


def _classes(rating: Floats, scale: str) -> list[RatingClass | None]:
    rows = tables.scale(scale)
    return [None if np.isnan(each) else rows[int(each)] for each in rating]


def _words(rating: Floats, scale: str, missing: str) -> Texts:
    return np.array(
        [each.word if each else missing for each in _classes(rating, scale)], dtype=object
    )
