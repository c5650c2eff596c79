"""GeoPackage: files written by GDAL, and one put together byte by byte from OGC 12-128."""

import hashlib
import sqlite3
import struct
import tempfile
import warnings

import geopandas as gpd
import numpy as np
import pandas as pd
import pyogrio
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files import child
from lawnmap.files.admit import Source, admit
from lawnmap.files.answer import Allowance
from lawnmap.found import Layer
from lawnmap.readers import geopackage
from tests.readers.geopackages import NUMBERS, altered, listed_too

LAWN = shapely.Polygon(
    [(0.1 + 0.2, 0), (30.7, 1e-9), (1 / 3, 20.123456789012345)],
    [[(5, 1), (6, 1), (5, 2)]],
)
BEDS = shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 2, 3, 3)])


@pytest.fixture(autouse=True)
def temporary(tmp_path, monkeypatch):
    """Watch the folder for temporary files for leftovers."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    yield
    assert list(folder.iterdir()) == []


def table(geometry, crs=27700, **columns):
    return gpd.GeoDataFrame(columns, geometry=list(geometry), crs=crs)


def written(path, frame, layer="lawns"):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pyogrio.write_dataframe(frame, path, layer=layer)
    return path


def shapes_of(found):
    return [shapely.geometry.shape(each.geometry) for each in found.features]


# What is read ------------------------------------------------------------------------------------


def test_coordinates_and_attributes_come_back_exactly(tmp_path):
    frame = table(
        [LAWN, BEDS],
        name=["Back lawn", "Süd – Beete"],
        moss_rating=pd.array([3, None], dtype="Int64"),
        shade=[0.1, np.nan],
        public=[True, False],
        seen=pd.to_datetime(["2026-03-04T05:06:07", None]),
    )
    path = written(tmp_path / "plan.gpkg", frame)
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    found = geopackage.read(admit(path))
    read = shapes_of(found)
    assert [each.geom_type for each in read] == ["MultiPolygon", "MultiPolygon"]  # a layer has one
    assert read[0].geoms[0].equals_exact(LAWN, tolerance=0)
    assert read[1].equals_exact(BEDS, tolerance=0)
    assert [each.properties for each in found.features] == [
        {
            "name": "Back lawn",
            "moss_rating": 3,
            "shade": 0.1,
            "public": True,
            "seen": "2026-03-04T05:06:07",
        },
        {
            "name": "Süd – Beete",
            "moss_rating": None,
            "shade": None,
            "public": False,
            "seen": None,
        },
    ]
    assert [each.place for each in found.features] == [
        'feature 1 "Back lawn"',
        'feature 2 "Süd – Beete"',
    ]
    assert type(found.features[0].properties["moss_rating"]) is int
    assert found.crs == "EPSG:27700"
    assert found.warnings == ()
    assert sorted(each.name for each in tmp_path.iterdir()) == ["plan.gpkg", "temporary"]
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


coordinate = st.floats(-1e7, 1e7, allow_nan=False)


@settings(max_examples=8, deadline=None)
@given(st.lists(st.lists(st.tuples(coordinate, coordinate), min_size=3, max_size=9), min_size=1))
def test_any_ring_comes_back_to_the_last_bit(tmp_path_factory, rings):
    wanted = [shapely.Polygon(ring) for ring in rings]
    path = written(tmp_path_factory.mktemp("any") / "plan.gpkg", table(wanted))
    read = shapes_of(geopackage.read(admit(path)))
    assert [shapely.get_coordinates(each).tolist() for each in read] == [
        shapely.get_coordinates(each).tolist() for each in wanted
    ]


def test_layers_are_listed_and_one_has_to_be_chosen(tmp_path):
    path = written(tmp_path / "plan.gpkg", table([LAWN, LAWN]))
    written(path, table([shapely.LineString([(0, 0), (1, 1)])]), 'odd "name"; --')
    altered(
        path,
        ("CREATE TABLE notes (id INTEGER PRIMARY KEY, note TEXT)", ()),
        (
            """INSERT INTO gpkg_contents (table_name, data_type, identifier)
            VALUES ('notes', 'attributes', 'notes')""",
            (),
        ),
    )
    source = admit(path)
    assert geopackage.look(source) == [
        Layer("lawns", 2, ("Polygon",)),
        Layer('odd "name"; --', 1, ("LineString",)),
    ]
    with pytest.raises(LayerNeeded, match=r'plan.gpkg: .*"lawns" \(2\)'):
        geopackage.read(source)
    with pytest.raises(InputRefused, match="holds no layer 'beds'"):
        geopackage.read(source, layer="beds")
    assert len(geopackage.read(source, layer="lawns").features) == 2
    assert geopackage.read(source, layer='odd "name"; --').features[0].geometry == {
        "type": "LineString",
        "coordinates": [[0.0, 0.0], [1.0, 1.0]],
    }


def test_a_file_made_from_the_standard_alone_is_read(tmp_path):
    """OGC 12-128, requirements 2, 10, 13, 19, 21: no GDAL had a hand in it."""
    path = tmp_path / "plan.gpkg"
    with sqlite3.connect(path) as base:
        base.executescript(
            """
            PRAGMA application_id = 0x47504B47; PRAGMA user_version = 10300;
            CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER PRIMARY KEY,
                organization TEXT NOT NULL, organization_coordsys_id INTEGER NOT NULL,
                definition TEXT NOT NULL, description TEXT);
            INSERT INTO gpkg_spatial_ref_sys VALUES
                ('Undefined Cartesian', -1, 'NONE', -1, 'undefined', ''),
                ('Undefined geographic', 0, 'NONE', 0, 'undefined', ''),
                ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID['
                 || '"WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",'
                 || '0.0174532925199433],AUTHORITY["EPSG","4326"]]', '');
            CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT
                NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '', last_change DATETIME NOT
                NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')), min_x DOUBLE, min_y DOUBLE,
                max_x DOUBLE, max_y DOUBLE, srs_id INTEGER);
            INSERT INTO gpkg_contents (table_name, data_type, srs_id) VALUES
                ('lawn', 'features', 4326);
            CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL,
                geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL, z TINYINT NOT NULL,
                m TINYINT NOT NULL, PRIMARY KEY (table_name, column_name));
            INSERT INTO gpkg_geometry_columns VALUES ('lawn', 'shape', 'GEOMETRY', 4326, 0, 0);
            CREATE TABLE lawn (id INTEGER PRIMARY KEY, shape GEOMETRY, name TEXT);
            """
        )
        ring = [(-1.5, 52.25), (-1.25, 52.25), (-1.25, 52.5), (-1.5, 52.25)]
        wkb = struct.pack("<BIII", 1, 3, 1, 4) + b"".join(struct.pack("<2d", *xy) for xy in ring)
        empty = struct.pack("<BII", 1, 3, 0)
        # Requirement 19: magic, version 0, flags (bit 0 little-endian, bit 4 empty), srs_id.
        for flags, body, name in ((1, wkb, "one"), (0x11, empty, "nothing"), (1, None, "null")):
            blob = body and b"GP\0" + bytes([flags]) + struct.pack("<i", 4326) + body
            base.execute("INSERT INTO lawn (shape, name) VALUES (?, ?)", (blob, name))
    base.close()
    found = geopackage.read(admit(path))
    assert geopackage.look(admit(path)) == [Layer("lawn", 3, ())]
    assert found.crs == "OGC:CRS84"
    assert [each.geometry for each in found.features] == [
        {"type": "Polygon", "coordinates": [[list(xy) for xy in ring]]}
    ]
    assert found.warnings == (
        'Left out, without a geometry: feature 2 "nothing", feature 3 "null".',
    )


# Reference systems: OGC 12-128, requirement 11: -1 Cartesian, 0 geographic, both undefined -------


@pytest.mark.parametrize("srs_id", [-1, 0])
def test_an_undefined_crs_is_no_crs(tmp_path, srs_id):
    path = altered(
        written(tmp_path / "plan.gpkg", table([LAWN])),
        ("UPDATE gpkg_contents SET srs_id = ?", (srs_id,)),
        ("UPDATE gpkg_geometry_columns SET srs_id = ?", (srs_id,)),
    )
    found = geopackage.read(admit(path))
    assert found.crs is None
    assert "no place on the earth" in found.warnings[0]
    assert geopackage.read(admit(path), crs="EPSG:27700").crs == "EPSG:27700"


@pytest.mark.parametrize(
    ("crs", "read"),
    [
        ("EPSG:4326", "OGC:CRS84"),
        ("OGC:CRS84", "OGC:CRS84"),
        ("EPSG:4979", "OGC:CRS84"),
        ("EPSG:25832", "EPSG:25832"),
        ("EPSG:7405", "EPSG:27700"),  # compound: British National Grid and Newlyn height
    ],
)
def test_a_crs_is_told_by_its_code(tmp_path, crs, read):
    lawn = shapely.box(1, 50, 1.0001, 50.0001)
    path = written(tmp_path / "plan.gpkg", table([lawn], crs))
    assert geopackage.read(admit(path)).crs == read


def test_another_crs_than_the_file_s_own_is_refused(tmp_path):
    source = admit(written(tmp_path / "plan.gpkg", table([LAWN])))
    with pytest.raises(InputRefused, match="is in EPSG:27700, and --crs says 'EPSG:25832'"):
        geopackage.read(source, crs="EPSG:25832")


def test_metres_labelled_degrees_are_refused_by_place(tmp_path):
    lawn = shapely.box(430000, 210000, 430010, 210010)
    source = admit(written(tmp_path / "plan.gpkg", table([lawn], 4326, name=["Back lawn"])))
    with pytest.raises(InputRefused, match="looks like metres") as caught:
        geopackage.read(source)
    assert caught.value.place == 'feature 1 "Back lawn", ring 1, point 1'


# What has to be said -----------------------------------------------------------------------------


def test_heights_controls_and_unreadable_columns_are_said(tmp_path):
    raised = shapely.force_3d(shapely.box(0, 0, 9, 9), 17.5)
    path = altered(
        written(tmp_path / "plan.gpkg", table([raised], name=["Back\x07 lawn"])),
        ("ALTER TABLE lawns ADD COLUMN photo BLOB", ()),
        ("UPDATE lawns SET photo = x'00ff'", ()),
    )
    found = geopackage.read(admit(path))
    assert found.features[0].geometry["coordinates"][0][0] == [9.0, 0.0]
    assert found.features[0].properties == {"name": "Back lawn"}
    told = " ".join(found.warnings)
    for words in ("Heights in the file are not used", '"photo"', "Control characters"):
        assert words in told


def test_arcs_become_chords_close_enough_and_it_is_said(tmp_path):
    arcs = [(0, 0), (1, 1), (2, 0), (1, -1), (0, 0)]  # a circle of radius 1
    body = struct.pack("<BII", 1, 10, 1) + struct.pack("<BII", 1, 8, 5)
    body += b"".join(struct.pack("<2d", *xy) for xy in arcs)
    path = altered(
        written(tmp_path / "plan.gpkg", table([LAWN])),
        ("UPDATE lawns SET geom = ?", (b"GP\0\1" + struct.pack("<i", 27700) + body,)),
    )
    found = geopackage.read(admit(path))
    assert shapes_of(found)[0].area == pytest.approx(np.pi, rel=6e-5)
    assert found.warnings == ("Arcs in it are taken as chords of 1° each.",)


def test_features_beyond_the_number_a_file_states_are_not_lost(tmp_path):
    path = written(tmp_path / "plan.gpkg", table([LAWN, LAWN, LAWN]))
    altered(path, ("UPDATE gpkg_ogr_contents SET feature_count = 1", ()))
    assert len(geopackage.read(admit(path)).features) == 3
    assert geopackage.look(admit(path))[0].count == 3


def test_a_file_without_shapes_is_refused(tmp_path):
    source = admit(written(tmp_path / "plan.gpkg", table([None, shapely.Polygon()])))
    with pytest.raises(InputRefused, match="no feature in it has a geometry"):
        geopackage.read(source)


# Hostile files -----------------------------------------------------------------------------------


def with_view(path, select):
    """Write a GeoPackage with a good layer and a view that is listed as another."""
    plan = written(path, table([LAWN]))
    return altered(plan, *listed_too("shown", "CREATE VIEW shown AS " + select))


def test_a_sound_view_is_a_layer(tmp_path):
    path = with_view(tmp_path / "plan.gpkg", "SELECT fid, geom, upper('beds') AS name FROM lawns")
    found = geopackage.read(admit(path), layer="shown")
    assert [each.properties for each in found.features] == [{"name": "BEDS"}]


def test_a_view_without_end_is_refused(tmp_path):
    select = NUMBERS + " SELECT i AS fid, geom FROM n, lawns"  # noqa: S608 - a test's own words
    path = with_view(tmp_path / "plan.gpkg", select)
    source = admit(path)
    counts = {each.name: each.count for each in geopackage.look(source)}
    assert counts == {"lawns": 1, "shown": 10_001}
    with pytest.raises(InputRefused, match="holds more than 10,000 features"):
        geopackage.read(source, layer="shown")
    assert len(geopackage.read(source, layer="lawns").features) == 1


def test_a_view_that_never_gives_a_row_is_stopped(tmp_path, monkeypatch):
    monkeypatch.setattr(child, "Allowance", lambda: Allowance(cpu_s=2))
    select = NUMBERS + " SELECT count(*) AS fid, max(geom) AS geom FROM n, lawns"  # noqa: S608 - a test's own words
    path = with_view(tmp_path / "plan.gpkg", select)
    with pytest.raises(InputRefused, match=r"plan.gpkg: took more than 2 s of computing"):
        geopackage.read(admit(path))


def test_too_many_vertices_are_refused(tmp_path):
    ring = shapely.Polygon(np.column_stack([np.arange(200_001), np.arange(200_001) % 2]))
    source = admit(written(tmp_path / "plan.gpkg", table([ring])))
    with pytest.raises(InputRefused, match="holds more than 200,000 vertices"):
        geopackage.read(source)


# The first three are in the SQLite of GDAL's wheels and did give the secret away when measured.
@pytest.mark.parametrize(
    "table_sql",
    [
        "CREATE VIRTUAL TABLE stolen USING VirtualText('{secret}', 'UTF-8', 1, POINT, NONE, ',')",
        "create/**/virtual--\n table stolen using VirtualDbf('{secret}', 'UTF-8')",
        "CREATE VIRTUAL TABLE \"stolen\" USING VirtualShape('{secret}', UTF-8, 27700)",
        "CREATE VIRTUAL TABLE 'a USING rtree(' USING VirtualText('{secret}', 'UTF-8', 1)",
        "CREATE VIRTUAL TABLE stolen USING VirtualOGR('{secret}')",
        "CREATE VIRTUAL TABLE stolen USING csv(filename='{secret}')",
    ],
)
@pytest.mark.parametrize("listed", ["stolen", "shown"])
def test_a_virtual_table_gives_no_other_file_away(tmp_path, table_sql, listed):
    secret = tmp_path / "secret.csv"
    secret.write_text("key\nCANARY-8241\n")
    row = ("table", "stolen", "stolen", 0, table_sql.format(secret=secret))
    select = "SELECT fid, geom, (SELECT group_concat(key) FROM stolen) AS note FROM lawns"
    path = altered(
        with_view(tmp_path / "plan.gpkg", select),
        ("PRAGMA writable_schema = 1", ()),
        ("INSERT INTO sqlite_master VALUES (?, ?, ?, ?, ?)", row),
        ("UPDATE gpkg_contents SET table_name = ? WHERE table_name = 'shown'", (listed,)),
        ("UPDATE gpkg_geometry_columns SET table_name = ? WHERE table_name = 'shown'", (listed,)),
    )
    with pytest.raises(InputRefused, match=r"virtual table|malformed") as caught:
        geopackage.read(admit(path), layer=listed)
    assert "CANARY" not in str(caught.value)


def test_the_index_of_the_standard_is_no_danger(tmp_path):
    path = written(tmp_path / "plan.gpkg", table([LAWN]), 'odd "lawns"')
    with sqlite3.connect(path) as base:
        sql = base.execute("SELECT sql FROM sqlite_master WHERE sql LIKE '%rtree(%'").fetchall()
    base.close()
    assert len(sql) > 0
    assert len(geopackage.read(admit(path)).features) == 1


@pytest.mark.parametrize(
    "call",
    [
        "load_extension('mod_spatialite')",
        "readfile('{secret}')",
        "BlobFromFile('{secret}')",
        "gdal_get_pixel_value('{secret}', 1, 'pixel', 0, 0)",
        "ogr_geocode('12 Elm Row')",
        "(SELECT group_concat(file) FROM pragma_database_list)",
    ],
)
def test_a_view_calls_nothing_but_what_is_harmless(tmp_path, call):
    secret = tmp_path / "secret.txt"
    secret.write_text("CANARY-8241")
    select = f"SELECT fid, geom, {call.format(secret=secret)} AS note FROM lawns"  # noqa: S608 - a test's own words
    path = with_view(tmp_path / "plan.gpkg", select)
    with pytest.raises(InputRefused, match="could not be read") as caught:
        geopackage.read(admit(path), layer="shown")
    assert "CANARY" not in str(caught.value)


@pytest.mark.parametrize(
    "data",
    [
        b"SQLite format 3\0",
        b"SQLite format 3\0" + bytes(4096),
        b"<OGRVRTDataSource></OGRVRTDataSource>",
        b'{"type": "FeatureCollection", "features": []}',
    ],
)
def test_what_is_no_geopackage_is_refused_even_past_the_door(data):
    with pytest.raises(InputRefused, match=r"^plan.gpkg: could not be read"):
        geopackage.read(Source("plan.gpkg", data, "gpkg"))


def test_an_unsound_shape_is_refused(tmp_path):
    path = altered(
        written(tmp_path / "plan.gpkg", table([LAWN])),
        ("UPDATE lawns SET geom = ?", (b"GP\0\1" + struct.pack("<iBII", 27700, 1, 3, 2**31),)),
    )
    with pytest.raises(InputRefused):
        geopackage.read(admit(path))
