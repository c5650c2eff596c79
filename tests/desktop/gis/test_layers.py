"""Layers as people have them: other CRS, own columns, ids of their own, a selection, one shape."""

import pytest

from tests.desktop.gis.conftest import differing

pytestmark = pytest.mark.gis
NEW = "TEMPORARY_OUTPUT"
KINDS = ("Point", "LineString", "Polygon")
EAST, NORTH = 659_000.0, 396_000.0  # somewhere on the British National Grid, in no town
# A transverse Mercator with a false origin of somebody's own: no register has a code for it.
OWN = (
    'PROJCRS["Grounds grid",BASEGEOGCRS["WGS 84",DATUM["World Geodetic System 1984",'
    'ELLIPSOID["WGS 84",6378137,298.257223563]]],CONVERSION["grid",'
    'METHOD["Transverse Mercator",ID["EPSG",9807]],'
    'PARAMETER["Latitude of natural origin",53.4,ANGLEUNIT["degree",0.0174532925199433]],'
    'PARAMETER["Longitude of natural origin",1.9,ANGLEUNIT["degree",0.0174532925199433]],'
    'PARAMETER["Scale factor at natural origin",1,SCALEUNIT["unity",1]],'
    'PARAMETER["False easting",1000,LENGTHUNIT["metre",1]],'
    'PARAMETER["False northing",2000,LENGTHUNIT["metre",1]]],'
    'CS[Cartesian,2],AXIS["easting",east],AXIS["northing",north],LENGTHUNIT["metre",1]]'
)


def square(east, north, side, hole=0.0):
    """Return a square in metres as WKT, with a square hole in its middle."""
    rings = []
    for half in (side / 2, hole / 2):
        if half:
            x, y = EAST + east, NORTH + north
            corners = [(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]
            rings.append(
                "(" + ", ".join(f"{x + a * half} {y + b * half}" for a, b in corners) + ")"
            )
    return f"POLYGON({', '.join(rings)})"


def rows_of(found):
    return {row["zone_id"]: row for row in found["rows"]}


@pytest.mark.parametrize("crs", ["EPSG:4326", "EPSG:3857", "EPSG:25831", OWN])
def test_any_crs_comes_back_as_it_went_and_measures_the_same(gis, lawnmap, crs):
    gis.transformed("zones moved", "zones", crs)
    for kind in KINDS:  # a layer that the GIS makes holds one kind of shape
        gis.part("features", kind)
        gis.transformed(f"{kind} moved", f"features {kind}", crs)
    moved = {"ZONES": "@zones moved", "FEATURES": [f"@{kind} moved" for kind in KINDS]}
    found = gis.step("measure", **moved, RESULT=NEW)["RESULT"]
    theirs = gis.shown("zones moved")
    assert found["shapes"] == theirs["shapes"]
    assert "zones moved" in found["same_crs_as"]
    told = {row["zone_id"]: row for row in lawnmap("measure")}
    for zone_id, row in rows_of(found).items():
        # The GIS moves the corners with a PROJ of its own, and into ETRS89 on the old ellipsoid:
        # 90 parts in a million of length. A stem or a bed left out would be ten times as much.
        assert row["ground_area_m2"] == pytest.approx(told[zone_id]["ground_area_m2"], rel=5e-4)
    lines = gis.step("pass_lines", **moved, TODAY="2026-08-20", LINES=NEW)["LINES"]
    assert lines["crs"] == theirs["crs"]
    assert "zones moved" in lines["same_crs_as"]
    assert len(lines["rows"]) > 20


def test_own_columns_stay_and_ids_are_given(gis):
    fields = [
        ["Mown by", "text"],
        ["Price", "number"],
        ["ground_area_m2", "number"],
        ["fid", "whole"],
    ]
    rows = [
        [square(0, 0, 10), ["Sam", 12.5, 1.0, 7]],
        [square(30, 0, 20, hole=10), [None, None, None, None]],
    ]
    gis.drawn("own", "EPSG:27700", fields, rows)
    done = gis.run("measure", {"ZONES": "@own", "RESULT": NEW})
    found = done["outputs"]["RESULT"]
    assert found["fields"][:4] == ["Mown by", "Price", "ground_area_m2", "fid"]
    assert [[row["Mown by"], row["Price"], row["fid"]] for row in found["rows"]] == [
        ["Sam", 12.5, 7],
        [None, None, None],
    ]
    areas = [row["ground_area_m2"] for row in found["rows"]]
    # Map scale there is 0.99985 or so of the ground: under a thousandth off the drawn square.
    assert areas == pytest.approx([100, 300], rel=3e-3)
    ids = [row["zone_id"] for row in found["rows"]]
    assert len(set(ids)) == 2
    assert all(ids)
    assert "own: worked out anew: ground_area_m2." in done["warnings"]
    assert gis.shown("own")["rows"][0]["ground_area_m2"] == 1.0  # the layer itself is left alone


def test_a_field_may_be_chosen_for_the_id_and_for_each_fact(gis):
    fields = [["Ref", "text"], ["Moos", "number"], ["zone_id", "text"]]
    rows = [[square(0, 0, 10), ["N-1", 4.0, "x"]], [square(30, 0, 10), ["N-2", 0.0, "y"]]]
    gis.drawn("refs", "EPSG:27700", fields, rows)
    found = gis.step("assess", ZONES="@refs", ZONE_ID="Ref", MOSS_RATING="Moos", RESULT=NEW)[
        "RESULT"
    ]
    seen = [[row["Ref"], row["Moos"], row["moss_rating"]] for row in found["rows"]]
    assert seen == [["N-1", 4.0, 4.0], ["N-2", 0.0, 0.0]]
    assert len({row["moss_class"] for row in found["rows"]}) == 2
    assert [row["moss_low_pct"] for row in found["rows"]] == [50, 0]


def test_a_selection_is_taken_alone(gis, lawnmap):
    assert gis.select("zones", "zone_id in ('main', 'terrace')") == 2
    try:
        only = gis.selected("zones")
        found = gis.step("measure", ZONES=only, RESULT=NEW)["RESULT"]
    finally:
        gis.select("zones", "false")
    assert list(rows_of(found)) == ["terrace", "main"]
    told = {row["zone_id"]: row["outline_area_m2"] for row in lawnmap("measure")}
    assert {z: row["outline_area_m2"] for z, row in rows_of(found).items()} == {
        zone_id: told[zone_id] for zone_id in ("terrace", "main")
    }


def test_features_may_come_in_layers_of_their_own(gis, lawnmap):
    """As the GIS opens a table of mixed shapes: points, lines and polygons apart."""
    names = []
    for kind in KINDS:
        gis.part("features", kind)
        names.append(f"@features {kind}")
    found = gis.step("measure", ZONES="@zones", FEATURES=names, RESULT=NEW)["RESULT"]
    assert differing(found, lawnmap("measure")) == {}


def test_one_zone_and_a_zone_of_parts(gis):
    parts = f"MULTIPOLYGON({square(0, 0, 10)[7:]}, {square(40, 0, 10)[7:]})"
    gis.drawn("parts", "EPSG:27700", [["name", "text"]], [[parts, ["Both"]]], kind="MultiPolygon")
    found = gis.step("measure", ZONES="@parts", RESULT=NEW)["RESULT"]
    (row,) = found["rows"]
    assert row["ground_area_m2"] == pytest.approx(200, rel=3e-3)
    assert found["kind"] == "MultiPolygon"
