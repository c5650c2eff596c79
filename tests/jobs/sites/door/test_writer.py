"""What is written, read by other programs: pyogrio and geopandas."""

import json

import geopandas as gpd
import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pyogrio
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import UsageProblem
from lawnmap.jobs.sites.door import feature_text, writer
from tests.jobs.sites.door.tables import LONLAT, square, zones

TABLE = zones(
    ("A", "A", "B"),
    moss_rating=[1.5, np.nan, 3],
    name=["=1+1", None, "Bänk \u2028 <b>"],
    passes=[1, 2, 3],
    deep_mat=[True, False, True],
    grass=pd.Series([None] * 3, dtype=object),
)


def test_geoparquet_as_others_read_it(tmp_path):
    assert writer.write_parquet(tmp_path / "a.parquet", TABLE, bounds=True) == ()
    found = gpd.read_parquet(tmp_path / "a.parquet")
    assert found.crs == LONLAT
    assert found.geometry.geom_equals(TABLE.geometry).all()
    assert found["name"].tolist()[::2] == ["=1+1", "Bänk \u2028 <b>"]
    assert found["moss_rating"].equals(TABLE["moss_rating"])
    inside = gpd.read_parquet(tmp_path / "a.parquet", bbox=tuple(TABLE.geometry[1].bounds))
    assert inside["zone_id"].tolist() == ["Z1"]


def test_what_is_said_of_the_shapes(tmp_path):
    shapes = [square(), shapely.MultiPolygon([square(1)]), None]
    writer.write_parquet(tmp_path / "a.parquet", TABLE.set_geometry(shapes).set_crs(LONLAT))
    geo = json.loads(pq.read_metadata(tmp_path / "a.parquet").metadata[b"geo"])
    column = geo["columns"]["geometry"]
    assert geo["version"] == "1.1.0"
    assert sorted(column["geometry_types"]) == ["MultiPolygon", "Polygon"]
    assert column["crs"]["id"] == {"authority": "OGC", "code": "CRS84"}
    assert column["bbox"] == pytest.approx([-2, 53, -1.9988, 53.0002])


def test_parts_of_one_run_have_one_form(tmp_path):
    for number, part in enumerate((TABLE, TABLE.iloc[:0], TABLE.iloc[1:2])):
        writer.write_parquet(tmp_path / f"{number}.parquet", part)
    forms = [pq.read_schema(tmp_path / f"{number}.parquet") for number in range(3)]
    assert forms[0].equals(forms[1])
    assert forms[0].equals(forms[2])
    assert str(forms[0].field("grass").type) == "string"


def test_a_table_without_shapes(tmp_path):
    plain = pd.DataFrame({"site_id": ["A"], "month": pd.Categorical(["2026-04"]), "n": [None]})
    writer.write_parquet(tmp_path / "a.parquet", plain)
    assert pq.read_table(tmp_path / "a.parquet").to_pylist() == [
        {"site_id": "A", "month": "2026-04", "n": None}
    ]


def test_a_file_that_is_there_is_kept(tmp_path):
    writer.write_lines(tmp_path / "a.geojsonl", TABLE)
    before = (tmp_path / "a.geojsonl").read_bytes()
    with pytest.raises(UsageProblem, match="is there already"):
        writer.write_lines(tmp_path / "a.geojsonl", TABLE.iloc[:1], force=False)
    assert (tmp_path / "a.geojsonl").read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["a.geojsonl"]


@pytest.mark.parametrize("by", ["orjson", "json"])
def test_lines_as_others_read_them(tmp_path, monkeypatch, by):
    if by == "json":
        monkeypatch.setattr(feature_text, "_dumps", feature_text._by_the_library)
    else:
        pytest.importorskip("orjson")
    hole = shapely.Polygon(square(9, side=0.01).exterior, [square(9.001).exterior])
    shapes = [square(), hole, shapely.MultiPolygon([square(1), hole])]
    table = TABLE.set_geometry(shapes).set_crs(LONLAT)
    writer.write_lines(tmp_path / "a.geojsonl", table)
    found = pyogrio.read_dataframe(tmp_path / "a.geojsonl")
    assert found.geometry.geom_equals(table.geometry.set_crs(4326, allow_override=True)).all()
    assert found["name"].tolist()[::2] == ["=1+1", "Bänk \u2028 <b>"]
    assert found["passes"].tolist() == [1, 2, 3]
    assert "grass" not in found
    for line in (tmp_path / "a.geojsonl").read_text(encoding="utf-8").split("\n")[:-1]:
        shape = shapely.geometry.shape(json.loads(line)["geometry"])
        for part in shapely.get_parts(shape):  # RFC 7946, 3.1.6
            assert part.exterior.is_ccw
            assert not any(ring.is_ccw for ring in part.interiors)


def test_shapes_of_every_other_kind():
    shapes = np.array([shapely.Point(1, 2), None, shapely.LineString([(0, 0), (1, 1)])], object)
    texts = feature_text.lines(shapes, pd.DataFrame({"a": [1.5, np.nan, None]})).splitlines()
    found = [json.loads(each) for each in texts]
    assert [each["geometry"] and each["geometry"]["type"] for each in found] == [
        "Point", None, "LineString",
    ]  # fmt: skip
    assert [each["properties"] for each in found] == [{"a": 1.5}, {"a": None}, {"a": None}]


@given(st.floats(-179, 179), st.floats(-89, 89), st.floats(1e-9, 0.5))
def test_coordinates_are_written_in_full(west, south, side):
    box = shapely.box(west, south, west + side, south + side)
    text = feature_text.lines(np.array([box]), pd.DataFrame(index=[0]))
    found = shapely.geometry.shape(json.loads(text)["geometry"])
    assert set(map(tuple, found.exterior.coords)) == set(map(tuple, box.exterior.coords))
