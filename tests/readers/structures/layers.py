"""GeoPackage, shapefile, FlatGeobuf and GeoParquet that are nearly right, written by libraries."""

from __future__ import annotations

import io
import json
import tempfile
import warnings
import zipfile
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely
from hypothesis import strategies as st

from tests.readers.structures import near
from tests.readers.structures.near import NAMES, polygons
from tests.readers.structures.texts import METRES, NATIONAL

LONLAT = ["EPSG:4326"] * 4 + ["EPSG:4258", "OGC:CRS84"]
KINDS = ["Polygon"] * 6 + [
    "MultiPolygon",
    "Point",
    "LineString",
    "GeometryCollection",
    "empty",
    "none",
]
COLUMNS = {
    "name": NAMES,
    "zone_id": ["B1", "B2", "b1", "x y", None],
    "moss_rating": [3, 3, 0, 5, 6, None],
    "thatch_mm": [12.5, 12.5, float("nan"), float("inf"), -1.0],
    "seen": [True, False, None],
    "fed_last": [pd.Timestamp("2027-03-01"), pd.Timestamp("1700-01-01"), pd.NaT],
    "feature": ["zone", "zone", "bed", "carpet", "tree"],
    "wide": [2**53 + 1, -(2**62), 7],
    "note": ["a\tb", "\u202e", "=1+1", "", None],
    "fid_": [1, 1, 2],
}


@st.composite
def _shape(draw, places, widths, kinds):
    kind = draw(st.sampled_from(kinds))
    if kind == "none":
        return None
    rings = draw(polygons(places, widths))
    # Rings that are no rings cannot be made at all here.
    outline, *holes = [ring if ring[0] == ring[-1] else [*ring, ring[0]] for ring in rings]
    if len(outline) < 4:
        outline = [*outline, outline[0]]
    polygon = shapely.Polygon(outline, [hole for hole in holes if len(hole) > 3])
    made = {
        "Polygon": polygon,
        "MultiPolygon": shapely.MultiPolygon(
            [polygon, shapely.transform(polygon, lambda xy: xy + 1e-3)]
        ),
        "Point": shapely.Point(outline[0]),
        "LineString": shapely.LineString(outline),
        "GeometryCollection": shapely.GeometryCollection([polygon, shapely.Point(outline[0])]),
        "empty": shapely.Polygon(),
    }[kind]
    if draw(st.sampled_from([False, False, False, True])):
        made = shapely.force_3d(made, draw(st.sampled_from([0.0, 80.0])))
    if kind in {"Point", "LineString"} and draw(st.booleans()):
        made = shapely.transform(made, lambda xy: xy * [np.nan, 1])
    return made


@st.composite
def _frame(draw):
    national = draw(st.booleans())
    places, widths = (NATIONAL, METRES) if national else (near.PLACES, near.WIDTHS)
    count = draw(st.sampled_from([1, 2, 2, 3, 3, 1, 0]))
    kinds = draw(st.sampled_from([("Polygon",), ("Polygon", "MultiPolygon"), tuple(KINDS)]))
    shapes = [draw(_shape(places, widths, kinds)) for _ in range(count)]
    names = draw(st.lists(st.sampled_from(list(COLUMNS)), max_size=4, unique=True))
    data = {
        name: [draw(st.sampled_from([COLUMNS[name][0]] * 3 + COLUMNS[name])) for _ in shapes]
        for name in names
    }
    own = ["EPSG:27700"] * 5 if national else LONLAT
    system = draw(st.sampled_from([*own, *own, None, "EPSG:3857", "EPSG:27700"]))
    return gpd.GeoDataFrame(data, geometry=gpd.GeoSeries(shapes, crs=system), crs=system)


def _written(frame, suffix, **options):
    """Return what GDAL writes of a table, all its files by name; nothing when it cannot."""
    with tempfile.TemporaryDirectory() as name, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of names cut short and values that no such file can hold
        path = Path(name) / f"plan{suffix}"
        try:
            frame.to_file(path, engine="pyogrio", **options)
        except Exception:  # noqa: BLE001 - GDAL does not write all that may be asked of it
            return {}
        return {each.name: each.read_bytes() for each in sorted(path.parent.iterdir())}


def _first(files, name):
    return {name: files[name], **{key: data for key, data in files.items() if key != name}}


@st.composite
def gpkg(draw):
    with tempfile.TemporaryDirectory() as name, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        path = Path(name) / "plan.gpkg"
        for layer in draw(
            st.sampled_from([["zones"], ["zones"], ["zones", 'Ñ "b"'], ["a", "a b"]])
        ):
            frame = draw(_frame())
            kind = draw(st.sampled_from([None, "Unknown", "Polygon"]))
            try:
                frame.to_file(
                    path, driver="GPKG", layer=layer, engine="pyogrio", geometry_type=kind
                )
            except Exception:  # noqa: BLE001, S112 - GDAL does not write all that may be asked of it
                continue
        return {"plan.gpkg": path.read_bytes() if path.exists() else b"SQLite format 3\0"}


@st.composite
def shp(draw):
    frame = draw(_frame())
    files = _written(frame, ".shp", driver="ESRI Shapefile")
    if "plan.shp" not in files:
        return {"plan.shp": b"\0\0\x27\x0a" + bytes(96)}
    left_out = draw(st.sampled_from(["", "", "", ".prj", ".dbf", ".shx", ".cpg"]))
    files = {
        name: data for name, data in files.items() if not left_out or not name.endswith(left_out)
    }
    if draw(st.booleans()):
        memory = io.BytesIO()
        folder = draw(st.sampled_from(["", "in/"]))
        apart = draw(st.sampled_from(["", "", "", *files]))
        with zipfile.ZipFile(memory, "w") as archive:
            for name, data in files.items():
                archive.writestr(name if name == apart else folder + name, data)
        return {"plan.zip": memory.getvalue()}
    return _first(files, "plan.shp")


@st.composite
def fgb(draw):
    index = draw(st.sampled_from(["YES", "NO"]))
    files = _written(draw(_frame()), ".fgb", driver="FlatGeobuf", SPATIAL_INDEX=index)
    return {"plan.fgb": files.get("plan.fgb", b"fgb\x03fgb\x00")}


@st.composite
def parquet(draw):
    frame = draw(_frame())
    if draw(st.sampled_from([False, False, True])):
        frame["list"] = [[1, 2]] * len(frame)
        frame["small"] = np.arange(len(frame), dtype="float32") / 10
        frame["kind"] = pd.Categorical(["moss"] * len(frame))
    options = {
        "geometry_encoding": draw(st.sampled_from(["WKB"] * 6 + ["geoarrow"])),
        "schema_version": "1.1.0",
        "write_covering_bbox": draw(st.booleans()),
        "compression": draw(st.sampled_from(["snappy", "zstd", None])),
    }
    memory = io.BytesIO()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            frame.to_parquet(memory, **options)
    except Exception:  # noqa: BLE001 - geoarrow is of one kind of geometry
        return {"plan.parquet": b"PAR1"}
    return {"plan.parquet": _said_otherwise(draw, memory.getvalue())}


GEO_VALUES = [
    None,
    1,
    "WKB",
    "wkb",
    {},
    [],
    "geometry",
    "spherical",
    "1.0.0",
    "2",
    ["Polygon"],
    {"x": 1},
]


def _said_otherwise(draw, data):
    """Return a GeoParquet file with something odd in what it says of its geometry."""
    from pyarrow import parquet as pq

    table = pq.read_table(io.BytesIO(data))
    geo = json.loads(table.schema.metadata[b"geo"])
    told = near.nudged(draw, geo, GEO_VALUES)
    if told == geo:
        return data
    memory = io.BytesIO()
    metadata = {**table.schema.metadata, b"geo": json.dumps(told).encode()}
    pq.write_table(table.replace_schema_metadata(metadata), memory)
    return memory.getvalue()
