"""What one kind of work keeps away from on a site: each thing with its strip and why it is kept."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap.geometry import strip
from lawnmap.model import LONLAT, Machine, Specification
from lawnmap.processing.setting_out.hand import LEFT, POINT, Rule, rules
from lawnmap.processing.setting_out.legal import Width
from lawnmap.reference import tables

Shapes = npt.NDArray[np.object_]

UNTREATED, HAND = "untreated", "hand"
SORTS = ("water_kind", "drain_kind", "hidden_kind")
COLUMNS = ("strip", "because", "width_m", "set_by", "instead")
SITE = "site"  # of a feature, where they are of many sites


def places(
    kind: str,
    lawn: Shapes,
    features: gpd.GeoDataFrame,
    specification: Specification,
    *,
    legal: dict[str, Width],
    machine: Machine | None,
) -> gpd.GeoDataFrame:
    """Return the strips along everything that one kind of work keeps away from.

    Parameters
    ----------
    kind : str
    lawn : (n,) array of polygons
        Strips that reach none of it are left out.
    features : GeoDataFrame
    specification : Specification
    legal : dict of str to Width
        See :func:`lawnmap.processing.setting_out.legal.legal_widths`; all of them set.
    machine : Machine or None
        Applicator or blades.

    Returns
    -------
    GeoDataFrame
        Strip, because, width_m, set_by and instead, and the strip itself, longitude/latitude; and
        the site of each, where the features have one.
    """
    found = [_legal(features, each, width) for each, width in legal.items()]
    found += [_of_rule(features, each) for each in rules(kind, specification, machine)]
    kept = [each for each in found if len(each)]
    if not kept:
        return _table(pd.DataFrame(columns=[*COLUMNS, "shape", "reach_m"]), np.zeros(0, object))
    table = pd.concat(kept, ignore_index=True)
    things, reach = np.asarray(table["shape"], dtype=object), table["reach_m"].to_numpy(dtype=float)
    near = strip.near(lawn, things, reach)
    return _table(table[near], strip.around(things[near], reach[near]))


def called(row: dict[str, Any]) -> str:
    """Return what a feature is called where it is the reason for a strip.

    Examples
    --------
    >>> called({"feature": "paving", "name": "Terrace"})
    'Terrace (paving)'
    >>> called({"feature": "tree", "name": "Oak"})
    'stem of Oak'
    >>> called({"feature": "water", "water_kind": "pond", "name": None})
    'pond'
    """
    feature, name = str(row["feature"]), str(row.get("name") or "")
    sort = next((str(row[each]) for each in SORTS if isinstance(row.get(each), str)), feature)
    if feature == "tree":
        return f"stem of {name or 'a tree'}"
    if not name:
        return sort
    return name if sort.lower() in name.lower() else f"{name} ({sort})"


def names_of(features: gpd.GeoDataFrame) -> Shapes:
    """Return what each feature is called; of many sites, where nobody reads it, its kind."""
    if SITE in features:
        return np.asarray(features["feature"], dtype=object)
    words = features.drop(columns=features.geometry.name).to_dict("records")
    names = [called({str(key): value for key, value in row.items()}) for row in words]
    return np.array(names, dtype=object)


def _legal(features: gpd.GeoDataFrame, feature: str, width: Width) -> pd.DataFrame:
    here = features[features["feature"] == feature]
    return _rows(here, UNTREATED, width.metres, width.set_by, LEFT)


def _of_rule(features: gpd.GeoDataFrame, rule: Rule) -> pd.DataFrame:
    here = features[features["feature"].isin(rule.features)]
    if rule.shape:
        point = shapely.get_dimensions(np.asarray(here.geometry.array, dtype=object)) == 0
        here = here[point == (rule.shape == POINT)]
    # What lies deeper than any blade comes is no reason to lift.
    deep = here["depth_mm"].to_numpy(dtype=float) > tables.value("hidden_deep_mm").number
    here = here[~(deep & (here["feature"] == "hidden").to_numpy(dtype=bool))]
    return _rows(here, HAND, rule.width_m, rule.set_by, rule.instead)


def _rows(
    here: gpd.GeoDataFrame, sort: str, width_m: float, set_by: str, instead: str
) -> pd.DataFrame:
    """Return one row a feature; a tree is kept away from at its bark, wherever its crown ends."""
    shapes = np.asarray(here.geometry.array, dtype=object)
    tree = (here["feature"] == "tree").to_numpy(dtype=bool)
    shapes = np.where(tree, shapely.centroid(shapes), shapes)
    stem = np.where(tree, np.nan_to_num(here["stem_m"].to_numpy(dtype=float)) / 2, 0.0)
    return pd.DataFrame(
        {
            "strip": sort,
            "because": names_of(here),
            "width_m": width_m,
            "set_by": set_by,
            "instead": instead,
            "shape": shapes,
            "reach_m": np.where(width_m > 0, width_m + stem, 0.0),
            **({SITE: here[SITE].to_numpy()} if SITE in here else {}),
        }
    )


def _table(rows: pd.DataFrame, strips: Shapes) -> gpd.GeoDataFrame:
    return gpd.GeoDataFrame(
        rows[[each for each in (*COLUMNS, SITE) if each in rows]].reset_index(drop=True),
        geometry=list(strips),
        crs=LONLAT,
    )
