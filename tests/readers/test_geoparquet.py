"""GeoParquet written by geopandas, and tables with metadata typed from GeoParquet 1.1.0 (OGC)."""

import datetime as dt
import decimal
import hashlib
import json
import struct
import tempfile

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

pa = pytest.importorskip("pyarrow")
from pyarrow import parquet  # noqa: E402 - after the skip

from lawnmap.errors import ExtraNeeded, InputRefused  # noqa: E402
from lawnmap.files import child  # noqa: E402
from lawnmap.files.admit import admit  # noqa: E402
from lawnmap.files.answer import Allowance  # noqa: E402
from lawnmap.found import Layer  # noqa: E402
from lawnmap.readers import geoparquet  # noqa: E402

LAWN = shapely.Polygon(
    [(0.1 + 0.2, 0), (30.7, 1e-9), (1 / 3, 20.123456789012345)],
    [[(5, 1), (6, 1), (5, 2)]],
)
BEDS = shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 2, 3, 3)])
COLUMN = {"encoding": "WKB", "geometry_types": ["Polygon"]}


@pytest.fixture(autouse=True)
def temporary(tmp_path, monkeypatch):
    """Watch the folder for temporary files for leftovers."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    yield
    assert list(folder.iterdir()) == []


def made(tmp_path, *, geo=None, column=None, **columns):
    """Write a table with metadata of our own words, and admit it."""
    content = {"geometry": [LAWN.wkb], **columns}
    if geo is None:
        described = {**COLUMN, **(column or {})}
        geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": described}}
    table = pa.table(content)
    text = geo if isinstance(geo, bytes) else json.dumps(geo).encode()
    parquet.write_table(table.replace_schema_metadata({"geo": text}), tmp_path / "plan.parquet")
    return admit(tmp_path / "plan.parquet")


def shapes_of(found):
    return [shapely.geometry.shape(each.geometry) for each in found.features]


# What is read ------------------------------------------------------------------------------------


@pytest.mark.parametrize("version", ["1.0.0", "1.1.0"])
def test_coordinates_and_attributes_come_back_exactly(tmp_path, version):
    columns = {
        "name": ["Back lawn", "Süd"],
        "rating": pd.array([3, None], dtype="Int64"),
        "shade": np.array([0.1, np.nan], dtype="float32"),
        "depth": [0.1 + 0.2, float("inf")],
        "public": [True, False],
        "day": [dt.date(2026, 3, 4), None],
        "seen": pd.to_datetime(["2026-03-04T05:06:07Z", None]),
        "price": [decimal.Decimal("12.50"), None],
        "grass": pd.Categorical(["rye", "fescue"]),
    }
    frame = gpd.GeoDataFrame(columns, geometry=[LAWN, BEDS], crs=27700)
    path = tmp_path / "plan.parquet"
    frame.to_parquet(path, schema_version=version, write_covering_bbox=version == "1.1.0")
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    found = geoparquet.read(admit(path))
    read = shapes_of(found)
    assert [read[0].equals_exact(LAWN, tolerance=0), read[1].equals_exact(BEDS, tolerance=0)] == [
        True,
        True,
    ]
    assert [each.properties for each in found.features] == [
        {
            "name": "Back lawn",
            "rating": 3,
            "shade": 0.1,
            "depth": 0.1 + 0.2,
            "public": True,
            "day": "2026-03-04",
            "seen": "2026-03-04T05:06:07+00:00",
            "price": 12.5,
            "grass": "rye",
        },
        {
            "name": "Süd",
            "rating": None,
            "shade": None,
            "depth": None,
            "public": False,
            "day": None,
            "seen": None,
            "price": None,
            "grass": "fescue",
        },
    ]
    assert found.crs == "EPSG:27700"
    assert found.warnings == ()
    assert sorted(each.name for each in tmp_path.iterdir()) == ["plan.parquet", "temporary"]
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


def test_a_file_is_one_layer(tmp_path):
    source = made(tmp_path)
    assert geoparquet.look(source) == [Layer("plan", 1, ("Polygon",))]
    assert len(geoparquet.read(source, layer="plan").features) == 1
    with pytest.raises(InputRefused, match="holds no layer 'beds'"):
        geoparquet.read(source, layer="beds")


def test_a_data_frame_s_index_is_no_attribute(tmp_path):
    frame = gpd.GeoDataFrame({"name": ["a"]}, geometry=[LAWN], crs=27700, index=["x"])
    frame.to_parquet(tmp_path / "plan.parquet")
    found = geoparquet.read(admit(tmp_path / "plan.parquet"))
    assert found.features[0].properties == {"name": "a"}
    assert found.warnings == ()


# The metadata: GeoParquet 1.1.0, "Column metadata" ------------------------------------------------


def test_no_crs_means_longitude_and_latitude(tmp_path):
    assert geoparquet.read(made(tmp_path)).crs == "OGC:CRS84"


def test_a_null_crs_means_unknown(tmp_path):
    source = made(tmp_path, column={"crs": None})
    assert geoparquet.read(source).crs is None
    assert geoparquet.read(source, crs="EPSG:27700").crs == "EPSG:27700"


def test_a_crs_that_is_not_projjson_is_unknown_and_said(tmp_path):
    found = geoparquet.read(made(tmp_path, column={"crs": "EPSG:27700"}))
    assert found.crs is None
    assert "not PROJJSON" in found.warnings[0]


def test_what_the_standard_adds_later_is_not_refused(tmp_path):
    geo = {
        "version": "2.0.0-dev",
        "primary_column": "geometry",
        "columns": {"geometry": {**COLUMN, "orientation": "counterclockwise", "hue": 7}},
        "more": {"to": "come"},
    }
    found = geoparquet.read(made(tmp_path, geo=geo))
    assert found.warnings == ("The file is GeoParquet 2.0.0-dev; it was read as 1.1.",)


def test_what_is_not_as_usual_is_said(tmp_path):
    found = geoparquet.read(
        made(
            tmp_path,
            geo={
                "version": "1.1.0",
                "primary_column": "geometry",
                "columns": {"geometry": {**COLUMN, "edges": "spherical"}, "centre": COLUMN},
            },
            geometry=[shapely.force_3d(LAWN, 9).wkb],
            centre=[LAWN.centroid.wkb],
            photo=[b"\0"],
            tags=[["a"]],
            name=["Back\x07 lawn"],
        )
    )
    assert shapes_of(found)[0].equals_exact(LAWN, tolerance=0)
    assert found.features[0].properties == {"name": "Back lawn"}
    told = "\n".join(found.warnings)
    for words in ("arcs on the globe", "Heights", '"centre"', '"photo"', '"tags"', "Control"):
        assert words in told


@pytest.mark.parametrize("encoding", ["point", "linestring", "polygon", "multipolygon", None, 7])
def test_another_encoding_is_refused(tmp_path, encoding):
    with pytest.raises(InputRefused, match="and WKB is what is read") as caught:
        geoparquet.read(made(tmp_path, column={"encoding": encoding}))
    assert caught.value.place == "geo metadata"


def test_native_encoding_of_geopandas_is_refused(tmp_path):
    frame = gpd.GeoDataFrame(geometry=[LAWN], crs=27700)
    frame.to_parquet(tmp_path / "plan.parquet", geometry_encoding="geoarrow")
    with pytest.raises(InputRefused, match="encoded as 'polygon'"):
        geoparquet.look(admit(tmp_path / "plan.parquet"))


@pytest.mark.parametrize(
    "geo",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'{"columns": []}',
        b'{"primary_column": "geometry", "columns": {}}',
        b'{"primary_column": ["geometry"], "columns": {"geometry": {}}}',
        b'{"primary_column": "geometry", "columns": {"geometry": 7}}',
        b'{"primary_column": "other", "columns": {"other": {"encoding": "WKB"}}}',
        b'{"version": NaN, "primary_column": "geometry", "columns": {"geometry": {}}}',
        b'{"a": ' + b"[" * 200 + b"]" * 200 + b"}",
        b"\xff\xfe",
    ],
)
def test_metadata_out_of_form_is_refused_by_place(tmp_path, geo):
    with pytest.raises(InputRefused) as caught:
        geoparquet.read(made(tmp_path, geo=geo))
    assert caught.value.file == "plan.parquet"
    assert caught.value.place.startswith("geo metadata")


def test_a_plain_table_is_refused(tmp_path):
    parquet.write_table(pa.table({"a": [1]}), tmp_path / "plan.parquet")
    with pytest.raises(InputRefused, match="without the metadata of GeoParquet"):
        geoparquet.look(admit(tmp_path / "plan.parquet"))


def test_a_geometry_column_without_wkb_is_refused(tmp_path):
    with pytest.raises(InputRefused, match="holds no WKB"):
        geoparquet.read(made(tmp_path, geometry=["POINT (1 2)"]))


@pytest.mark.parametrize(
    "wkb",
    [
        b"",
        b"junk",
        struct.pack("<BII", 1, 3, 2**31),
        struct.pack("<BIII2d", 1, 3, 1, 1, 0, 0),  # a ring of one point
        struct.pack("<BIII", 1, 3, 1, 4) + struct.pack("<8d", 0, 0, 1, 0, 1, 1, 0, 1),  # not closed
        struct.pack("<BII", 1, 99, 0),
    ],
)
def test_an_unsound_shape_is_refused_by_place(tmp_path, wkb):
    source = made(tmp_path, geometry=[LAWN.wkb, wkb], name=["a", "Back lawn"])
    with pytest.raises(InputRefused, match="geometry that cannot be read") as caught:
        geoparquet.read(source)
    assert caught.value.place == 'feature 2 "Back lawn"'


def test_text_that_is_none_is_refused(tmp_path):
    """Found by mutants: pyarrow hands over whatever bytes there are as text."""
    text = pa.array([b"L\xfcneburg"]).view(pa.string())
    with pytest.raises(InputRefused, match="holds text that is not in UTF-8"):
        geoparquet.read(made(tmp_path, name=text))


@pytest.mark.parametrize(
    "moment", [pa.array([2**62], pa.timestamp("us")), pa.array([10**7], pa.date32())]
)
def test_a_date_that_no_calendar_has_is_refused(tmp_path, moment):
    with pytest.raises(InputRefused, match="holds a date that no calendar has"):
        geoparquet.read(made(tmp_path, day=moment))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 1e300])
def test_a_position_that_is_none_is_refused_by_place(tmp_path, value):
    body = [0, 0, 1, 0, 1, value, 0, 0]
    wkb = struct.pack("<BIII", 1, 3, 1, 4) + struct.pack("<8d", *body)
    with pytest.raises(InputRefused):
        geoparquet.read(made(tmp_path, geometry=[wkb]))


# Hostile files -----------------------------------------------------------------------------------


def test_too_many_rows_are_refused_before_they_are_read(tmp_path):
    rows = [LAWN.wkb] * 10_001
    with pytest.raises(InputRefused, match="holds more than 10,000 features"):
        geoparquet.read(made(tmp_path, geometry=rows))


def test_a_small_file_that_unpacks_large_is_refused(tmp_path):
    source = made(
        tmp_path, geometry=[LAWN.wkb] * 3, notes=["x" * 40_000_000 + str(n) for n in range(3)]
    )
    assert len(source.data) < 10_000_000
    with pytest.raises(InputRefused, match="unpacks to more than 100 MB"):
        geoparquet.read(source)


def test_one_long_text_told_once_and_used_often_is_stopped(tmp_path, monkeypatch):
    """A page of 5 MB that 10,000 rows refer to: 50 GB when spelt out."""
    monkeypatch.setattr(child, "Allowance", lambda: Allowance(memory_bytes=1_000_000_000))
    rows = [LAWN.wkb] * 10_000
    notes = pa.DictionaryArray.from_arrays(pa.array([0] * 10_000, pa.int32()), ["x" * 5_000_000])
    source = made(tmp_path, geometry=rows, notes=notes)
    assert len(source.data) < 20_000_000
    with pytest.raises(InputRefused, match="needed more than 1 GB of memory"):
        geoparquet.read(source)


def test_without_pyarrow_one_line_says_what_to_install(tmp_path, monkeypatch):
    source = made(tmp_path)
    monkeypatch.setattr(geoparquet, "find_spec", lambda _: None)
    with pytest.raises(ExtraNeeded, match="pyarrow, which is not installed") as caught:
        geoparquet.read(source)
    assert caught.value.remedy == "Install it: pip install 'lawnmap[parquet]'."
