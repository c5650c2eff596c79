"""Write the invented sample site in every format that lawnmap reads.

Run it from the top of the source tree with everything installed: ``python sample_geo/make.py``.
"""

from __future__ import annotations

import json
import sys
import warnings
import zipfile
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely
from shapely.geometry import mapping

sys.path.insert(0, str(Path(__file__).parent))

from drawing import ANCHOR, FEATURES, SURVEYED, TITLE, ZONES

from lawnmap.geometry.frame import Frame

HERE = Path(__file__).parent
FRAME = Frame(*ANCHOR)
STAMP = (2026, 9, 2, 12, 0, 0)  # archives hold a time: a fixed one, so that they are reproducible


def table() -> gpd.GeoDataFrame:
    """Return zones and other features as one table in longitude/latitude."""
    rows: list[dict[str, Any]] = [
        {"feature": "zone", "zone_id": zone_id, "name": name, **facts, "geometry": _polygon(ring)}
        for zone_id, (name, ring, facts) in ZONES.items()
    ]
    for kind, name, form, metres, facts in FEATURES:
        lonlat = FRAME.to_lonlat(np.array(metres, dtype=float))
        shapes = {"Polygon": shapely.Polygon, "LineString": shapely.LineString}
        shape = shapes[form](lonlat) if form in shapes else shapely.Point(*lonlat[0])
        rows.append({"feature": kind, "name": name, **facts, "geometry": shape})
    return gpd.GeoDataFrame(rows, geometry="geometry", crs="OGC:CRS84")


def _polygon(ring: list[tuple[float, float]]) -> shapely.Polygon:
    polygon = shapely.Polygon(FRAME.to_lonlat(np.array(ring, dtype=float)))
    return shapely.orient_polygons(polygon, exterior_cw=False)


def properties(row: Any) -> dict[str, Any]:
    """Return what a row really says: nothing for an empty cell."""
    said = {k: v for k, v in row.items() if k != "geometry" and pd.notna(v) and v != ""}
    return {k: int(v) if isinstance(v, float) and v == int(v) else v for k, v in said.items()}


def geojson(rows: gpd.GeoDataFrame) -> dict[str, Any]:
    """Return the table as a FeatureCollection with full doubles."""
    return {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "properties": properties(row),
                "geometry": json.loads(json.dumps(mapping(row["geometry"]))),
            }
            for _, row in rows.iterrows()
        ],
    }


def _one_a_line(document: dict[str, Any]) -> str:
    head = {k: v for k, v in document.items() if k != "features"}
    lines = ",\n".join(json.dumps(each, ensure_ascii=False) for each in document["features"])
    return json.dumps(head, ensure_ascii=False)[:-1] + ', "features": [\n' + lines + "\n]}\n"


def _kml_ring(ring: Any) -> str:
    points = " ".join(f"{x!r},{y!r}" for x, y in ring.coords)
    return f"<LinearRing><coordinates>{points}</coordinates></LinearRing>"


def _kml_shape(shape: Any) -> str:
    if shape.geom_type == "Polygon":
        outer = f"<outerBoundaryIs>{_kml_ring(shape.exterior)}</outerBoundaryIs>"
        return f"<Polygon>{outer}</Polygon>"
    points = " ".join(f"{x!r},{y!r}" for x, y in shape.coords)
    return f"<{shape.geom_type}><coordinates>{points}</coordinates></{shape.geom_type}>"


def kml(rows: gpd.GeoDataFrame) -> str:
    """Return the table as KML 2.2 with a folder for the zones and one for everything else."""
    folders = []
    for title, part in (
        ("Zones", rows[rows["feature"] == "zone"]),
        ("Other features", rows[rows["feature"] != "zone"]),
    ):
        marks = []
        for _, row in part.iterrows():
            said = properties(row)
            name = escape(str(said.pop("name", "")))
            data = "".join(
                f"<Data name={quoteattr(k)}><value>{escape(str(v))}</value></Data>"
                for k, v in said.items()
            )
            marks.append(
                f"<Placemark><name>{name}</name><ExtendedData>{data}</ExtendedData>"
                f"{_kml_shape(row['geometry'])}</Placemark>"
            )
        folders.append(f"<Folder><name>{title}</name>\n" + "\n".join(marks) + "\n</Folder>")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2">'
        f"<Document><name>{TITLE}</name>\n" + "\n".join(folders) + "\n</Document></kml>\n"
    )


def gpx(rows: gpd.GeoDataFrame) -> str:
    """Return the zones as GPX 1.1: one walked track round each, to nine decimals."""
    tracks = []
    for _, row in rows[rows["feature"] == "zone"].iterrows():
        points = "".join(
            f'<trkpt lat="{y:.9f}" lon="{x:.9f}"/>' for x, y in row["geometry"].exterior.coords
        )
        tracks.append(f"<trk><name>{escape(row['name'])}</name><trkseg>{points}</trkseg></trk>")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<gpx version="1.1" creator="sample_geo" xmlns="http://www.topografix.com/GPX/1/1">\n'
        + "\n".join(tracks)
        + "\n</gpx>\n"
    )


def _zip(path: Path, files: dict[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name, STAMP), data, zipfile.ZIP_DEFLATED)


def shapefiles(rows: gpd.GeoDataFrame) -> None:
    """Write the loose shapefiles (UTM 31N, one a kind of geometry) and all of them zipped."""
    folder = HERE / "shapefile"
    folder.mkdir(exist_ok=True)
    utm = rows.to_crs("EPSG:32631")
    parts = {
        "zones": utm[utm["feature"] == "zone"],
        "areas": utm[(utm["feature"] != "zone") & (utm.geom_type == "Polygon")],
        "lines": utm[utm.geom_type == "LineString"],
        "points": utm[utm.geom_type == "Point"],
    }
    warnings.simplefilter("ignore")  # dBASE cuts names to ten letters; lawnmap knows them again
    for name, part in parts.items():
        part.dropna(axis=1, how="all").to_file(folder / f"{name}.shp", encoding="UTF-8")
    files = {f"plan/{path.name}": path.read_bytes() for path in sorted(folder.iterdir())}
    _zip(HERE / "plan_shapefile.zip", files)


def main() -> None:
    """Write every file."""
    rows = table()
    zones, others = rows[rows["feature"] == "zone"], rows[rows["feature"] != "zone"]
    site = {
        "type": "FeatureCollection",
        "lawnmap": {
            "format": 1,
            "title": TITLE,
            "revision": 1,
            "surveyed": SURVEYED,
            "timezone": "Europe/London",
            "placed": True,
        },
        "features": geojson(rows)["features"],
    }
    (HERE / "site" / "site.geojson").write_text(_one_a_line(site), encoding="utf-8")
    (HERE / "plan.geojson").write_text(_one_a_line(geojson(rows)), encoding="utf-8")
    (HERE / "plan.kml").write_text(kml(rows), encoding="utf-8")
    _zip(HERE / "plan.kmz", {"doc.kml": kml(rows).encode()})
    (HERE / "plan.gpx").write_text(gpx(rows), encoding="utf-8")
    flat = rows.drop(columns="geometry").assign(
        wkt=shapely.to_wkt(rows.geometry.array, rounding_precision=-1)
    )
    flat.to_csv(HERE / "plan.csv", index=False, lineterminator="\n")
    package = HERE / "plan.gpkg"
    package.unlink(missing_ok=True)
    for name, part in (("zones", zones), ("features", others)):
        part.to_crs("EPSG:27700").dropna(axis=1, how="all").to_file(package, layer=name)
    rows.to_parquet(HERE / "plan.parquet", index=False)
    shapefiles(rows)


if __name__ == "__main__":
    main()
