"""Gardens for tests of the sun, drawn in metres about a place on earth."""

import datetime as dt

import numpy as np
import shapely

from lawnmap.found import Heights
from lawnmap.geometry.frame import Frame
from lawnmap.jobs.measure import measure
from lawnmap.model import Site
from lawnmap.processing.sun.zone_sun import Spell, zone_sun

LEEDS = Frame(-1.55, 53.8)  # the place of the reference points in geo.md, 5.4 and 5.5
EQUINOX = dt.date(2026, 3, 20)
SUMMER, WINTER = dt.date(2026, 6, 21), dt.date(2026, 12, 21)
SEASON = Spell(dt.date(2026, 4, 1), dt.date(2026, 9, 30), season=True)


def feature(shape, frame=LEEDS, /, **properties):
    placed = shapely.transform(shape, frame.to_lonlat)
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": shapely.geometry.mapping(placed),
    }


def zone(shape, name="a", frame=LEEDS, /, **facts):
    return feature(shape, frame, feature="zone", zone_id=name, **facts)


def dot(x, y, name="a", frame=LEEDS, /):
    """Return a zone too small for the grid, so that its one point is its middle."""
    return zone(shapely.box(x - 0.01, y - 0.01, x + 0.01, y + 0.01), name, frame)


def building(shape, height, frame=LEEDS, /, **facts):
    return feature(shape, frame, feature="building", height_m=height, **facts)


def tree(x, y, frame=LEEDS, /, **facts):
    usual = {"height_m": 14, "crown_base_m": 3, "crown_radius_m": 7, "leaf": "deciduous"}
    return feature(shapely.Point(x, y), frame, feature="tree", **{**usual, **facts})


def site(*features, heights=None, **header):
    head = {"format": 1, "revision": 1, "title": "T", "placed": True, **header}
    return Site({"type": "FeatureCollection", "lawnmap": head, "features": list(features)}, heights)


def on(day):
    return Spell(day, day, season=False)


def plane_heights(slope_deg, towards_deg):
    """Return heights every 2 m on a plane that falls towards a bearing."""
    x, y = (each.ravel() for each in np.meshgrid(np.arange(-20.0, 21, 2), np.arange(-20.0, 21, 2)))
    along = x * np.sin(np.radians(towards_deg)) + y * np.cos(np.radians(towards_deg))
    z = 100 - along * np.tan(np.radians(slope_deg))
    lonlat = LEEDS.to_lonlat(np.column_stack([x, y]))
    return Heights(np.column_stack([lonlat, z]))


def sunlight(made, spell, step_m=None):
    measured = measure(made)
    return zone_sun(
        measured.zones, measured.lawn, made.features, made.heights, spell, step_m=step_m
    )


def hours(made, spell, step_m=None):
    """Return the mean hours of each zone."""
    found = sunlight(made, spell, step_m)
    return {name: each.mean_h for name, each in found.zones.items()}
