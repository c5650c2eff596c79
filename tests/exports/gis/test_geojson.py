import json
import math
from dataclasses import replace

import numpy as np
import pyogrio
import pytest
import shapely
from pyproj import Geod
from shapely.geometry import mapping, shape

from lawnmap.errors import InputRefused
from lawnmap.exports.gis import geojson
from lawnmap.files.admit import Source
from lawnmap.model import Site
from lawnmap.processing.entering.merge import merge
from lawnmap.processing.entering.outlines import Admission, shape_all
from lawnmap.readers import geojson as reader
from tests.exports.papers import FEATURES, paper

# Areas are compared on pyproj's geodesics (Karney 2013), not with our own formula.
GEOD = Geod(ellps="WGS84")
ROUNDED_M = 0.0008  # half a step of 1e-8° is 0.56 mm a coordinate, 0.79 mm across


def area(outline):
    return abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(outline))[0])


def read_back(data):
    found = reader.read(Source("plan.geojson", data, "geojson"))
    admission = Admission()
    shaped = shape_all(found, lambda shapes: shapes, admission)
    empty = Site({"type": "FeatureCollection", "lawnmap": {}, "features": []})
    return merge(empty, shaped), admission.warnings


def on_the_grid(made):
    """Return the paper with its outlines on the grid of 1e-8°, as files have them."""

    def snapped(outlines):
        return shapely.transform(outlines, lambda each: np.round(each, 8))

    zones = made.plan.zones
    return made.of(plan=replace(made.plan, zones=zones.set_geometry(snapped(zones.geometry))))


def test_it_is_geojson_as_rfc_7946_has_it():
    document = json.loads(geojson.render(paper()), parse_constant=pytest.fail)
    assert set(document) == {"type", "features"}  # no crs (section 4) and no member of ours
    assert document["type"] == "FeatureCollection"
    for feature in document["features"]:
        assert set(feature) == {"type", "properties", "geometry"}
        assert feature["type"] == "Feature"
        outline = shape(feature["geometry"])
        assert outline.is_valid
        positions = shapely.get_coordinates(outline)
        assert np.array_equal(positions, np.round(positions, 8))
        for part in shapely.get_parts(outline):
            if part.geom_type == "Polygon":  # right-hand rule, section 3.1.6
                assert part.exterior.is_ccw
                assert not any(ring.is_ccw for ring in part.interiors)


def test_gdal_reads_every_feature(tmp_path):
    made = paper()
    path = tmp_path / "plan.geojson"
    path.write_bytes(geojson.render(made))
    table = pyogrio.read_dataframe(path)
    assert len(table) == len(made.plan.zones) + len(FEATURES)
    assert table.crs.to_epsg() == 4326
    zones = table[table["feature"] == "zone"]
    assert list(zones["verdict"]) == [v or None for v in made.plan.zones["verdict"]]
    assert list(zones["ground_area_m2"]) == pytest.approx(list(made.plan.zones["ground_area_m2"]))


def test_it_reads_back_as_a_site_plan_with_equal_areas():
    made = on_the_grid(paper())
    merged, warnings = read_back(geojson.render(made))
    assert list(merged.site.zones.index) == list(made.plan.zones.index)
    assert list(merged.site.zones["name"]) == list(made.plan.zones["name"])
    for ours, theirs in zip(merged.site.zones.geometry, made.plan.zones.geometry, strict=True):
        assert area(ours) == pytest.approx(area(theirs), rel=1e-6)
    facts = ["moss_rating", "thatch_mm", "client_number", "drainage", "sun_hours_seen"]
    assert merged.site.zones[facts].equals(made.plan.site.zones[facts])
    assert sorted(merged.site.features["feature"]) == sorted(p["feature"] for p, _ in FEATURES)
    walked, columns = warnings
    assert "South bank: 400 m² ± 273 m² (95 %)" in walked
    assert "Worked-out columns" in columns
    assert "verdict" not in merged.site.document["features"][0]["properties"]


def test_rounding_moves_an_outline_by_less_than_a_millimetre():
    made = paper()
    merged, _ = read_back(geojson.render(made))
    for ours, theirs in zip(merged.site.zones.geometry, made.plan.zones.geometry, strict=True):
        edge = GEOD.geometry_area_perimeter(theirs)[1]
        assert abs(area(ours) - area(theirs)) <= ROUNDED_M * edge


def test_a_hole_and_several_parts_are_kept():
    ring = shapely.Point(0, 0).buffer(20).difference(shapely.Point(0, 0).buffer(8))
    both = shapely.MultiPolygon([shapely.box(40, 0, 50, 10), shapely.box(60, 0, 70, 10)])
    made = paper(["Ring", "Two"], shapes=[ring, both], features=False)
    merged, _ = read_back(geojson.render(made))
    first, second = merged.site.zones.geometry
    assert len(first.interiors) == 1
    assert len(second.geoms) == 2
    assert area(first) == pytest.approx(math.pi * (20**2 - 8**2), rel=0.003)  # 32-gon quarters


def test_an_outline_that_rounding_would_spoil_is_left_as_it_is():
    sliver = shapely.box(0, 0, 20, 0.0002)
    made = paper(["Sliver"], shapes=[sliver], features=False)
    document = json.loads(geojson.render(made))
    outline = shape(document["features"][0]["geometry"])
    assert outline.is_valid
    assert area(outline) == pytest.approx(20 * 0.0002, rel=0.01)


def test_numbers_that_json_has_not_are_left_out():
    plan = paper().plan
    plan = replace(plan, zones=plan.zones.assign(passes=math.inf, depth_low_mm=math.nan))
    first = json.loads(geojson.render(paper().of(plan=plan)))["features"][0]["properties"]
    assert not {"passes", "depth_low_mm", "thatch_mm"} & set(first)
    assert first["moss_rating"] == 3


def test_columns_may_be_missing():
    plan = paper().plan
    bare = paper().of(plan=replace(plan, zones=plan.zones[["geometry"]]))
    first = json.loads(geojson.render(bare))["features"][0]
    assert first["properties"] == {"feature": "zone", "zone_id": "z0"}
    assert len(first["geometry"]["coordinates"]) == len(
        mapping(plan.zones.geometry.iloc[0])["coordinates"]
    )


def test_the_same_paper_gives_the_same_bytes():
    assert geojson.render(paper()) == geojson.render(paper())


@pytest.mark.parametrize("changes", [{"schematic": True}, {"header": {"placed": False}}])
def test_without_a_position_there_is_nothing_to_export(changes):
    with pytest.raises(InputRefused, match="no position to export"):
        geojson.render(paper(**changes))
