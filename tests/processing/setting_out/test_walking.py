"""The way round: from the widest gate, through the zones that have work, none twice."""

import geopandas as gpd
import numpy as np
import pytest
import shapely

from lawnmap.geometry.frame import Frame
from lawnmap.processing.setting_out.walking import walk

FRAME = Frame(-1.55, 53.8)


def on_earth(*shapes):
    return list(FRAME.round(np.array(shapes, dtype=object)))


ROW = gpd.GeoSeries(
    on_earth(*(shapely.box(x, 0, x + 8, 8) for x in (40, 10, 70, 25))),
    index=["c", "a", "d", "b"],
    crs="OGC:CRS84",
)


def gates(*rows):
    widths, places = zip(*rows, strict=True)
    return gpd.GeoDataFrame(
        {"feature": "access", "width_m": widths},
        geometry=on_earth(*(shapely.Point(each) for each in places)),
        crs="OGC:CRS84",
    )


def test_a_row_of_zones_is_walked_along_from_the_widest_gate():
    found = walk(ROW, gates((0.9, (0, 4)), (3.2, (90, 4))), {"a", "b", "c", "d"})
    assert list(found["zone_id"]) == ["d", "c", "b", "a"]
    assert list(found["number"]) == [1, 2, 3, 4]
    assert list(found["leg_m"]) == pytest.approx([16, 30, 15, 15], abs=1e-3)


def test_zones_without_work_are_passed_by():
    found = walk(ROW, gates((3.2, (0, 4))), {"a", "d"})
    assert list(found["zone_id"]) == ["a", "d"]
    ends = [shapely.get_coordinates(each)[-1] for each in found.geometry]
    assert (shapely.contains_xy(ROW.loc[["a", "d"]].to_numpy(), ends)).all()


def test_no_gate_and_no_work_give_no_walk():
    assert walk(ROW, gates((1.0, (0, 0))).iloc[:0], {"a"}).empty
    assert walk(ROW, gates((1.0, (0, 0))), set()).empty


def test_a_site_across_the_date_line_is_walked_across_it():
    fiji = Frame(180.0, -17.0)
    east = [fiji.round(np.array([shapely.box(x, 0, x + 8, 8)], dtype=object))[0] for x in (10, -20)]
    lawn = gpd.GeoSeries(east, index=["east", "west"], crs="OGC:CRS84")
    gate = gpd.GeoDataFrame(
        {"feature": "access", "width_m": [2.0]},
        geometry=list(fiji.round(shapely.points(np.array([[30.0, 4.0]])))),
        crs="OGC:CRS84",
    )
    found = walk(lawn, gate, {"east", "west"})
    assert list(found["zone_id"]) == ["east", "west"]
    assert list(found["leg_m"]) == pytest.approx([16, 30], abs=1e-3)
