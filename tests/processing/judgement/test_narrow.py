"""Ground too narrow for a machine, anywhere on the earth. Widths in metres are the check."""

import geopandas as gpd
import numpy as np
import pytest
import shapely

from lawnmap.geometry import ellipsoid
from lawnmap.geometry.frame import Frame
from lawnmap.model import LONLAT
from lawnmap.processing.judgement.narrow import too_narrow

PLACES = [(-1.55, 53.8), (12.0, 0.0), (179.9999, -41.3), (25.0, 69.9), (-70.0, -54.0)]


def table(*shapes):
    """Return measured zones from outlines in degrees."""
    outlines = np.array(shapes, dtype=object)
    area, edge = ellipsoid.areas(outlines), ellipsoid.perimeters(outlines)
    columns = {"outline_area_m2": area, "perimeter_m": edge}
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=LONLAT)


def placed(shape, longitude=-1.55, latitude=53.8):
    return Frame(longitude, latitude).round(np.array([shape], dtype=object))[0]


def narrow(zones, width_m):
    every = np.arange(len(zones))
    return too_narrow(zones, every, np.full(len(zones), width_m)).tolist()


@pytest.mark.parametrize("turn", [0, 37, 90])
def test_verges_far_apart_in_one_table(turn):
    verges = [
        placed(shapely.affinity.rotate(shapely.box(-30, -width / 2, 30, width / 2), turn), *where)
        for where in PLACES
        for width in (0.9, 1.1)
    ]
    assert narrow(table(*verges), 1.0) == [True, False] * len(PLACES)
    assert narrow(table(*verges), 1.2) == [True, True] * len(PLACES)
    assert narrow(table(*verges), 0.8) == [False, False] * len(PLACES)


def test_half_of_it_wide_enough_is_too_little():
    wide, thin = shapely.box(0, 0, 10, 2), shapely.box(10, 0, 70, 0.5)
    both = placed(shapely.union(wide, thin))  # 20 and 30 m²
    much = placed(shapely.union(shapely.box(-100, 0, 10, 2), thin))  # 220 and 30 m²
    assert narrow(table(both, much), 1.0) == [True, False]


def test_edges_of_holes_count_though_the_perimeter_leaves_them_out():
    slits = [shapely.box(0.5, y, 19.5, y + 0.02).exterior.coords for y in np.arange(0.4, 19.8, 0.4)]
    lawn, plain = (
        shapely.Polygon(shapely.box(0, 0, 20, 20).exterior.coords, slits),
        shapely.box(0, 0, 20, 20),
    )
    several = shapely.MultiPolygon([lawn, shapely.affinity.translate(lawn, 30)])
    zones = table(*(placed(each) for each in (lawn, plain, several)))
    assert narrow(zones, 0.6) == [True, False, True]
    assert narrow(zones, 0.3) == [False, False, False]


def test_what_nobody_measured_keeps_nothing_out():
    zones = table(placed(shapely.box(0, 0, 60, 0.5))).assign(outline_area_m2=np.nan)
    assert narrow(zones, 1.0) == [False]
    assert too_narrow(zones, np.arange(0), np.array([])).tolist() == []
