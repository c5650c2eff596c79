"""Any sound polygon written as text comes back from every text format to the last bit."""

import json
import math

import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import shape

from lawnmap.files.admit import Source
from lawnmap.readers import csv_table, geojson, gpx, kml

SPACE = '<kml xmlns="http://www.opengis.net/kml/2.2">'
NAMES = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff"), max_size=40
)


@st.composite
def polygons(draw):
    """Draw a star about a place on earth, perhaps with a hole: simple by the way it is made."""
    east, north = draw(st.floats(-170, 170)), draw(st.floats(-80, 80))
    count = draw(st.integers(3, 12))
    reach = [draw(st.floats(1e-5, 1.0)) for _ in range(count)]
    turn = draw(st.floats(0, 1))

    def ring(share):
        corners = [
            [east + share * r * math.cos(a), north + share * r * math.sin(a)]
            for r, a in zip(
                reach, (2 * math.pi * (n + turn) / count for n in range(count)), strict=True
            )
        ]
        return [*corners, corners[0]]

    rings = [ring(1.0)]
    if draw(st.booleans()):
        rings.append(ring(0.25)[::-1])
    polygon = {"type": "Polygon", "coordinates": rings}
    return polygon if shape(polygon).is_valid else {**polygon, "coordinates": rings[:1]}


def written(polygon, position, between, rings):
    """Return the rings of a polygon as text."""
    return rings.join(
        between.join(position.format(*each) for each in ring) for ring in polygon["coordinates"]
    )


def escaped(text):
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def only(found):
    (feature,) = found.features
    assert found.warnings == ()
    return feature


@given(polygons(), NAMES)
def test_geojson(polygon, name):
    value = {"type": "Feature", "geometry": polygon, "properties": {"name": name}}
    feature = only(geojson.read(Source("a.geojson", json.dumps(value).encode(), "geojson")))
    assert feature.geometry == polygon
    assert feature.properties == {"name": name}
    assert shape(feature.geometry).area == shape(polygon).area


@given(polygons(), NAMES)
def test_kml(polygon, name):
    outer, *inner = [
        f"<LinearRing><coordinates>{' '.join(f'{x!r},{y!r}' for x, y in ring)}</coordinates>"
        "</LinearRing>"
        for ring in polygon["coordinates"]
    ]
    edges = f"<outerBoundaryIs>{outer}</outerBoundaryIs>" + "".join(
        f"<innerBoundaryIs>{each}</innerBoundaryIs>" for each in inner
    )
    inside = f"<name>{escaped(name)}</name><Polygon>{edges}</Polygon>"
    text = f"{SPACE}<Placemark>{inside}</Placemark></kml>"
    feature = only(kml.read(Source("a.kml", text.encode(), "kml")))
    assert feature.geometry == polygon
    assert feature.properties.get("name", "") == name.strip()


@given(polygons())
def test_gpx(polygon):
    ring = polygon["coordinates"][0]
    points = "".join(f'<trkpt lon="{x!r}" lat="{y!r}"/>' for x, y in ring)
    text = f'<gpx version="1.1"><trk><trkseg>{points}</trkseg></trk></gpx>'
    feature = only(gpx.read(Source("a.gpx", text.encode(), "gpx")))
    assert feature.geometry == {"type": "LineString", "coordinates": ring}


@given(polygons(), st.sampled_from(",;\t"))
def test_well_known_text(polygon, separator):
    rings = written(polygon, "{!r} {!r}", ",", "),(")
    text = f'wkt{separator}note\n"SRID=4326;POLYGON(({rings}))"{separator}a'
    feature = only(csv_table.read(Source("a.csv", text.encode(), "csv")))
    assert feature.geometry["type"] == "Polygon"
    # GEOS reads a decimal text to the nearest double, as Python does.
    assert shapely.equals_identical(shape(feature.geometry), shape(polygon))


@given(polygons())
def test_corners_by_rows(polygon):
    ring = polygon["coordinates"][0]
    text = "name,lon,lat\n" + "".join(f"A,{x!r},{y!r}\n" for x, y in ring)
    feature = only(csv_table.read(Source("a.csv", text.encode(), "csv")))
    assert feature.geometry == {"type": "Polygon", "coordinates": [ring]}
