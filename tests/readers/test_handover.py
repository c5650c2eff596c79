"""What children hand back: nothing in it is believed, whatever was read, and whoever wrote it."""

from pathlib import Path

import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.found import Layer
from lawnmap.readers import handover

LAWN = shapely.Polygon([(0.1, 0), (30, 0.2), (0.3, 20)], [[(5, 1), (6, 1), (5, 2)]])


def round_trip(shapes, rows=None, *, crs=None, asked=None, warnings=()):
    rows = [{"name": f"lawn {n}"} for n in range(len(shapes))] if rows is None else rows
    wkb = [None if shape is None else shape.wkb for shape in shapes]
    packed = handover.pack(wkb, rows, crs=crs, warnings=list(warnings))
    return handover.unpack(json_text.loads(json_text.dumps(packed).encode(), name=""), asked)


@pytest.mark.parametrize(
    "shape",
    [
        LAWN,
        shapely.Point(1, 2),
        shapely.LineString([(0, 0), (1 / 3, 1e-9)]),
        shapely.MultiPoint([(0, 0), (1, 1)]),
        shapely.MultiLineString([[(0, 0), (1, 1)], [(2, 2), (3, 3)]]),
        shapely.MultiPolygon([LAWN, shapely.box(40, 40, 50, 50)]),
    ],
)
def test_every_kind_of_shape_comes_through_exactly(shape):
    found = round_trip([shape])
    assert shapely.geometry.shape(found.features[0].geometry).equals_exact(shape, tolerance=0)
    assert found.features[0].properties == {"name": "lawn 0"}


def test_a_collection_becomes_a_feature_a_kind_and_empties_are_named():
    inner = shapely.GeometryCollection([shapely.box(0, 0, 1, 1), shapely.Point(5, 5)])
    outer = shapely.GeometryCollection([inner, shapely.box(2, 2, 3, 3), shapely.Point()])
    found = round_trip([outer, shapely.Polygon(), None])
    assert [each.geometry["type"] for each in found.features] == ["MultiPolygon", "Point"]
    assert 'Left out, without a geometry: feature 2 "lawn 1", feature 3 "lawn 2".' in found.warnings


@pytest.mark.parametrize(("height", "said"), [(0.0, False), (17.5, True)])
def test_heights_are_left_out_and_said_unless_they_are_nought(height, said):
    found = round_trip([shapely.force_3d(LAWN, height)])
    assert len(found.features[0].geometry["coordinates"][0][0]) == 2
    assert any("Heights" in each for each in found.warnings) == said


def test_degrees_have_a_range_and_metres_have_none():
    with pytest.raises(InputRefused, match="latitude 91 is out of range"):
        round_trip([shapely.Point(0, 91)], crs="EPSG:4326")
    assert round_trip([shapely.Point(0, 91)], crs="EPSG:27700").crs == "EPSG:27700"
    assert round_trip([shapely.Point(0, 91)]).crs is None


def test_a_position_that_is_no_number_is_refused_by_place():
    shape = shapely.LineString([(0, 0), (1, 1), (2, float("inf"))])
    with pytest.raises(InputRefused, match='feature 1 "lawn 0", point 3: is not a finite number'):
        round_trip([shape])


def good():
    return {"features": [[[], {}]], "crs": None, "heights": False, "warnings": []}


@pytest.mark.parametrize(
    "change",
    [
        {
            "features": [
                [[{"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 1]]]}], {}]
            ]
        },
        {"features": [[[{"type": "Point", "coordinates": ["1", 2]}], {}]]},
        {"features": [[[{"type": "Point", "coordinates": [True, 2]}], {}]]},
        {"features": [[[{"type": "Point", "coordinates": 7}], {}]]},
        {"features": []},
        {"crs": "EPSG:999999"},
        {"crs": "/etc/hostname"},
    ],
)
def test_an_answer_that_is_not_sound_is_refused(change):
    with pytest.raises(InputRefused):
        handover.unpack({**good(), **change}, None)


def test_too_many_of_anything_is_refused():
    point = {"type": "Point", "coordinates": [0, 0]}
    with pytest.raises(InputRefused, match="more than 10,000 features"):
        handover.unpack({**good(), "features": [[[point], {}]] * 10_001}, None)
    line = {"type": "LineString", "coordinates": [[0, 0]] * 200_001}
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        handover.unpack({**good(), "features": [[[line], {}]]}, None)
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        handover.pack([shapely.LineString([(0, 0)] * 200_001).wkb], [{}], crs=None, warnings=[])


def test_layers_are_of_plain_types():
    assert handover.layers([["a", 3, ["Point"]]]) == [Layer("a", 3, ("Point",))]


@pytest.mark.parametrize(
    ("seed", "problem"),
    [
        ("refused-curve-polygon", "is drawn with curves"),
        ("refused-signalling-nan", "is not a finite number"),
    ],
)
def test_binary_that_shapely_stumbles_over(seed, problem):
    data = (Path(__file__).parents[1] / "seeds" / "handover" / f"{seed}.wkb").read_bytes()
    with pytest.raises(InputRefused, match=problem) as told:
        handover.pack([data], [{}], crs=None, warnings=[])
    assert told.value.place.startswith("feature 1")


def test_a_kind_of_geometry_that_there_is_not():
    packed = handover.pack([LAWN.wkb], [{}], crs=None, warnings=[])
    packed["features"][0][0][0]["type"] = "Polygom"
    with pytest.raises(InputRefused, match="of no kind"):
        handover.unpack(packed, None)
