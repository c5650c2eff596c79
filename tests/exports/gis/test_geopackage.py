import re
import sqlite3
import tempfile
import time
from contextlib import closing
from dataclasses import replace

import geopandas as gpd
import pandas as pd
import pyogrio
import pyproj
import pytest
import shapely
from shapely.geometry import shape

from lawnmap.errors import InputRefused
from lawnmap.exports.gis import geopackage
from lawnmap.files.admit import Source
from lawnmap.readers import geopackage as reader
from tests.exports.papers import FEATURES, paper


@pytest.fixture
def written(tmp_path):
    def write(made):
        path = tmp_path / "plan.gpkg"
        path.write_bytes(geopackage.render(made))
        return path

    return write


def asked(path, question):
    with closing(sqlite3.connect(path)) as base:
        return base.execute(question).fetchall()


def test_gdal_finds_the_layers_and_tables_with_all_rows(written):
    made = paper()
    path = written(made)
    kinds = dict(pyogrio.list_layers(path))
    assert kinds == {
        "zones": "MultiPolygon",
        "features_areas": "MultiPolygon",
        "features_lines": "MultiLineString",
        "features_points": "Point",
        "steps": None,
        "totals": None,
        "loads": None,
        "layer_styles": None,
    }
    counts = {name: pyogrio.read_info(path, layer=name)["features"] for name in kinds}
    of_features = sum(counts.pop(name) for name in list(counts) if name.startswith("features"))
    assert of_features == len(FEATURES)
    assert counts == {
        "zones": len(made.plan.zones),
        "steps": len(made.plan.steps),
        "totals": len(made.plan.totals),
        "loads": len(made.plan.loads),
        "layer_styles": 4,
    }


def test_cells_and_outlines_come_back_as_they_were(written):
    made = paper()
    path = written(made)
    zones = pyogrio.read_dataframe(path, layer="zones")
    assert zones.crs.to_epsg() == 4326
    assert list(zones["zone_id"]) == list(made.plan.zones.index)
    assert list(zones["name"]) == list(made.plan.zones["name"])
    for ours, theirs in zip(zones.geometry, made.plan.zones.geometry, strict=True):
        assert shapely.equals_exact(ours.geoms[0].normalize(), theirs.normalize(), 0)
    steps = pyogrio.read_dataframe(path, layer="steps")
    expected = made.plan.steps
    assert list(steps["amount"]) == pytest.approx(list(expected["amount"]), nan_ok=True)
    assert list(steps["sequence"]) == list(expected["sequence"])
    assert steps["sequence"].dtype.kind == "i"
    assert steps["status"].tolist() == expected["status"].tolist()


def test_our_own_reader_takes_the_zones():
    made = paper()
    found = reader.read(Source("plan.gpkg", geopackage.render(made), "gpkg"), layer="zones")
    assert found.crs in {"EPSG:4326", "OGC:CRS84"}
    for feature, theirs in zip(found.features, made.plan.zones.geometry, strict=True):
        assert shape(feature.geometry).area == pytest.approx(theirs.area, rel=1e-6)


def test_the_container_is_what_ogc_12_128_asks_for(written):
    # Requirements as in OGC 12-128r19: 1 SQLite, 2 application id "GPKG" and version, 6 integrity,
    # 7 foreign keys, 11 reference systems -1, 0 and 4326, 13 contents, 29 integer primary keys.
    path = written(paper())
    assert path.read_bytes()[:16] == b"SQLite format 3\0"
    assert asked(path, "PRAGMA application_id") == [(0x47504B47,)]
    assert asked(path, "PRAGMA user_version")[0][0] >= 10200
    assert asked(path, "PRAGMA integrity_check") == [("ok",)]
    assert asked(path, "PRAGMA foreign_key_check") == []
    systems = asked(path, "SELECT srs_id FROM gpkg_spatial_ref_sys")
    assert {(-1,), (0,), (4326,)} <= set(systems)
    contents = asked(path, "SELECT table_name, data_type, last_change FROM gpkg_contents")
    assert len(contents) == 8
    for name, kind, changed in contents:
        assert kind in {"features", "attributes"}
        assert changed == "2027-08-02T00:00:00.000Z"
        keys = [row for row in asked(path, f"PRAGMA table_info({name})") if row[5]]
        assert [row[2] for row in keys] == ["INTEGER"]


def test_the_styles_stand_where_programs_look_and_draw_what_is_there(written):
    made = paper()
    lines = gpd.GeoDataFrame(
        {"zone_id": ["z0"], "operation": ["scarifying"], "pass": [1]},
        geometry=[shapely.LineString([(3, 55), (3.001, 55)])], crs="OGC:CRS84",
    )  # fmt: skip
    path = written(made.of(plan=replace(made.plan, layers={"bouts": lines})))
    columns = [row[1] for row in asked(path, "PRAGMA table_info(layer_styles)")]
    assert columns == [
        "id", "f_table_catalog", "f_table_schema", "f_table_name", "f_geometry_column",
        "styleName", "styleQML", "styleSLD", "useAsDefault", "description", "owner", "ui",
        "update_time",
    ]  # fmt: skip
    rows = asked(
        path,
        "SELECT f_table_name, f_geometry_column, styleSLD, useAsDefault FROM layer_styles",
    )
    drawn = [name for name, kind in pyogrio.list_layers(path) if kind]
    assert sorted(row[0] for row in rows) == sorted(drawn)
    for layer, geometry, sld, default in rows:
        assert default == 1
        named = "SELECT column_name FROM gpkg_geometry_columns WHERE table_name = ?"
        assert asked(path, named.replace("?", f"'{layer}'")) == [(geometry,)]
        cells = pyogrio.read_dataframe(path, layer=layer)
        used = set(re.findall(r"<ogc:PropertyName>(\w+)<", sld))
        assert used <= set(cells.columns)
        if layer.startswith("features"):  # each kind there has its rule
            assert set(re.findall(r"<ogc:Literal>(\w+)<", sld)) == set(cells["feature"])


def test_it_says_nothing_of_the_machine_and_leaves_nothing_behind(tmp_path, monkeypatch):
    folder = tmp_path / "PRIV-folder"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    data = geopackage.render(paper())
    assert b"PRIV-folder" not in data
    assert list(folder.iterdir()) == []


def test_columns_and_rows_may_be_missing(written):
    plan = paper(features=False).plan
    bare = replace(
        plan,
        zones=plan.zones[["name", "geometry"]],
        steps=plan.steps[["zone_id", "operation"]],
        totals=pd.DataFrame(),
        loads=pd.DataFrame(),
    )
    path = written(paper().of(plan=bare))
    layers = [name for name, _ in pyogrio.list_layers(path)]
    assert layers == ["zones", "steps", "totals", "loads"]  # no style either, for want of a class
    assert list(pyogrio.read_info(path, layer="steps")["fields"]) == ["zone_id", "operation"]
    loads = pyogrio.read_info(path, layer="loads")
    assert loads["features"] == 0
    types = dict(zip(loads["fields"], loads["ogr_types"], strict=True))
    assert types["zone_id"] == "OFTString"
    assert types["full_water_l"] == "OFTReal"


def test_truth_values_may_be_empty(written):
    made = paper()
    deep = [True, None, *[False] * 10]
    plan = replace(made.plan, zones=made.plan.zones.assign(deep_mat=deep))
    path = written(made.of(plan=plan))
    cells = [row[0] for row in asked(path, "SELECT deep_mat FROM zones ORDER BY fid")]
    assert cells == [1, None, *[0] * 10]


def test_the_same_paper_gives_the_same_bytes_at_another_time():
    first = geopackage.render(paper())
    time.sleep(1.01)  # where the clock's time stood, to the second at the least, it would differ
    assert geopackage.render(paper()) == first


@pytest.mark.parametrize("changes", [{"schematic": True}, {"header": {"placed": False}}])
def test_without_a_position_there_is_nothing_to_export(changes):
    with pytest.raises(InputRefused, match="no position to export"):
        geopackage.render(paper(**changes))


def test_what_is_kept_clear_and_what_is_left_are_layers(written):
    made = paper()
    rows = {
        "kept_clear": {"because": "Pond", "area_m2": 50.0},
        "treatable": {"kind": "spray", "area_m2": 150.0},
    }
    layers = {
        name: gpd.GeoDataFrame(
            {"zone_id": ["great", "play"], **{key: [value] * 2 for key, value in row.items()}},
            geometry=[shapely.box(3, 55, 3.001, 55.001), shapely.Polygon()],
            crs="OGC:CRS84",
        )
        for name, row in rows.items()
    }
    path = written(made.of(plan=replace(made.plan, layers=layers)))
    kept, left = (pyogrio.read_dataframe(path, layer=name) for name in rows)
    assert list(kept["because"]) == ["Pond"]  # the empty shape is nothing to draw
    assert list(kept.geom_type) == ["MultiPolygon"]
    assert list(left["area_m2"]) == [150.0]


def _layers(path):
    layers = [name for name, kind in pyogrio.list_layers(path) if kind]
    return {name: gpd.read_file(path, layer=name) for name in layers}


def test_every_layer_may_be_had_in_another_crs(written):
    made = paper()
    here, there = (_layers(written(each)) for each in (made, made.of(crs="EPSG:27700")))
    assert here.keys() == there.keys()
    for layer, grid in there.items():
        lonlat = here[layer]
        assert grid.crs.to_epsg() == 27700
        # PROJ by another road: geopandas goes forward from the grid that came out.
        back = grid.to_crs(4326)
        for one, other in zip(back.geometry, lonlat.geometry, strict=True):
            assert shapely.hausdorff_distance(one, other) < 2e-8  # degrees: 2 mm
        assert grid.drop(columns="geometry").equals(lonlat.drop(columns="geometry"))


def test_a_crs_without_a_code_is_kept_whole(written):
    grid = "+proj=tmerc +lat_0=51 +lon_0=-1 +x_0=1000 +y_0=1000 +datum=WGS84"
    own = pyproj.CRS.from_proj4(grid).to_wkt()
    found = gpd.read_file(written(paper().of(crs=own)), layer="zones")
    assert found.crs.to_epsg() is None
    assert found.crs.equals(pyproj.CRS(own), ignore_axis_order=True)


def test_what_is_no_crs_is_refused():
    with pytest.raises(InputRefused, match="is not known"):
        geopackage.render(paper().of(crs="EPSG:3"))


def test_moments_are_told_to_the_thousandth(written):
    """GeoPackage 1.0 to 1.3, requirement 5: ISO 8601 with three decimals of a second, and Z."""
    path = written(paper())
    moments = asked(path, "SELECT update_time FROM layer_styles")
    moments += asked(path, "SELECT last_change FROM gpkg_contents")
    assert len(moments) > 4
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\dT00:00:00\.000Z", each) for (each,) in moments)
