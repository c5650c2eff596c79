"""The step ``compare``: two surveys of one site, zone by zone, and whether they truly differ."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap.agronomy import ratings, sampling
from lawnmap.agronomy.change import Change, framed_change, mean_change
from lawnmap.model import Site
from lawnmap.processing import cores
from lawnmap.processing.twins import SAME_SHARE
from lawnmap.reference import tables

BETTER, WORSE = "better", "worse"
NOISE = "within the noise"
UNLIKE = "not measured alike"
COLUMNS = {
    "zone_id": "object", "measure": "object", "unit": "object",
    "before": "float64", "before_low": "float64", "before_high": "float64",
    "before_samples": "float64", "before_from": "object",
    "after": "float64", "after_low": "float64", "after_high": "float64",
    "after_samples": "float64", "after_from": "object",
    "change": "float64", "change_low": "float64", "change_high": "float64",
    "verdict": "object", "reason": "object",
}  # fmt: skip
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


class _Survey(NamedTuple):
    zones: gpd.GeoDataFrame
    frames: cores.Frames
    cored: dict[str, list[float]]


def compare(earlier: Site, later: Site, *, level: float = 0.95) -> pd.DataFrame:
    """Return one row a zone and measure (moss cover, thatch): before, after, and a verdict.

    Only what was counted or cored in both surveys has a known noise, and only that is judged. Less
    is better. A core that stands unchanged in the earlier survey was not taken again, and does not
    count for the later one.

    Parameters
    ----------
    earlier, later : Site
    level : float
        Confidence of every interval, between 0 and 1.

    Returns
    -------
    DataFrame
        With COLUMNS, zones in the order of the later survey and those that are gone behind them.
        ``change`` is after less before; ``reason`` says why no verdict can be given.
    """
    same_frame = earlier.placed == later.placed
    before, after = _survey(earlier), _survey(_without(later, earlier, shapes=same_frame))
    rows = []
    for zone_id in dict.fromkeys([*map(str, after.zones.index), *map(str, before.zones.index)]):
        doubt = _doubt(zone_id, before.zones, after.zones, same_frame=same_frame)
        for measure, unit, seen in (("moss cover", "%", _moss), ("thatch", "mm", _thatch)):
            pair = seen(before, zone_id, level), seen(after, zone_id, level)
            rows.append((zone_id, measure, unit, *_judged(measure, *pair, doubt, level)))
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)


def sentence(row: pd.Series) -> str:
    """Return one row of the table in words.

    Examples
    --------
    >>> sentence(pd.Series({"zone_id": "a", "measure": "thatch", "verdict": UNLIKE,
    ...                     "reason": "the zone is new"}))
    'a, thatch: not measured alike (the zone is new).'
    """
    head = f"{row['zone_id']}, {row['measure']}: {row['verdict']}"
    if row["verdict"] == UNLIKE:
        return f"{head} ({row['reason']})."
    unit = "points" if row["unit"] == "%" else row["unit"]
    return (
        f"{head}. {row['before']:.0f} → {row['after']:.0f} {row['unit']}, a change of "
        f"{row['change']:+.1f} {unit} ({row['change_low']:+.1f} to {row['change_high']:+.1f})."
    )


def _survey(site: Site) -> _Survey:
    return _Survey(
        site.zones,
        cores.moss_frames(site.zones, site.features),
        cores.thatch_mm(site.zones, site.features),
    )


def _without(later: Site, earlier: Site, *, shapes: bool) -> Site:
    """Return a site without the cores that stand in an earlier one, there by shape or wherever."""

    def key(feature: dict[str, Any]) -> str:
        where = feature["geometry"] if shapes else None
        return repr((sorted(feature["properties"].items()), where))

    old = {key(e) for e in earlier.document["features"] if e["properties"].get("feature") == "core"}
    return later.with_features([e for e in later.document["features"] if key(e) not in old])


def _doubt(
    zone_id: str, before: gpd.GeoDataFrame, after: gpd.GeoDataFrame, *, same_frame: bool
) -> str:
    """Return why the two surveys are not of the same ground; empty when they are."""
    if zone_id not in before.index:
        return "the zone is new"
    if zone_id not in after.index:
        return "the zone is no longer there"
    if not same_frame:  # the site was placed in between, so shapes say nothing
        return ""
    one, other = (shapely.make_valid(each.geometry[zone_id]) for each in (before, after))
    larger = max(one.area, other.area)
    share = one.intersection(other).area / larger if larger > 0 else 0.0
    if share < SAME_SHARE:
        return f"its outline changed: {100 * share:.0f} % of the ground is the same"
    return ""


def _moss(survey: _Survey, zone_id: str, level: float) -> Seen:
    frames = survey.frames.get(zone_id)
    if not frames:
        return _without_samples(survey, zone_id, "moss_cover_pct", "moss_rating", "moss")
    hits, points = (sum(column) for column in zip(*frames, strict=True))
    low, high = sampling.wilson(hits, points, level)
    return Seen(100 * hits / points, 100 * low, 100 * high, points, COUNTED, frames)


def _thatch(survey: _Survey, zone_id: str, level: float) -> Seen:
    taken = survey.cored.get(zone_id)
    if not taken:
        return _without_samples(survey, zone_id, "thatch_mm", "thatch_rating", "thatch")
    if len(taken) < FEWEST_CORES:
        return Seen(taken[0], NAN, NAN, 1, CORED, taken)
    mean, low, high = sampling.mean_interval(taken, level)
    return Seen(mean, max(low, 0.0), high, len(taken), CORED, taken)


def _without_samples(survey: _Survey, zone_id: str, figure: str, rated: str, scale: str) -> Seen:
    if zone_id not in survey.zones.index:
        return Seen()
    zone = survey.zones.loc[zone_id]
    if pd.notna(zone[figure]):
        return Seen(float(zone[figure]), rests_on=MEASURED)
    if pd.isna(zone[rated]):
        return Seen()
    low, high = ratings.band(float(zone[rated]), tables.bands(scale))
    return Seen(NAN, float(low), float(high) if np.isfinite(high) else NAN, rests_on=RATED)


def _judged(measure: str, before: Seen, after: Seen, doubt: str, level: float) -> tuple[Any, ...]:
    """Return the cells of a row from ``before`` on."""
    reason = doubt or _not_alike(before, after)
    change = Change(NAN, NAN, NAN)
    if not reason and measure == "thatch":
        change = mean_change(before.samples, after.samples, level)
    elif not reason:
        found = framed_change(before.samples, after.samples, level)
        change = Change(*(100 * each for each in found))
    verdict = UNLIKE if reason else NOISE
    if change.clear:
        verdict = BETTER if change.by < 0 else WORSE
    return (*before[:5], *after[:5], *change, verdict, reason)


def _not_alike(before: Seen, after: Seen) -> str:
    """Return why two looks at one zone cannot be compared; empty when they can."""
    if not before.rests_on or not after.rests_on:
        looks = [when for when, each in (("before", before), ("after", after)) if not each.rests_on]
        return f"not looked at {' and '.join(looks)}"
    if before.rests_on != after.rests_on:
        return f"{before.rests_on} before, {after.rests_on} after"
    if not before.samples:
        return f"{before.rests_on} both times, which has no known noise: count points, take cores"
    fewest = min(len(before.samples), len(after.samples))
    if before.rests_on == CORED and fewest < FEWEST_CORES:
        return "a single core has no spread: take at least two each time"
    return ""
