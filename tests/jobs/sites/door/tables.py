"""Invented tables of zones for the bulk door, as small as a test wants them."""

import json
from pathlib import Path

import geopandas as gpd
import numpy as np
import shapely

LONLAT = "OGC:CRS84"


def square(east=0.0, north=0.0, side=0.0002):
    """Return a square lawn about 15 m wide, placed by thousandths of a degree."""
    west, south = -2 + east / 1000, 53 + north / 1000
    return shapely.box(west, south, west + side, south + side)


def zones(sites=("A", "A", "B"), **columns):
    """Return zones beside each other, each of the site named."""
    many = len(sites)
    data = {"zone_id": [f"Z{place}" for place in range(many)], "site_id": list(sites), **columns}
    shapes = [square(place % 100, place // 100) for place in range(many)]
    return gpd.GeoDataFrame(data, geometry=shapes, crs=LONLAT)


def feature(place=0, geometry=None, **properties):
    """Return one GeoJSON feature."""
    shape = shapely.geometry.mapping(square(place)) if geometry is None else geometry
    own = {"zone_id": f"Z{place}", **properties}
    return {"type": "Feature", "properties": own, "geometry": shape}


def lines(path, *features, between="\n"):
    """Write features one a line; a text or bytes is written as it is."""
    texts = [each if isinstance(each, str | bytes) else json.dumps(each) for each in features]
    raw = [each.encode() if isinstance(each, str) else each for each in texts]
    Path(path).write_bytes(between.encode().join(raw) + b"\n")
    return path


def content(batches):
    """Return all zones of some batches by their ids, whatever the order."""
    found = {}
    for batch in batches:
        rows = batch.rows
        for values in zip(*(rows[name] for name in rows.columns), strict=True):
            plain = [
                each.wkb if hasattr(each, "wkb") else None if _missing(each) else each
                for each in values
            ]
            found[(values[1], values[0])] = plain
    return found


def _missing(value):
    return value is None or (isinstance(value, float) and np.isnan(value))
