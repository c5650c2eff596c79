"""One small target per reader of ours: bytes in, and what has to hold of what was accepted.

A plan goes through the whole door: looked at, read, placed, shaped, judged, merged into a site and
written as its file. Whatever a target raises that is no refusal is a finding (``findings.py``).
"""

from __future__ import annotations

import io
import json
import math
import os
import re
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry import shape

from lawnmap.agronomy import field_units, label_rate
from lawnmap.errors import InputRefused, LawnmapError, LayerNeeded
from lawnmap.files import admit, json_text, kind, numbers
from lawnmap.files.admit import Source
from lawnmap.files.utf8 import decode
from lawnmap.found import Found
from lawnmap.geometry import crs as geometry_crs
from lawnmap.geometry import ellipsoid, validity
from lawnmap.jobs import features
from lawnmap.jobs.read import empty_site
from lawnmap.jobs.reading import Reading
from lawnmap.model import FORMAT, Site
from lawnmap.processing.entering.names import new_id
from lawnmap.processing.replying import replies as replying
from lawnmap.processing.replying.reply_content import checked
from lawnmap.readers import crs as reader_crs
from lawnmap.readers import csv_table, geojson, gpx, handover, kml, kmz, wkt
from lawnmap.readers.coordinates import Coordinates
from lawnmap.readers.dxf import told as dxf_told
from lawnmap.readers.osm import reader as osm
from lawnmap.readers.tape import reader as tape
from lawnmap.schema import ZONE_ID
from lawnmap.store import closed, depot, document, record, replies, specification, weather
from tests.fuzz.findings import finite
from tests.readers.mutants import unforeseen
from tests.replies import sealed

MOST_MENDED = 100  # vertices of a plan that is also mended, in this process
CRS = {"type": "name", "properties": {"name": "EPSG:27700"}}


def plan(reader: Any, suffix: str, data: bytes, *, as_kind: str | None = None) -> None:
    """Read every layer of a plan and take each into a site."""
    name = f"plan.{suffix}"
    source = Source(name, data, kind.kind_of(data, name))
    layers = reader.look(source)
    finite([each.area_m2 for each in layers if each.area_m2 is not None])
    refused: InputRefused | None = None
    for layer in layers[:4]:
        try:
            found = reader.read(source, layer=layer.name)
        except LayerNeeded:
            if [each.name for each in layers].count(layer.name) < 2:
                raise
        else:
            check_found(found)
            refused = _through_the_door(found, as_kind) or refused
    if refused is not None:
        raise refused


def either(data: bytes, *acts: Callable[[bytes], object]) -> None:
    """Give one input to several readers; it is refused when none of them takes it."""
    refused: list[LawnmapError] = []
    for act in acts:
        try:
            act(data)
        except LawnmapError as error:
            refused.append(error)
    for error in refused:
        if unforeseen(error) or len(refused) == len(acts):
            raise error


def check_found(found: Found) -> None:
    """Assert that what a reader accepted is sound."""
    assert found.features
    for feature in found.features:
        finite(feature.geometry["coordinates"])
        json.dumps(feature.properties, allow_nan=False)
        assert feature.place
        assert shapely.get_num_coordinates(shape(feature.geometry)) > 0
    assert all(warning.endswith((".", "?")) for warning in found.warnings), found.warnings


def _through_the_door(found: Found, as_kind: str | None) -> InputRefused | None:
    crs = "local" if found.crs is None and not found.local else None
    try:
        check_site(features.take(empty_site(), found, Reading(kind=as_kind, crs=crs)).site)
    except InputRefused as error:
        points = sum(shapely.get_num_coordinates(shape(each.geometry)) for each in found.features)
        if points > MOST_MENDED:
            return error
        reading = Reading(kind=as_kind, crs=crs, repair=True, skip_bad=True)
        try:
            check_site(features.take(empty_site(), found, reading).site)
        except InputRefused as second:
            return second
    return None


def check_site(site: Site) -> None:
    """Assert that a site has sound outlines with an area, and comes back from its file."""
    shapes = [shape(each["geometry"]) for each in site.document["features"]]
    outlines = [each for each in shapes if each.geom_type.endswith("Polygon")]
    if outlines:
        areas, perimeters = ellipsoid.measured(np.array(outlines, dtype=object))
        assert np.isfinite(areas).all()
        assert (areas > 0).all()
        assert np.isfinite(perimeters).all()
        assert all(validity.flaw(each) is None for each in outlines)
    header = {**site.header, "format": FORMAT, "revision": 1}
    whole = {**site.document, "lawnmap": header}
    written = document.encode(whole, name="site.geojson")
    assert written.document == json.loads(json.dumps(whole))


def geojson_text(data: bytes) -> None:
    """Read GeoJSON."""
    plan(geojson, "geojson", data)


def kml_text(data: bytes) -> None:
    """Read KML."""
    plan(kml, "kml", data)


def kmz_archive(data: bytes) -> None:
    """Read an archive; what is none is zipped first, so that what is in it is met as well."""
    if not data.startswith(b"PK"):
        memory = io.BytesIO()
        with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
            for number, part in enumerate(data.split(b"\n\n\n")[:4]):
                archive.writestr(f"{number}/doc.kml", part)
        data = memory.getvalue()
    plan(kmz, "kmz", data)


def gpx_text(data: bytes) -> None:
    """Read GPX, lines as outlines."""
    plan(gpx, "gpx", data, as_kind="zone")


def csv_text(data: bytes) -> None:
    """Read a table of outlines, corners or points; a sheet of measures is for another target."""
    if kind.kind_of(data, "plan.csv") == "csv":
        plan(csv_table, "csv", data)


def tape_sheet(data: bytes) -> None:
    """Read a sheet of measures, as it is and with a unit named by the person."""
    either(data, tape_look, lambda sheet: _tape(sheet, None), lambda sheet: _tape(sheet, "ft"))


def tape_look(data: bytes) -> None:
    """List the layer of a sheet of measures."""
    for layer in tape.look(Source("tape.csv", data, "tape")):
        assert layer.area_m2 is None or 0 <= layer.area_m2 < math.inf


def _tape(data: bytes, units: str | None) -> None:
    found = tape.read(Source("tape.csv", data, "tape"), units=units)
    check_found(found)
    refused = _through_the_door(found, None)
    if refused:
        raise refused


def osm_text(data: bytes) -> None:
    """Read OpenStreetMap XML."""
    plan(osm, "osm", data)


def wkt_text(data: bytes) -> None:
    """Parse well-known text, and check it as a table's reader does."""
    text = decode(data, "")
    code = wkt.srid(text)
    assert code is None or 0 < code < 10**6
    try:
        geometries = wkt.parse(text)
    except ValueError as error:
        raise InputRefused(str(error)) from error
    coordinates = Coordinates(lonlat=False)
    for each in geometries:
        finite((coordinates.checked(each, "line 1") or {}).get("coordinates"))


def number(data: bytes) -> None:
    """Parse a number, and a measurement of every kind."""
    either(data, _plain_number, *(partial(_measured, each) for each in field_units.KINDS))


def _plain_number(data: bytes) -> None:
    text = decode(data, "")
    try:
        value = numbers.number(text)
    except ValueError as error:
        raise InputRefused(str(error)) from error
    assert math.isfinite(value)
    assert value == float(text)


def _measured(what: str, data: bytes) -> None:
    assert 0 < field_units.measured(decode(data, ""), what) < math.inf


def rate(data: bytes) -> None:
    """Read a rate as a label prints it; what was understood reads back."""
    text = decode(data, "")
    found = label_rate.parse(text, gallon="imperial", pack=(1000.0, "g"))
    assert 0 < found.per_m2 < math.inf
    assert 0 < found.area_m2 < math.inf
    assert found.water_l_m2 is None or 0 < found.water_l_m2 < math.inf
    assert found.unit in {"g", "ml"}


def choices(data: bytes) -> None:
    """Read a specification; every choice is finite."""
    found = specification.parse(data, products={}, machines={})
    finite({**found.choices, "by zone": found.by_zone})


def cards(data: bytes) -> None:
    """Read label cards and machines; one text is tried as both."""
    either(data, _products, _machines)


def _products(data: bytes) -> None:
    for card in depot.parse_products(data).values():
        finite(asdict(card))


def _machines(data: bytes) -> None:
    for card in depot.parse_machines(data).values():
        finite(asdict(card))


def site_document(data: bytes) -> None:
    """Read a site file; what is accepted can be saved, and is then the same."""
    found = document.decode(data, name="site.geojson")
    finite(found)
    if document.revision_of(found) is not None:
        assert document.encode(found, name="site.geojson").document == found


def reply(data: bytes) -> None:
    """Open a reply as it is, and with the text as the content of one that is sealed."""
    found = None
    for raw in (data, sealed(data.decode("utf-8", "replace"))):
        try:
            found = checked(replies.opened(raw, name="reply.json").content)
        except InputRefused:
            if raw is not data:
                raise
            continue
        finite(found.answers)
        merged = replying.merge(_site(found.site_id), found, seen=set(), take="theirs")
        check_site(merged.site)
        break


def _site(site_id: str) -> Site:
    ring = [[-1.5, 53.8], [-1.499, 53.8], [-1.499, 53.801], [-1.5, 53.8]]
    lawn = {
        "type": "Feature",
        "properties": {"feature": "zone", "zone_id": "a1", "moss_rating": 2},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    header = {"format": FORMAT, "revision": 1, "placed": True}
    if site_id:
        header["site_id"] = site_id
    return Site({"type": "FeatureCollection", "lawnmap": header, "features": [lawn]})


def tables(data: bytes) -> None:
    """Read the record, closed days and weather of a site; one text is tried as each."""
    either(data, _record, closed.parse, weather.parse)


def _record(data: bytes) -> None:
    text = decode(data, record.NAME).replace("\r\n", "\n")
    whole, torn = record._without_torn(text)
    assert whole + torn == text or not whole.strip()
    found = record.parsed(
        whole, name=record.NAME, columns=record.COLUMNS, needed=("record_id",), most_cells=10_000
    )
    again = record.parsed(
        record.with_rows(found, []).decode(),
        name=record.NAME,
        columns=record.COLUMNS,
        needed=("record_id",),
        most_cells=10_000_000,
    )
    wanted = [{name: row.get(name, "") for name in found.columns} for row in found.rows]
    assert [dict(row) for row in again.rows] == wanted


def names(data: bytes) -> None:
    """Judge a text as the name of a file, as a name of a CRS, and as what an id is made from."""
    text = data.decode("utf-8", "surrogatepass") if _has_half(data) else decode(data, "")
    made = new_id(text, {"zone"})
    assert ZONE_ID.fullmatch(made)
    either(
        data,
        lambda _: admit.refuse_address(text),
        lambda _: kind.kind_of(b"lon,lat\n1,2\n", text),
        lambda _: reader_crs.named(text),
        lambda _: _known(text),
    )


def _has_half(data: bytes) -> bool:
    try:
        data.decode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        return False
    return True


def _known(text: str) -> None:
    if not re.match(r"\w+:\d+$|[^\[]*=", text, re.ASCII) and "[" not in text:
        return  # the register is searched for what is like a name: a second each
    before = set(Path.cwd().iterdir())
    shapes = np.array([shapely.box(0, 0, 1, 1)], dtype=object)
    geometry_crs.known(text)
    moved = geometry_crs.to_lonlat(shapes, text)
    assert np.isfinite(shapely.get_coordinates(moved)).all()
    assert set(Path.cwd().iterdir()) == before


def handed_over(data: bytes) -> None:
    """Unpack what a child might say: JSON as it is, or well-known binary that it packs."""
    if data.startswith(b"{"):
        told = json_text.loads(data, name="")
        if not _is_answer(told):
            raise InputRefused("is no answer")
    else:
        parts: list[bytes | None] = [part or None for part in data.split(b"WKB|")[:8]]
        told = handover.pack(parts, [{} for _ in parts], crs="EPSG:27700", warnings=[])
        json_text.dumps(told)
    check_found(handover.unpack(told, None))


def _is_answer(told: Any) -> bool:
    """Tell whether a child of ours could have said it: its form is ours, its content is not."""
    try:
        return (
            set(told) == {"features", "crs", "heights", "warnings"}
            and isinstance(told["crs"], str | None)
            and isinstance(told["warnings"], list)
            and all(
                isinstance(properties, dict)
                and all(isinstance(each["type"], str) for each in shapes)
                for shapes, properties in told["features"]
            )
        )
    except (TypeError, KeyError, ValueError, IndexError):
        return False


def dxf_text(data: bytes) -> None:
    """Read a drawing as the child does, here in this process."""
    if kind.kind_of(data, "plan.dxf") != "dxf":
        return
    DXF.write_bytes(data)
    try:
        _drawing()
    finally:
        DXF.unlink()


def _drawing() -> None:
    refused: InputRefused | None = None
    layers = dxf_told.layers(str(DXF))
    finite(layers)
    for name, *_ in layers[:3]:
        for said_m in (None, 1.0):
            try:
                told = dxf_told.features(str(DXF), name, said_m)
            except InputRefused as error:
                refused = error
            else:
                json_text.dumps(told)
                finite([geometry["coordinates"] for geometry, _, _ in told["features"]])
    if refused:
        raise refused


DXF = Path(tempfile.gettempdir()) / f"lawnmap-fuzz-{os.getpid()}.dxf"
TARGETS: dict[str, Callable[[bytes], None]] = {
    "geojson": geojson_text,
    "kml": kml_text,
    "gpx": gpx_text,
    "kmz": kmz_archive,
    "csv": csv_text,
    "tape": tape_sheet,
    "osm": osm_text,
    "wkt": wkt_text,
    "number": number,
    "rate": rate,
    "choices": choices,
    "cards": cards,
    "site": site_document,
    "reply": reply,
    "tables": tables,
    "names": names,
    "handover": handed_over,
    "dxf": dxf_text,
}
