"""Plans that GDAL or Arrow reads: GeoPackage, shapefile, FlatGeobuf, GeoParquet; bad and good."""

import json
import struct
import tempfile
import warnings
from pathlib import Path

import geopandas as gpd
import pyarrow as pa
import pyogrio
import shapely
from pyarrow import parquet

from tests.hostile.case import Case, accepted
from tests.hostile.texts import PIPELINE, VRT
from tests.readers.geopackages import NUMBERS, altered, listed_too
from tests.readers.good_files import sample, shapefile

LAWN = shapely.box(430000, 433000, 430020, 433030)
ENDLESS = NUMBERS + " SELECT i AS fid, geom FROM n, lawns"  # noqa: S608 - a test's own words
ROWLESS = NUMBERS + " SELECT count(*) AS fid, max(geom) AS geom FROM n, lawns"  # noqa: S608
SHOWN = "SELECT fid, geom, {} AS note FROM lawns"


def written(path, geometry=(LAWN,), crs=27700, driver=None, layer=None, **columns):
    """Write a plan by GDAL."""
    frame = gpd.GeoDataFrame(columns, geometry=list(geometry), crs=crs)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pyogrio.write_dataframe(frame, path, driver=driver, layer=layer)
    return path


def text(bait, value):
    """Return a value with the baits filled in, if it is text."""
    return bait.filled(value.encode()).decode() if isinstance(value, str) else value


def package(*statements, geometry=(LAWN,), crs=27700, **columns):
    """Return what makes the bytes of a GeoPackage with a layer of lawns, altered."""

    def made(bait):
        filled = [
            (text(bait, sql), [text(bait, each) for each in values]) for sql, values in statements
        ]
        with tempfile.TemporaryDirectory() as name:
            path = written(Path(name) / "a.gpkg", geometry, crs, layer="lawns", **columns)
            return altered(path, *filled).read_bytes()

    return made


def view(select):
    """Return what makes a GeoPackage with a view that is listed as a layer."""
    return package(*listed_too("shown", "CREATE VIEW shown AS " + select))


def stolen(table):
    """Return what makes a GeoPackage with a virtual table over the secret."""
    row = "INSERT INTO sqlite_master VALUES ('table', 'stolen', 'stolen', 0, ?)"
    select = SHOWN.format("(SELECT group_concat(key) FROM stolen)")
    return package(
        *listed_too("shown", "CREATE VIEW shown AS " + select),
        ("PRAGMA writable_schema = 1", ()),
        (row, (table,)),
    )


def blob(body):
    """Return a geometry as a GeoPackage has it (OGC 12-128, requirement 19)."""
    return b"GP\0\1" + struct.pack("<i", 27700) + body


def ring(*numbers):
    """Return a polygon of one ring as WKB, whatever its numbers are."""
    return struct.pack("<BIII", 1, 3, 1, len(numbers) // 2) + struct.pack(
        f"<{len(numbers)}d", *numbers
    )


NAN_RING = ring(0, 0, 1, 0, 1, float("nan"), 0, 0)
SHOWN_LAYER = ("--layer", "shown")
PACKAGES = {
    "endless view.gpkg": (view(ENDLESS), SHOWN_LAYER),
    "rowless view.gpkg": (view(ROWLESS), SHOWN_LAYER),
    "text table.gpkg": (
        stolen(
            "CREATE VIRTUAL TABLE stolen USING "
            "VirtualText('@SECRET@', 'UTF-8', 1, POINT, NONE, ',')"
        ),
        SHOWN_LAYER,
    ),
    "loaded.gpkg": (view(SHOWN.format("load_extension('mod_spatialite')")), SHOWN_LAYER),
    "read file.gpkg": (view(SHOWN.format("BlobFromFile('@SECRET@')")), SHOWN_LAYER),
    "places.gpkg": (
        view(SHOWN.format("(SELECT group_concat(file) FROM pragma_database_list)")),
        SHOWN_LAYER,
    ),
    "two layers.gpkg": (
        package(*listed_too("beds", "CREATE TABLE beds AS SELECT * FROM lawns")),
        (),
    ),
    "nan.gpkg": (package(("UPDATE lawns SET geom = ?", (blob(NAN_RING),))), ()),
    "unsound.gpkg": (
        package(("UPDATE lawns SET geom = ?", (blob(struct.pack("<BII", 1, 3, 2**31)),))),
        (),
    ),
    "no place.gpkg": (
        package(
            ("UPDATE gpkg_contents SET srs_id = -1", ()),
            ("UPDATE gpkg_geometry_columns SET srs_id = -1", ()),
        ),
        (),
    ),
    "degrees.gpkg": (package(crs=4326), ()),
    "no shapes.gpkg": (package(geometry=(None,)), ()),
    "many.gpkg": (package(geometry=(LAWN,) * 10_001), ()),
    "rating.gpkg": (package(moss_rating=[99]), ()),
    "zeros.gpkg": (b"SQLite format 3\0" + bytes(4096), ()),
    "vrt.gpkg": (VRT, ()),
    "pipeline.gpkg": (PIPELINE, ()),
    "cut.gpkg": (lambda bait: package()(bait)[:40_000], ()),
    "junk.gpkg": (lambda bait: package()(bait)[:100] + bytes(range(256)) * 400, ()),
}


def loose(name, *without, **changed):
    """Return the files of a loose shapefile called `name`, some left out or changed."""
    files = {Path(each).suffix.lstrip("."): data for each, data in shapefile().items()}
    files = {**files, **changed}
    return {f"{name}.{suffix}": files[suffix] for suffix in files if suffix not in without}


SHP = shapefile()["zones.shp"]
SHX = shapefile()["zones.shx"]
SHAPES = {
    "no index": (loose("plan", "shx"), ()),
    "no table, no place": (loose("plan", "dbf", "prj"), ()),
    "place by address": (loose("plan", prj=b"@URL@"), ()),
    "place by file": (loose("plan", prj=b"@SECRET@"), ()),
    "cut head": (loose("plan", shp=SHP[:50]), ()),
    "cut body": (loose("plan", shp=SHP[:150]), ()),
    "version": (loose("plan", shp=SHP[:28] + struct.pack("<i", 2000) + SHP[32:]), ()),
    "cut table": (loose("plan", dbf=shapefile()["zones.dbf"][:-900]), ()),
    "vrt inside": (loose("plan", shp=SHP[:100] + VRT, dbf=VRT, prj=VRT), ()),
    "nan": (loose("plan", shp=SHP[:152] + struct.pack("<d", float("nan")) + SHP[160:]), ()),
    "parts": (loose("plan", shp=SHP[:144] + struct.pack("<i", 2**31 - 1) + SHP[148:]), ()),
    "encoding": (
        loose("plan", cpg=b"UTF-8", dbf=shapefile()["zones.dbf"].replace(b"a", b"\xfc")),
        (),
    ),
}


def buffer(*geometry, crs=27700, **columns):
    """Return what makes the bytes of a FlatGeobuf without an index."""

    def made():
        frame = gpd.GeoDataFrame(columns, geometry=list(geometry or (LAWN,)), crs=crs)
        with tempfile.TemporaryDirectory() as name, warnings.catch_warnings():
            warnings.simplefilter("ignore")
            path = Path(name) / "a.fgb"
            pyogrio.write_dataframe(frame, path, driver="FlatGeobuf", SPATIAL_INDEX="NO")
            return path.read_bytes()

    return made


def claiming(claimed):
    """Return what makes a FlatGeobuf whose header says that it holds so many features."""

    def made():
        data = buffer(LAWN, LAWN, LAWN)()
        (size,) = struct.unpack_from("<I", data, 8)
        place = data.index(struct.pack("<Q", 3), 12, 12 + size)
        return data[:place] + struct.pack("<Q", claimed) + data[place + 8 :]

    return made


BUFFERS = {
    "cut.fgb": lambda: buffer()()[:-40],
    "head.fgb": b"fgb\3fgb\1",
    "huge head.fgb": b"fgb\3fgb\1\xff\xff\xff\x7f",
    "claims much.fgb": claiming(2**63),
    "claims many.fgb": claiming(10_001),
    "nan.fgb": lambda: buffer()().replace(
        struct.pack("<d", 430020), struct.pack("<d", float("nan"))
    ),
    "no place.fgb": buffer(crs=None),
    "vrt.fgb": b"fgb\3fgb\1" + VRT,
    "rating.fgb": buffer(moss_rating=[-1]),
}
COLUMN = {"encoding": "WKB", "geometry_types": ["Polygon"]}


def table(geo=None, column=None, **columns):
    """Return what makes a GeoParquet table with metadata of our own words."""

    def made(bait):
        content = {"geometry": [shapely.box(-2, 53, -1.9997, 53.0003).wkb], **columns}
        told = {"version": "1.1.0", "primary_column": "geometry"}
        told["columns"] = {"geometry": {**COLUMN, **(column or {})}}
        text = bait.filled(json.dumps(told).encode() if geo is None else geo)
        with tempfile.TemporaryDirectory() as name:
            path = Path(name) / "a.parquet"
            parquet.write_table(pa.table(content).replace_schema_metadata({"geo": text}), path)
            return path.read_bytes()

    return made


def bomb(bait):
    """Return a small table that unpacks large."""
    notes = ["x" * 40_000_000 + str(n) for n in range(3)]
    return table(geometry=[LAWN.wkb] * 3, notes=notes)(bait)


def plain_table():
    stream = pa.BufferOutputStream()
    parquet.write_table(pa.table({"a": [1]}), stream)
    return stream.getvalue().to_pybytes()


TABLES = {
    "junk.parquet": b"PAR1" + b"\xff" * 200 + b"PAR1",
    "cut.parquet": lambda bait: table()(bait)[:-9],
    "plain.parquet": plain_table,
    "deep.parquet": table(geo=b'{"a": ' + b"[" * 200 + b"]" * 200 + b"}"),
    "nan.parquet": table(geometry=[NAN_RING]),
    "unsound.parquet": table(geometry=[struct.pack("<BII", 1, 3, 2**31)]),
    "many.parquet": table(geometry=[LAWN.wkb] * 10_001),
    "bomb.parquet": bomb,
    "address.parquet": table(column={"crs": {"$schema": "@URL@", "type": "ProjectedCRS"}}),
    "true.parquet": table(moss_rating=[True]),
    "vrt.parquet": VRT,
}


def journal(folder):
    """Lay a journal beside a GeoPackage: whoever opens the file where it lies rolls it back."""
    (folder / "in" / "plan.gpkg-journal").write_bytes(
        bytes.fromhex("d9d505f920a163d7") + b"\xff" * 504
    )


ACCEPTED = [
    accepted("plan.gpkg", {"plan.gpkg": package(name=["{{ 7*7 }} <b>${x}"])}, made=journal),
    accepted("sample gpkg", sample("plan.gpkg"), "--layer", "zones"),
    accepted("sample shp", shapefile()),
    accepted("no table.shp", loose("plan", "dbf"), told="no .dbf"),
    accepted("table of text.shp", loose("plan", dbf=b"a" * 500), told="whole rows for 0 of"),
    accepted("upper case.shp", {name.upper(): data for name, data in loose("plan").items()}),
    accepted("few.fgb", {"few.fgb": claiming(50)}, told="holds 3"),
    accepted("sample fgb", sample("plans/garden.fgb")),
    accepted("sample parquet", sample("plan.parquet")),
    accepted("plan.parquet", {"plan.parquet": table(name=["=1+1"])}),
]


def cases():
    """Return the runs of this kind: refused and accepted."""
    return [
        *(Case(name, {name: made}, words=words) for name, (made, words) in PACKAGES.items()),
        *(Case(f"{name}.shp", files, words=words) for name, (files, words) in SHAPES.items()),
        *(Case(name, {name: data}) for name, data in (BUFFERS | TABLES).items()),
        *ACCEPTED,
    ]
