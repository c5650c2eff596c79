"""Sites for tests, drawn in metres."""

import numpy as np
import shapely

from lawnmap.found import Feature, Found
from lawnmap.geometry.frame import Frame
from lawnmap.model import Site

FRAME = Frame(-1.55, 53.8)
EMPTY = Site({"type": "FeatureCollection", "lawnmap": {"format": 1, "revision": 0}, "features": []})


def lonlat(*metres):
    return FRAME.to_lonlat(np.array(metres, dtype=float)).tolist()


def box(west, south, east, north):
    ring = lonlat((west, south), (east, south), (east, north), (west, north), (west, south))
    return {"type": "Polygon", "coordinates": [ring]}


def found(*features, crs="OGC:CRS84"):
    made = [
        Feature(geometry, properties, f"feature {number}")
        for number, (geometry, properties) in enumerate(features, start=1)
    ]
    return Found(tuple(made), crs)


def shape_of(site, zone_id):
    return shapely.geometry.mapping(site.zones.geometry[zone_id])
