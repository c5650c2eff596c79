import numpy as np
import pytest
import shapely
from pyproj import Geod

from lawnmap.exports.drawing.drawn import drawing
from tests.exports.papers import paper

# Lengths and areas on the ellipsoid come from pyproj's geodesics, not from our own frame.
GEOD = Geod(ellps="WGS84")


def test_positions_are_latitude_first_and_rounded_to_a_centimetre():
    drawn = drawing(paper())
    at = drawn.positions(drawn.points)
    assert at[0] == [round(at[0][0], 7), round(at[0][1], 7)]
    assert all(55.0 <= lat <= 55.01 and 3.0 <= lon <= 3.01 for lat, lon in at)


def test_metres_are_metres():
    drawn = drawing(paper())
    first = paper().plan.zones.geometry.iloc[0]
    area, _ = GEOD.geometry_area_perimeter(first)
    assert drawn.zones[0].area == pytest.approx(abs(area), rel=1e-5)


def test_a_schematic_or_unplaced_drawing_holds_no_position():
    for paper_ in (paper(schematic=True), paper(header={"placed": False})):
        drawn = drawing(paper_)
        assert drawn.flat
        points = np.array(drawn.positions(shapely.get_coordinates(drawn.zones[0])))
        assert points.min() > -5
        assert points.max() < 60
        assert (points == points.round(2)).all()


def test_numbers_stand_inside_their_zones_at_the_widest_place():
    drawn = drawing(paper())
    for zone, point, radius in zip(drawn.zones, drawn.points, drawn.radii, strict=True):
        assert zone.contains(shapely.Point(point))
        assert zone.boundary.distance(shapely.Point(point)) == pytest.approx(radius, rel=0.03)


def test_a_strip_is_numbered_in_its_middle_and_a_ring_on_its_lawn():
    strip = shapely.box(0, 0, 2, 24)
    ring = shapely.box(40, 0, 60, 20).difference(shapely.box(46, 6, 54, 14))
    drawn = drawing(paper(["strip", "ring"], shapes=[strip, ring], features=False))
    middle = drawn.zones[0].centroid
    assert drawn.points[0] == pytest.approx([middle.x, middle.y], abs=0.01)
    assert drawn.zones[1].contains(shapely.Point(drawn.points[1]))


def test_a_river_does_not_shrink_the_lawn():
    far = {"type": "Feature", "properties": {"feature": "water"}}
    site = paper().plan.site
    river = {"type": "LineString", "coordinates": [[2.9, 55.0], [3.1, 55.0]]}  # 13 km
    document = [*site.document["features"], {**far, "geometry": river}]
    given = paper()
    wide = given.of(
        plan=type(given.plan)(**{**vars(given.plan), "site": site.with_features(document)})
    )
    west, _, east, _ = drawing(wide).bounds
    assert east - west < 1.6 * 119


def test_a_tree_is_its_crown():
    tree = next(each for each in drawing(paper()).features if each.name == "Beech")
    assert tree.shape.area == pytest.approx(np.pi * 36, rel=0.01)
