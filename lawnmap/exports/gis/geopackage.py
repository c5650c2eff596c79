"""The plan as a GeoPackage (OGC 12-128): zones and features as layers, the rest as tables."""

from __future__ import annotations

import datetime as dt
import sqlite3
import tempfile
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pyogrio

from lawnmap import schema
from lawnmap.errors import LawnmapError
from lawnmap.exports.drawing.style_sld import (
    AREA,
    LINE,
    POINT,
    feature_style,
    moss_style,
    set_out_style,
)
from lawnmap.exports.gis.tables import refuse_without_place, table
from lawnmap.files.commit import write_failed
from lawnmap.geometry.crs import from_lonlat, known
from lawnmap.paper import Paper

TITLE = "zones, features and tables for GIS programs (GeoPackage)"
SUFFIX = ".gpkg"
AUDIENCE = "owner"
IN_CRS = True  # it may be asked for in any

# Longitude first is a GeoPackage's own order, whatever the registry says of 4326 (requirement 11).
CRS = "EPSG:4326"
ZONES = "zones"
# A layer has one kind of geometry, since many programs draw no other.
FEATURES = {
    "features_areas": schema.POLYGON,
    "features_lines": schema.LINE,
    "features_points": schema.POINT,
}
# What is set out on the ground, by the kind of its shapes.
PASSES = "passes"  # width and heading of the bouts, by zone, operation and pass
SET_OUT = {
    "kept_clear": "MultiPolygon",
    "treatable": "MultiPolygon",
    "bouts": "LineString",
    "load_areas": "MultiPolygon",
    "refills": "Point",
    "core_places": "Point",
    "walk": "LineString",
}
# How a layer is drawn, by the kind of its shapes.
DRAWN = {
    "Polygon": AREA,
    "MultiPolygon": AREA,
    "LineString": LINE,
    "Point": POINT,
}
TABLES = ("steps", "totals", "loads")
GEOMETRY = "geom"


def render(paper: Paper) -> bytes:
    """Return the file.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; columns that are absent are left out.

    Returns
    -------
    bytes
        Layers ``zones``, ``features_areas``, ``features_lines`` and ``features_points`` (those that
        have a feature), what is set out on the ground (``kept_clear``, ``treatable``, ``bouts`` and
        so on) where there is any, tables ``steps``, ``totals``, ``loads``, and in ``layer_styles``
        how each layer is drawn. The same paper gives the same bytes with the same GDAL.

    Raises
    ------
    InputRefused
        For a schematic, a site without a place on the earth, or one without a place in the CRS.
    WriteFailed
        When the system's folder for what passes is full, or not to be written to.
    """
    refuse_without_place(paper)
    try:
        return _made(paper)
    except LawnmapError:
        raise
    except (OSError, sqlite3.OperationalError, pyogrio.errors.DataSourceError) as error:
        # Scratch of the system: GDAL makes a file, and only its bytes are handed on.
        raise write_failed(Path("temporary folder"), error) from error


def _made(paper: Paper) -> bytes:
    with tempfile.TemporaryDirectory(prefix="lawnmap-") as folder:
        path = Path(folder) / "plan.gpkg"
        zones = _typed(table(paper, "zones"), "zones")
        _write_layer(path, zones, ZONES, "MultiPolygon", paper.crs)
        drawn = _write_features(path, _typed(table(paper, "features"), "features"), paper.crs)
        drawn |= _write_set_out(path, paper)
        for name in TABLES:
            _write_table(path, _typed(table(paper, name), name), name)
        styles = {ZONES: moss_style(ZONES, zones.columns), **drawn}
        rows = _styles({layer: style for layer, style in styles.items() if style}, paper.plan.today)
        if len(rows):
            _write_table(path, rows, "layer_styles", FID="id")
        return _settled(path, paper.plan.today, styled=len(rows) > 0)


def _typed(found: pd.DataFrame, name: str) -> pd.DataFrame:
    """Return a table whose columns have the schema's types, so that an empty one has them too."""
    types = {column.name: column.dtype for column in schema.columns(name)}
    return found.assign(
        **{each: _column(found[each], types[each]) for each in found.columns if each in types}
    )


def _column(cells: pd.Series, dtype: str) -> pd.Series:
    if dtype == "float64":
        return pd.to_numeric(cells).astype(float).replace([np.inf, -np.inf], np.nan)
    # pandas' own kinds of whole number and truth value have empty cells.
    if dtype == "int64":
        return cells.astype("Int64")
    if dtype == "bool":
        return cells.astype("boolean")
    return cells.astype(object).where(cells.notna(), None)


def _write_features(path: Path, features: pd.DataFrame, crs: str) -> dict[str, str]:
    """Write the features, a layer a kind of geometry, and return the styles of the layers."""
    styles = {}
    kinds = features["geometry"].map(lambda shape: shape.geom_type)
    for layer, allowed in FEATURES.items():
        chosen = features[kinds.isin(allowed)]
        if len(chosen):
            single = len(allowed) == 1
            _write_layer(path, chosen, layer, allowed[0] if single else allowed[1], crs)
            styles[layer] = feature_style(layer, DRAWN[allowed[0]], chosen["feature"].unique())
    return styles


def _write_set_out(path: Path, paper: Paper) -> dict[str, str]:
    """Write strips, pass lines for the guidance of a tractor, and the rest; return the styles."""
    styles = {}
    for name, kind in SET_OUT.items():
        found = paper.plan.layers.get(name)
        shown = None if found is None else found[~found.geometry.is_empty]
        if shown is not None and len(shown):
            _write_layer(path, _typed(shown, name), name, kind, paper.crs)
            styles[name] = set_out_style(name, DRAWN[kind], shown.columns)
    passes = paper.plan.tables.get(PASSES)
    if passes is not None and len(passes):
        _write_table(path, _typed(passes, PASSES), PASSES)
    return styles


def _write_layer(path: Path, features: pd.DataFrame, layer: str, kind: str, crs: str) -> None:
    shapes = np.asarray(features["geometry"].array, dtype=object)
    geometry = from_lonlat(shapes, crs) if crs else shapes
    frame = gpd.GeoDataFrame(
        features.drop(columns="geometry"), geometry=geometry, crs=known(crs) if crs else CRS
    )
    pyogrio.write_dataframe(
        frame,
        path,
        layer=layer,
        driver="GPKG",
        geometry_type=kind,
        promote_to_multi=kind.startswith("Multi"),
        layer_options={"GEOMETRY_NAME": GEOMETRY},
    )


def _write_table(path: Path, rows: pd.DataFrame, name: str, **options: str) -> None:
    pyogrio.write_dataframe(rows, path, layer=name, driver="GPKG", layer_options=options)


def _styles(styles: Mapping[str, str], today: dt.date) -> pd.DataFrame:
    """Return the table ``layer_styles``, in which GIS programs look for how a layer is drawn."""
    count = len(styles)
    return pd.DataFrame(
        {
            "f_table_catalog": [""] * count,
            "f_table_schema": [""] * count,
            "f_table_name": list(styles),
            "f_geometry_column": [GEOMETRY] * count,
            "styleName": ["moss" if layer == ZONES else layer for layer in styles],
            "styleQML": [""] * count,
            "styleSLD": list(styles.values()),
            "useAsDefault": [True] * count,
            "description": [
                "zones by moss class" if x == ZONES else "as on the map" for x in styles
            ],
            "owner": [""] * count,
            "ui": [""] * count,
            "update_time": [pd.Timestamp(today, tz="UTC")] * count,
        }
    )


def _settled(path: Path, today: dt.date, *, styled: bool) -> bytes:
    """Return the file with the day of the plan where the clock stood, copied page by page.

    SQLite counts in the file how often it was written to, which depends on the moment; a copy
    starts to count anew, and holds no left-overs.
    """
    copy, moment = path.with_name("copy.gpkg"), f"{today}T00:00:00.000Z"
    with closing(sqlite3.connect(path)) as base:
        with base:
            base.execute("UPDATE gpkg_contents SET last_change = ?", [moment])
            # GDAL leaves the thousandths out, which GeoPackage asks for before its version 1.4.
            if styled:
                base.execute("UPDATE layer_styles SET update_time = ?", [moment])
        base.execute("VACUUM INTO ?", [str(copy)])
    return copy.read_bytes()
