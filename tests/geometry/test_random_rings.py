"""No silent change of a shape: what is told of any ring is what stands in the site, or a warning.

Ten thousand polygons at random go through the whole door: GeoJSON, read, merged, saved, loaded,
measured. What was taken without a word has to stand in the file corner for corner; what was not has
to be named with its place; and the area that is told is that of the ring in the file, against a
computation that shares nothing with ours.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from itertools import pairwise

import numpy as np
import pyproj
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from lawnmap.errors import InputRefused
from lawnmap.files.admit import Source
from lawnmap.jobs.measure import measure
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.model import FORMAT, Site
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder
from tests.geometry import random_rings as rings
from tests.readers.mutants import LONG

SEED = 20_271_101
A_FILE = 40
FILES = 250 if LONG else 10
LEAST = 0.08  # of all polygons, in each of the ways that one can end
GEOD = pyproj.Geod(ellps="WGS84")
MENDED = re.compile(r"mended: (-?[\d.]+) m² before, ([\d.]+) m² after\.$")
LEFT_OUT = re.compile(r"Left out: (feature \d+)(?=[,:])")


def plan(chance, where, kinds):
    """Return a plan of polygons of some kinds, all about one place."""
    features = []
    for number, kind in enumerate(kinds):
        west, south = where
        if west is not None and where[1] < 80:
            south = max(-89.0, min(89.0, south + 0.3 * (number % 7)))
        shape = rings.geometry(chance, kind, west, south)
        features.append({"type": "Feature", "properties": {}, "geometry": shape})
    crs = {"crs": None} if where[0] is None else {}
    return {"type": "FeatureCollection", **crs, "features": features}


def into_a_site(tmp_path, document, **options):
    """Read a plan into a new site; return the reply, what is on disk then, and what is measured."""
    folder = Folder(tmp_path)
    header = {"format": FORMAT, "revision": 0, "title": "Invented garden"}
    site_store.create(
        folder, Site({"type": "FeatureCollection", "lawnmap": header, "features": []})
    )
    source = Source("plan.geojson", json.dumps(document).encode(), "geojson")
    reply = read(source, Reading(**options), into=tmp_path)
    stored = json.loads(folder.site.read_bytes())
    return reply, stored, measure(site_store.load(folder))


def alike(ring):
    """Return a ring without repeated corners, the same wherever and whichever way it is walked."""
    corners = [tuple(map(float, each)) for each in ring]
    corners = [here for here, after in pairwise(corners) if here != after] or corners[:1]
    start = corners.index(min(corners))
    turned = corners[start:] + corners[:start]
    other = [turned[0], *turned[:0:-1]]
    return min(turned, other)


def polygons(geometry):
    nested = geometry["coordinates"]
    return [nested] if geometry["type"] == "Polygon" else nested


def same(one, other):
    """Tell whether two geometries have the same rings, corner for corner."""
    return [[alike(ring) for ring in each] for each in polygons(one)] == [
        [alike(ring) for ring in each] for each in polygons(other)
    ]


def area(geometry, of_ring):
    """Return an area by one that is taken of single rings, and the length of all of them [m]."""
    total, around = 0.0, 0.0
    for outer, *inner in polygons(geometry):
        sizes = [of_ring(np.array(ring)) for ring in (outer, *inner)]
        total += sizes[0][0] - sum(each for each, _ in sizes[1:])
        around += sum(length for _, length in sizes)
    return total, around


def equal_area(ring, pieces=64):
    """Return area and length: geodesics by Karney's code, laid flat by PROJ's EPSG method 9835.

    What chords of the pieces leave out falls with the square of their number, so that half as many
    of them tell how much it is (Richardson).
    """
    lon, lat = ring[:-1].T
    azimuth, _, length = GEOD.inv(lon, lat, *ring[1:].T)
    along = np.arange(pieces) / pieces
    each = [np.repeat(value, pieces) for value in (lon, lat, azimuth)]
    x, y, _ = GEOD.fwd(*each, np.outer(length, along).ravel())
    xy = np.column_stack(pyproj.Proj(proj="cea", ellps="WGS84", lon_0=lon[0])(x, y))
    fine, coarse = shoelace(xy - xy[0]), shoelace(xy[::2] - xy[0])
    return abs(4 * fine - coarse) / 3, float(length.sum())


def shoelace(xy):
    after = np.roll(xy, -1, axis=0)
    return math.fsum(xy[:, 0] * after[:, 1] - after[:, 0] * xy[:, 1]) / 2


def by_proj(ring):
    found, around = GEOD.polygon_area_perimeter(*ring[:-1].T)
    return abs(found), around


def by_geographiclib(ring):
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring[:-1]:
        polygon.AddPoint(lat, lon)
    _, around, found = polygon.Compute()
    return abs(found), around


def check_area(told, geometry, number):
    """Hold an area against others' computations.

    Sources: PROJ's cylindrical equal-area projection (EPSG method 9835) of geodesics, to 1e-9 and
    3 nm along the ring, which is what degrees in doubles and PROJ itself resolve (a long ring of
    hardly any width is out by no more than 1e-11 of a square of its length); GeographicLib (Karney
    2013), whose own round-off is up to 1e-4 m², by PROJ's copy and by the Python one.
    """
    truth, around = area(geometry, by_geographiclib if number % 10 == 0 else by_proj)
    latitude = max(abs(y) for each in polygons(geometry) for ring in each for _, y in ring)
    corners = sum(len(ring) for each in polygons(geometry) for ring in each)
    assert told == pytest.approx(truth, rel=1e-8, abs=2e-4 + 1e-6 * corners)
    if latitude < 80 and around < 2_000:
        truth, around = area(geometry, equal_area)
        off = abs(told - truth)
        assert off <= 1e-9 * truth + 3e-9 * around + 1e-11 * around**2, (told, truth, geometry)
        return off <= 1e-9 * truth + 3e-9 * around
    return 0


def check_plan_area(told, geometry):
    """Hold the area of a plan that lies nowhere against that of its own metres, flat."""
    flat, _ = area(geometry, lambda ring: (abs(shoelace(ring[:-1] - ring[0])), 0.0))
    around = sum(shapely.LineString(ring).length for each in polygons(geometry) for ring in each)
    assert told == pytest.approx(flat, rel=4e-8, abs=1e-8 * around)  # docs/design.md


def check(document, reply, stored, measured, counts):
    """Assert that no polygon of a plan became another without a word."""
    left = {found[1] for each in reply.warnings if (found := LEFT_OUT.match(each))}
    mended = {
        each.partition(":")[0]: float(found[2])
        for each in reply.warnings
        if (found := MENDED.search(each))
    }
    told = {each.feature["properties"]["zone_id"]: each.area_m2 for each in reply.changes}
    kept = {each["properties"]["zone_id"]: each["geometry"] for each in stored["features"]}
    assert told.keys() == kept.keys()
    plan_m = max(
        abs(each)
        for feature in document["features"]
        for polygon in polygons(feature["geometry"])
        for ring in polygon
        for position in ring
        for each in position
    )
    for number, feature in enumerate(document["features"]):
        zone_id, place = f"z{number}", f"feature {number + 1}"
        if zone_id not in kept:
            assert place in left
            counts["refused"] += 1
            continue
        assert place not in left
        if place in mended:
            counts["mended"] += 1
            assert told[zone_id] == pytest.approx(mended[place], abs=0.005001)
        elif stored["lawnmap"]["placed"]:
            assert same(feature["geometry"], kept[zone_id])
            counts["as they were"] += 1
        else:
            counts["as they were"] += 1
            if plan_m < 2_500:
                check_plan_area(told[zone_id], feature["geometry"])
        assert told[zone_id] > 0
        row = measured.zones.loc[zone_id]
        assert row["outline_area_m2"] == pytest.approx(told[zone_id], rel=1e-9)
        shared = row["shared_area_m2"]
        assert row["plan_area_m2"] == pytest.approx(told[zone_id] - shared, rel=1e-9, abs=1e-6)
        assert shared < 1e-6 or any(zone_id in each for each in measured.warnings)
        counts["to 1e-9"] += check_area(told[zone_id], kept[zone_id], number)


def read_all(tmp_path, seed, repair, counts):
    """Read a file of polygons into a site; those that a reader refuses by their form one by one."""
    chance = rings.seeded(seed)
    where = (None, None) if chance.random() < 0.15 else rings.place(chance)
    document = plan(chance, where, [chance.choice(rings.KINDS) for _ in range(A_FILE)])
    closed = []
    for feature in document["features"]:
        if all(ring[0] == ring[-1] for each in polygons(feature["geometry"]) for ring in each):
            feature["properties"]["zone_id"] = f"z{len(closed)}"
            closed.append(feature)
            continue
        one = {**document, "features": [feature]}
        with pytest.raises(InputRefused, match="does not end where it begins") as told:
            read(Source("plan.geojson", json.dumps(one).encode(), "geojson"))
        assert told.value.place.startswith("feature 1")
        counts["refused"] += 1
    document["features"] = closed
    crs = "local" if where[0] is None else None
    try:
        into = into_a_site(tmp_path, document, crs=crs, repair=repair, skip_bad=True)
    except InputRefused as error:
        if error.problem != "no usable feature is left":
            raise
        counts["refused"] += len(closed)
    else:
        check(document, *into, counts)


def test_no_polygon_becomes_another_without_a_word(tmp_path, figure):
    counts = Counter()
    for number in range(FILES):
        folder = tmp_path / f"site{number}"
        read_all(folder, SEED + number, repair=bool(number % 2), counts=counts)
    ways = ("as they were", "mended", "refused")
    assert sum(counts[each] for each in ways) == FILES * A_FILE
    assert all(counts[each] > LEAST * FILES * A_FILE for each in (*ways, "to 1e-9"))
    figure(
        23,
        f"{FILES * A_FILE:,} polygons at random through the door: {counts['as they were']:,} stand "
        f"as they were, {counts['mended']:,} mended with a warning, {counts['refused']:,} refused "
        f"by place; {counts['to 1e-9']:,} areas within 1e-9 of PROJ's, the others within Karney's "
        "own round-off",
    )


def box_across(west, east):
    ring = [[west, -17], [east, -17], [east, -16.9999], [west, -16.9999], [west, -17]]
    return {"type": "Polygon", "coordinates": [ring]}


@pytest.mark.parametrize("repair", [False, True])
@pytest.mark.parametrize(
    "geometry",
    [
        box_across(179.9999, -179.9999),
        {
            "type": "MultiPolygon",
            "coordinates": [
                box_across(each, each - 1e-4)["coordinates"] for each in (180, -179.9999)
            ],
        },
    ],
)
def test_what_reaches_across_the_180th_meridian_is_refused(geometry, repair):
    # On a flat map it goes round the earth the other way: it crossed lawns on the other side.
    feature = {"type": "Feature", "properties": {}, "geometry": geometry}
    source = Source("plan.geojson", json.dumps(feature).encode(), "geojson")
    with pytest.raises(InputRefused, match="reaches across the 180° meridian") as told:
        read(source, Reading(repair=repair))
    assert told.value.place == "feature 1"
    assert "Cut it there" in told.value.remedy


def test_what_is_mended_to_nothing_is_refused_and_not_told_as_mended():
    ring = [[0, 0], [2e-3, 1e-3], [1e-3, 5e-4], [2e-3, 1e-3], [0, 0]]
    fine = [[1, 0], [1.001, 0], [1.001, 0.001], [1, 0]]
    features = [
        {
            "type": "Feature",
            "properties": {},
            "geometry": {"type": "Polygon", "coordinates": [each]},
        }
        for each in (ring, fine)
    ]
    document = {"type": "FeatureCollection", "features": features}
    source = Source("plan.geojson", json.dumps(document).encode(), "geojson")
    reply = read(source, Reading(repair=True, skip_bad=True))
    (left,) = reply.warnings
    assert left.startswith("Left out: feature 1: ")
    assert left.endswith(" and encloses nothing.")
