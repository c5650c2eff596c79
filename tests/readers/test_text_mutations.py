"""Good files with bytes changed at random: read or refused, never anything else."""

import json
import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import LawnmapError
from lawnmap.files.admit import Source
from lawnmap.files.kind import kind_of
from lawnmap.found import Found
from lawnmap.readers import csv_table, geojson, gpx, kml, kmz
from tests.readers import good_files as good
from tests.readers.mutants import ROUNDS, SEED, mutated

GOOD = {
    "geojson": (geojson, good.GEOJSON),
    "kml": (kml, good.KML),
    "kmz": (kmz, good.zipped(good.KML)),
    "gpx": (gpx, good.GPX),
    "csv": (csv_table, good.WKT),
    "csv by rows": (csv_table, good.ROWS),
}


def check(answer):
    """Assert that what was accepted is sound: finite numbers and plain values."""
    assert isinstance(answer, Found)
    assert answer.features
    for feature in answer.features:
        assert all(math.isfinite(number) for number in numbers(feature.geometry["coordinates"]))
        json.dumps(feature.properties, allow_nan=False)
        assert feature.place
    assert all(warning.endswith(".") for warning in answer.warnings)


def numbers(value):
    if isinstance(value, float):
        yield value
    else:
        assert isinstance(value, list)
        for each in value:
            yield from numbers(each)


def outcome(module, kind, data):
    """Return what became of one file: read, or refused by a plain message."""
    refusal = None
    try:
        source = Source(f"a.{kind}", data, kind_of(data, f"a.{kind}"))
        layers = module.look(source)
        check(module.read(source, layer=layers[0].name if layers else None))
    except LawnmapError as error:
        refusal = error
    # The net is for what nobody thought of; nothing here is that.
    assert refusal is None or "could not be read" not in refusal.problem
    assert str(refusal).isprintable()
    return "refused" if refusal else "read"


@pytest.mark.parametrize("case", GOOD)
def test_changed_bytes(case):
    module, data = GOOD[case]
    kind = case.split()[0]
    assert outcome(module, kind, data) == "read"
    chance = random.Random(SEED)
    seen = {outcome(module, kind, mutated(data, chance)) for _ in range(ROUNDS)}
    assert seen == {"read", "refused"}


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-500, 500) | st.floats(-200, 200) | st.text(max_size=3)
    | st.sampled_from(["Feature", "Polygon", "Point", "FeatureCollection", "GeometryCollection"]),
    lambda inner: st.lists(inner, max_size=5)
    | st.dictionaries(
        st.sampled_from(
            ["type", "coordinates", "features", "geometry", "geometries", "properties", "id", "crs",
             "name", "bbox"]
        ),
        inner,
        max_size=5,
    ),
    max_leaves=30,
)  # fmt: skip


@given(VALUES, st.sampled_from(["Feature", "FeatureCollection", "Polygon", "GeometryCollection"]))
def test_any_json_at_all(value, kind):
    """Changed bytes seldom pass the parser; values of a wrong shape always do."""
    if isinstance(value, dict):
        value["type"] = kind
    outcome(geojson, "geojson", json.dumps(value).encode())
    feature = {"type": "Feature", "geometry": value, "properties": value}
    assert outcome(geojson, "geojson", json.dumps(feature).encode()) in {"read", "refused"}


CHILDREN = ["Document", "Folder", "Placemark", "Polygon", "outerBoundaryIs", "LinearRing", "Point",
            "coordinates", "MultiGeometry", "name", "ExtendedData", "SchemaData", "SimpleData",
            "Schema", "SimpleField", "trk", "trkseg", "trkpt", "wpt", "rte", "rtept"]  # fmt: skip
TREES = st.recursive(
    st.sampled_from(["", "-2,53", "-2,53 -1,53 -1,54 -2,53", "x", "&#9;"]),
    lambda inner: st.lists(st.tuples(st.sampled_from(CHILDREN), inner), max_size=4).map(
        lambda pairs: "".join(
            f'<{tag} id="s" name="a" lat="53" lon="-2" type="int">{inside}</{tag}>'
            for tag, inside in pairs
        )
    ),
    max_leaves=20,
)


@given(TREES)
def test_any_xml_at_all(inside):
    assert outcome(kml, "kml", f"<kml>{inside}</kml>".encode()) in {"read", "refused"}
    assert outcome(gpx, "gpx", f"<gpx>{inside}</gpx>".encode()) in {"read", "refused"}
