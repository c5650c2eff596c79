"""What one survey of a site says of moss cover and thatch, zone by zone, and how surely."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy import ratings, sampling
from lawnmap.model import Site
from lawnmap.processing.surveying import cores
from lawnmap.reference import tables

COUNTED, CORED, MEASURED, RATED = "counted on points", "cored", "one figure", "rated by eye"
NAN = float("nan")
FEWEST_CORES = 2


class Seen(NamedTuple):
    """What one survey says of one measure in one zone.

    ``samples`` are the frames (hits, points) or cores [mm] it rests on; none when it rests on one
    figure or a rating.
    """

    at: float = NAN
    low: float = NAN
    high: float = NAN
    number: float = NAN
    rests_on: str = ""
    samples: Sequence[Any] = ()


class Survey(NamedTuple):
    """The zones of a survey, with the frames and cores in each."""

    zones: gpd.GeoDataFrame
    frames: cores.Frames
    cored: dict[str, list[float]]


def survey(site: Site) -> Survey:
    """Return a site as a survey."""
    return Survey(
        site.zones,
        cores.moss_frames(site.zones, site.features),
        cores.thatch_mm(site.zones, site.features),
    )


def moss(survey: Survey, zone_id: str, level: float = 0.95) -> Seen:
    """Return the moss cover of a zone [%], with the score interval when points were counted."""
    frames = survey.frames.get(zone_id)
    if not frames:
        return _without_samples(survey, zone_id, "moss_cover_pct", "moss_rating", "moss")
    hits, points = (sum(column) for column in zip(*frames, strict=True))
    low, high = sampling.wilson(hits, points, level)
    return Seen(100 * hits / points, 100 * low, 100 * high, points, COUNTED, frames)


def thatch(survey: Survey, zone_id: str, level: float = 0.95) -> Seen:
    """Return the thatch of a zone [mm], with Student's interval when two cores were taken."""
    taken = survey.cored.get(zone_id)
    if not taken:
        return _without_samples(survey, zone_id, "thatch_mm", "thatch_rating", "thatch")
    if len(taken) < FEWEST_CORES:
        return Seen(taken[0], NAN, NAN, 1, CORED, taken)
    mean, low, high = sampling.mean_interval(taken, level)
    return Seen(mean, max(low, 0.0), high, len(taken), CORED, taken)


MEASURES: dict[str, tuple[str, Callable[[Survey, str, float], Seen]]] = {
    "moss cover": ("%", moss),
    "thatch": ("mm", thatch),
}


def _without_samples(survey: Survey, zone_id: str, figure: str, rated: str, scale: str) -> Seen:
    if zone_id not in survey.zones.index:
        return Seen()
    zone = survey.zones.loc[zone_id]
    if pd.notna(zone[figure]):
        return Seen(float(zone[figure]), rests_on=MEASURED)
    if pd.isna(zone[rated]):
        return Seen()
    low, high = ratings.band(float(zone[rated]), tables.bands(scale))
    return Seen(NAN, float(low), float(high) if np.isfinite(high) else NAN, rests_on=RATED)
