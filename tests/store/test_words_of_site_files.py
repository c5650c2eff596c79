"""What is told, word for word, of a site file that is not right: where, what, and what to do."""

import math

import pytest

from lawnmap.errors import SiteDamaged
from lawnmap.files.limits import SITE
from lawnmap.store import document, header, migrations
from lawnmap.store.features import check_features
from tests.store.sites import site, told, zone
from tests.store.test_features import RING, feature

DONE = "Nothing was changed."
KINDS = (
    "Set it to one of: zone, tree, building, hedge, fence, paving, water, drain, hidden, supply, "
    "bed, access, core."
)
IDS = "Use 1 to 32 letters, digits, _ and -, beginning with a letter or digit."
ZONE = 'feature 1, zone "a1"'
NUMBERS = "is not a position of 2 or 3 numbers"
EARTH = "is not a longitude and a latitude"


def of(form, kind="zone", coordinates=None, **properties):
    made = feature(kind, form, **properties)
    if coordinates is not None:
        made["geometry"]["coordinates"] = coordinates
    return made


@pytest.mark.parametrize(
    ("features", "says"),
    [
        (None, f"the member features is not a list. {DONE}"),
        ([3], f"feature 1: is not a GeoJSON Feature. {DONE}"),
        ([{"type": "Feature"}], f"feature 1: has no properties. {DONE}"),
        (
            [{"type": "Feature", "properties": {}}],
            f"feature 1: the property feature does not say what it is (found None). {DONE} {KINDS}",
        ),
        (
            [{"type": "Feature", "properties": {"feature": "l" * 50}}],
            f"feature 1: the property feature does not say what it is (found '{'l' * 38}…). "
            f"{DONE} {KINDS}",
        ),
        (
            [of("Polygon", zone_id="a b")],
            f"feature 1, zone \"a b\": zone_id 'a b' is not a short name. {DONE} {IDS}",
        ),
        (
            [of("Polygon", zone_id=None)],
            f"feature 1, zone: zone_id None is not a short name. {DONE} {IDS}",
        ),
        (
            [of("Polygon"), of("Polygon", name="Back")],
            "feature 2, zone \"Back\": zone_id 'a1' is that of feature 1 too. "
            f"{DONE} Give one of the two an id that was never used.",
        ),
        (
            [{**of("Polygon"), "geometry": None}],
            f"{ZONE}: has the geometry None, not Polygon or MultiPolygon. {DONE}",
        ),
        (
            [of("Point")],
            f"{ZONE}: has the geometry 'Point', not Polygon or MultiPolygon. {DONE}",
        ),
        ([of("Point", "tree", [0])], f"feature 1, tree: {NUMBERS}. {DONE}"),
        ([of("Point", "tree", (0, 52))], f"feature 1, tree: {NUMBERS}. {DONE}"),
        ([of("Point", "tree", [0, 52, 1, 1])], f"feature 1, tree: {NUMBERS}. {DONE}"),
        ([of("Point", "tree", [0, None])], f"feature 1, tree: {NUMBERS}. {DONE}"),
        ([of("Point", "tree", [0, 90.5])], f"feature 1, tree: {EARTH}. {DONE}"),
        ([of("Point", "tree", [360, 0])], f"feature 1, tree: {EARTH}. {DONE}"),
        ([of("Point", "tree", [181, 0, 5_000])], f"feature 1, tree: {EARTH}. {DONE}"),
        (
            [of("Point", "tree", [360.5, 0])],
            f"feature 1, tree: {EARTH}; it looks like metres. {DONE}",
        ),
        (
            [of("Point", "tree", [0, -361, 5])],
            f"feature 1, tree: {EARTH}; it looks like metres. {DONE}",
        ),
        ([of("Polygon", coordinates="x")], f"{ZONE}: has empty coordinates, or none. {DONE}"),
        (
            [of("Polygon", coordinates=[RING, []])],
            f"{ZONE}, part 2: has empty coordinates, or none. {DONE}",
        ),
        (
            [of("Polygon", coordinates=[RING[:3]])],
            f"{ZONE}, part 1: the ring has fewer than 4 points. {DONE}",
        ),
        (
            [of("MultiPolygon", coordinates=[[RING], [RING, [*RING[:3], [0, 51]]]])],
            f"{ZONE}, part 2, part 2: the ring is not closed. {DONE}",
        ),
        (
            [of("LineString", "fence", [[0, 0]])],
            f"feature 1, fence: the line has fewer than 2 points. {DONE}",
        ),
        (
            [of("LineString", "fence", [[0, 0], [1]])],
            f"feature 1, fence, point 2: {NUMBERS}. {DONE}",
        ),
        (
            [of("Polygon", moss_rating="9" * 60)],
            f"{ZONE}: moss_rating is '{'9' * 38}…, not a number from 0 to 5. {DONE}",
        ),
        (
            [of("Polygon", turf_type="lawn")],
            f"{ZONE}: turf_type is 'lawn', not one of: ornamental lawn, general lawn, sports "
            f"pitch, cricket square, bowls/croquet/tennis, verge. {DONE}",
        ),
    ],
)
def test_of_features(features, says):
    assert told(check_features, features) == says


@pytest.mark.parametrize("found", ["l" * 38, "l" * 39])
def test_what_is_shown_is_cut_at_forty_characters(found):
    wrong = [{"type": "Feature", "properties": {"feature": found}}]
    shown = repr(found) if len(found) == 38 else f"'{'l' * 38}…"
    assert f"(found {shown})" in told(check_features, wrong)


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("format 1", f"lawnmap: is not an object. {DONE}"),
        ({"format": 1}, f"lawnmap.revision: is missing. {DONE}"),
        ({"revision": 1}, f"lawnmap.format: is missing. {DONE}"),
        (
            {"format": 1, "revision": 0, "site_id": "0"},
            f"lawnmap.site_id: is not 16 digits, 0 to 9 and a to f. {DONE}",
        ),
        (
            {"format": 1, "revision": 0, "site_id": 3},
            f"lawnmap.site_id: is not 16 digits, 0 to 9 and a to f. {DONE}",
        ),
        (
            {"format": 1, "revision": 0, "surveyed": "1.3.2027"},
            f"lawnmap.surveyed: is not a day written YYYY-MM-DD. {DONE}",
        ),
        (
            {"format": 1, "revision": 0, "origin": "00"},
            f"lawnmap.origin: is not two numbers. {DONE}",
        ),
        (
            {"format": 1, "revision": 0, "anchor": [0, 91]},
            f"lawnmap.anchor: is not a longitude and a latitude. {DONE}",
        ),
    ],
)
def test_of_a_header(value, says):
    assert told(header.check_header, value) == says


def test_the_headers_that_there_are():
    for more in ({"site_id": ""}, {"site_id": "0123456789abcdef"}, {"origin": [1e6, -3]}):
        assert header.check_header({"format": 1, "revision": 0, **more}) is None


def of_document(**members):
    return document.encode({"type": "FeatureCollection", **members}, name="s.geojson").data


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"[]", f"s.geojson: is not a GeoJSON FeatureCollection. {DONE}"),
        (b'{"type":"Feature"}', f"s.geojson: is not a GeoJSON FeatureCollection. {DONE}"),
        (
            b'{"type":"FeatureCollection","features":[]}',
            f"s.geojson: was saved by another program. {DONE}",
        ),
        (
            b'{"type":"FeatureCollection","lawnmap":{"format":1,"revision":0}}',
            f"s.geojson: the member features is not a list. {DONE}",
        ),
        (
            b'{"type":"FeatureCollection","lawnmap":{"format":1,"revision":0,"title":3},'
            b'"features":[]}',
            f"s.geojson: lawnmap.title: is not text. {DONE}",
        ),
        (
            b'{"type":"FeatureCollection","lawnmap":{"format":1000,"revision":0},"features":[]}',
            "s.geojson: has format 1000, and this lawnmap knows formats up to "
            f"{migrations.FORMAT}. {DONE} Install a newer lawnmap.",
        ),
        (
            b"{}}",
            f"s.geojson: line 1, column 3: is not JSON: Extra data. {DONE} Export the file again.",
        ),
    ],
)
def test_of_a_document(data, says):
    assert told(document.decode, data, name="s.geojson") == says


def test_of_what_cannot_be_written(monkeypatch):
    correct = "Correct the number or the text, and save again."
    for value, says in (
        (math.nan, "Out of range float values are not JSON compliant"),
        ("\ud800", "'utf-8' codec can't encode character"),
    ):
        refused = told(document.encode, site(zone("a1", x=value)).document, name="s.geojson")
        assert refused.startswith(f"s.geojson: cannot be saved as JSON ({says}")
        assert refused.endswith(f"). {DONE} {correct}")
    monkeypatch.setattr(document, "SITE", SITE._replace(file_bytes=1_000_000))
    large = site(zone("a1", x="x" * 1_000_000)).document
    assert told(document.encode, large, name="s.geojson") == (
        f"s.geojson: would be larger than 1 MB. {DONE} Split the site into two."
    )
    monkeypatch.setattr(document, "decode", lambda data, name: {"features": []})
    assert told(document.encode, site().document, name="s.geojson") == (
        f"s.geojson: does not read back as it was written. {DONE} Report this as a fault."
    )


def test_the_largest_site_is_written(monkeypatch):
    """The limit itself is good; lists for tuples are no other document."""
    value = {**site(zone("a1", x=("a", "b"))).document, "more": 1}
    size = len(document.encode(value, name="s.geojson").data)
    monkeypatch.setattr(document, "SITE", SITE._replace(file_bytes=size))
    written = document.encode(value, name="s.geojson")
    assert written.document["features"][0]["properties"]["x"] == ["a", "b"]
    monkeypatch.setattr(document, "SITE", SITE._replace(file_bytes=size - 1))
    assert "would be larger" in told(document.encode, value, name="s.geojson")


def test_the_text_of_a_site_to_the_byte():
    """One feature a line, header first: two states of a site can be compared line by line."""
    value = {"features": [{"a": 1}, {"b": "é"}], "x": [1.5], "lawnmap": {}, "type": "T"}
    text = '{\n"type":"T",\n"lawnmap":{},\n"x":[1.5],\n"features":[\n{"a":1},\n{"b":"é"}\n]\n}\n'
    assert document._text(value) == text
    assert document._text({"type": "T", "features": []}) == '{\n"type":"T",\n"features":[]\n}\n'
    assert document._text({"type": "T"}) == '{\n"type":"T",\n"features":[]\n}\n'


def test_of_formats():
    newer = told(migrations.bring_up, {"lawnmap": {"format": 2}}, name="s.geojson", newest=1)
    assert newer == (
        "s.geojson: has format 2, and this lawnmap knows formats up to 1. "
        f"{DONE} Install a newer lawnmap."
    )
    never = told(
        migrations.bring_up,
        {"lawnmap": {"format": 1}},
        name="s.geojson",
        newest=3,
        migrations={2: dict},
    )
    assert never == (
        "s.geojson: has format 1, which no lawnmap ever wrote. "
        f"{DONE} Restore a backup: lawnmap check SITE --restore."
    )
    with pytest.raises(SiteDamaged):
        document.decode(of_future(), name="s.geojson")


def of_future():
    return b'{"type":"FeatureCollection","lawnmap":{"format":99,"revision":1},"features":[]}'
