"""One invented garden by every route: each area lies within the error that the route claims.

What is true stands in ``sample_geo/garden.py``, which no route reads. An area is right when it lies
within 1.96 times the standard error that measuring claims for it (95 %), and a claim is worth
something when it is not so large that anything would do: each route has a most for it.
"""

import csv
import importlib.util
import sys
from pathlib import Path

import pytest

from lawnmap.jobs.measure import measure
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start
from lawnmap.store.folder import Folder
from lawnmap.store.site import load

SAMPLE = Path(__file__).parents[2] / "sample_geo"
PLANS = SAMPLE / "plans"
sys.path.insert(0, str(SAMPLE))
import garden  # noqa: E402

COVERS = 1.96  # standard errors of 95 %
LAWN = Reading(layers=("LAWN=zone",))
WALK = Reading(layers=("*",), kind="zone")
PICKED = Reading(crs="picture:garden")
SCAN = Reading(control=PLANS / "garden_control.csv")
PAGE = Reading(control=PLANS / "garden_page_control.csv")
GRASS = Reading(layers=("lawns and grass",))

# Route: file and how it is read, how it says its outlines were got, the largest claim as a share
# of the area. The strip of 60 m² and 3 m across has the largest: a drawing is taken to be out by
# 0.1 m a corner, map data by 1 m and a phone by 5 m, which is too coarse for a garden, as it says.
ROUTES = {
    "drawing": ("garden.dxf", LAWN, "drawing", 0.04),
    "map data": ("garden.fgb", Reading(), "drawing", 0.04),
    "open map data": ("garden.osm", GRASS, "drawn", 0.4),
    "tape": ("tape.csv", Reading(), "tape", 0.01),
    "walk": ("walk.gpx", WALK, "gps", 1.6),
    "walk, GPX 1.0": ("walk10.gpx", WALK, "gps", 1.6),
    "walk, table": ("walk.csv", Reading(kind="zone"), "gps", 1.6),
}
PICTURES = {
    "GeoTIFF": ("garden.tif", Reading(), 0.02),
    "scan": ("garden.png", SCAN, 0.02),
    "PDF page": ("garden.pdf", PAGE, 0.02),
}


@pytest.fixture
def site(tmp_path):
    folder = tmp_path / "garden"
    start(folder, title="Invented garden")
    return folder


def truth(name, *, without_bed=False):
    """Return the area of a lawn [m²]; where the bed is a hole in it, without that."""
    hole = garden.area(garden.BED) if without_bed and name == "Back lawn" else 0.0
    return garden.area(garden.ZONES[name]) - hole


def assert_within_claim(site, source, most, *, without_bed=False):
    """Assert that each area is as near to the truth as is claimed, and the claim a fair one."""
    zones = measure(load(Folder(site))).zones
    assert sorted(zones["name"]) == sorted(garden.ZONES)
    assert set(zones["outline_source"]) == {source}
    for zone in zones.itertuples():
        true = truth(zone.name, without_bed=without_bed)
        off, claim = zone.outline_area_m2 - true, zone.area_sigma_m2
        assert 0 < claim <= most * true, f"{zone.name}: ±{claim:.2f} of {true:.1f} m²"
        assert abs(off) <= COVERS * claim, f"{zone.name}: {off:+.2f} m² off, ±{claim:.2f} claimed"


@pytest.mark.parametrize("route", ROUTES)
def test_outlines_are_as_near_as_they_claim(site, route):
    file, reading, source, most = ROUTES[route]
    assert read(PLANS / file, reading, into=site).saved
    assert_within_claim(site, source, most, without_bed=route == "open map data")


def test_a_drawing_placed_by_control_points_is_as_near_as_it_claims(site):
    placed = Reading(layers=LAWN.layers, control=PLANS / "drawing_control.csv")
    assert read(PLANS / "garden.dxf", placed, into=site).agreement is not None
    assert_within_claim(site, "drawing", 0.04)


@pytest.mark.parametrize("route", PICTURES)
def test_corners_picked_in_a_picture_are_as_near_as_they_claim(site, tmp_path, route):
    file, reading, most = PICTURES[route]
    picture = read(PLANS / file, reading, into=site)
    assert [change.kind for change in picture.changes] == ["backdrop"]
    corners = PLANS / "corners.csv"  # in the scan, which the GeoTIFF is too
    if route == "PDF page":
        corners = tmp_path / "page_corners.csv"
        written(corners, picked_on_the_page())
    assert read(corners, PICKED, into=site).saved
    assert_within_claim(site, "plan picture", most)


def picked_on_the_page():
    """Return the lawns' corners to the whole pixel, as somebody picks them on the PDF page."""
    spec = importlib.util.spec_from_file_location("make_picture", PLANS / "make_picture.py")
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    return [
        {"name": name, "seq": seq, "x": round(column), "y": round(row)}
        for name, ring in garden.ZONES.items()
        for seq, (column, row) in enumerate((maker.page_pixel(*point) for point in ring), 1)
    ]


def written(path, rows):
    with path.open("w", encoding="utf-8", newline="") as stream:
        table = csv.DictWriter(stream, rows[0])
        table.writeheader()
        table.writerows(rows)
