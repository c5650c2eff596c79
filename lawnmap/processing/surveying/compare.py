"""The step ``compare``: two surveys of one site, zone by zone, and whether they truly differ."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import pandas as pd
import shapely

from lawnmap.agronomy.change import Change, framed_change, mean_change
from lawnmap.agronomy.enough import cores_more, frames_more
from lawnmap.model import Site
from lawnmap.processing.entering.twins import SAME_SHARE
from lawnmap.processing.surveying.seen import CORED, FEWEST_CORES, MEASURES, Seen, survey

BETTER, WORSE = "better", "worse"
NOISE = "within the noise"
UNLIKE = "not measured alike"
NAN = float("nan")
COLUMNS = {
    "zone_id": "object", "measure": "object", "unit": "object",
    "before": "float64", "before_low": "float64", "before_high": "float64",
    "before_samples": "float64", "before_from": "object",
    "after": "float64", "after_low": "float64", "after_high": "float64",
    "after_samples": "float64", "after_from": "object",
    "change": "float64", "change_low": "float64", "change_high": "float64",
    "verdict": "object", "reason": "object", "more": "float64", "more_frames": "float64",
}  # fmt: skip


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
        ``change`` is after less before; ``reason`` says why no verdict can be given; ``more`` is
        how many more points (in ``more_frames``) or cores would tell a change that is within the
        noise, and NaN where none would.
    """
    same_frame = earlier.placed == later.placed
    before, after = survey(earlier), survey(without(later, earlier, shapes=same_frame))
    rows = []
    for zone_id in dict.fromkeys([*map(str, after.zones.index), *map(str, before.zones.index)]):
        doubt = _doubt(zone_id, before.zones, after.zones, same_frame=same_frame)
        for measure, (unit, seen) in MEASURES.items():
            pair = seen(before, zone_id, level), seen(after, zone_id, level)
            rows.append((zone_id, measure, unit, *_judged(measure, *pair, doubt, level)))
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)


def without(later: Site, earlier: Site, *, shapes: bool) -> Site:
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
    one, other = before.geometry[zone_id], after.geometry[zone_id]
    if shapely.equals_identical(one, other):
        return ""
    if not (one.is_valid and other.is_valid):  # mended, it would be another ground, or take minutes
        return "its outline is not valid and changed"
    larger = max(one.area, other.area)
    share = one.intersection(other).area / larger if larger > 0 else 0.0
    if share < SAME_SHARE:
        return f"its outline changed: {100 * share:.0f} % of the ground is the same"
    return ""


def _judged(measure: str, before: Seen, after: Seen, doubt: str, level: float) -> tuple[Any, ...]:
    """Return the cells of a row from ``before`` on."""
    reason = doubt or _not_alike(before, after)
    change, verdict, more = Change(NAN, NAN, NAN), UNLIKE, (NAN, NAN)
    if not reason:
        samples = before.samples, after.samples
        if measure == "thatch":
            change = mean_change(*samples, level)
        else:
            change = Change(*(100 * each for each in framed_change(*samples, level)))
        verdict = NOISE
        if change.clear:
            verdict = BETTER if change.by < 0 else WORSE
        elif change.by != 0:
            more = _more(measure, before, after, level)
    return (*before[:5], *after[:5], *change, verdict, reason, *more)


def _more(measure: str, before: Seen, after: Seen, level: float) -> tuple[float, float]:
    """Return how many more points or cores would tell, and in how many frames; NaN: none would."""
    if measure == "thatch":
        cores = cores_more(before.samples, after.samples, level)
        return (NAN if cores is None else cores), NAN
    frames = frames_more(before.samples, after.samples, level)
    if frames is None:
        return NAN, NAN
    return round(after.number / len(after.samples) * frames), frames


def _not_alike(before: Seen, after: Seen) -> str:
    """Return why two looks at one zone cannot be compared; empty when they can."""
    if not before.rests_on or not after.rests_on:
        looks = [when for when, each in (("before", before), ("after", after)) if not each.rests_on]
        return f"not looked at {' and '.join(looks)}"
    if before.rests_on != after.rests_on:
        return f"{before.rests_on} before, {after.rests_on} after"
    if not before.samples:
        return f"{before.rests_on} both times"
    fewest = min(len(before.samples), len(after.samples))
    if before.rests_on == CORED and fewest < FEWEST_CORES:
        return "a single core has no spread: take at least two each time"
    return ""
