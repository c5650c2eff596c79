"""What a dry run says of a plan: where it lies, how large it is, how finely it is written."""

import sys
from pathlib import Path

import pytest

from lawnmap.cli.overview_text import found as told
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start

PLANS = Path(__file__).parents[2] / "sample_geo" / "plans"
sys.path.insert(0, str(PLANS.parent))
import garden  # noqa: E402

SCAN = Reading(control=PLANS / "garden_control.csv")


def seen(name, reading=None, **more):
    return read(PLANS / name, reading, dry_run=True, **more)


def zones_size(turned):
    """Return the width and height of the garden's lawns, from the garden itself."""
    corners = [
        garden.turned(*each) if turned else each for r in garden.ZONES.values() for each in r
    ]
    return [max(axis) - min(axis) for axis in zip(*corners, strict=True)]


def test_a_plan_with_a_crs():
    plan = seen("lawns.geojson").overview
    assert (plan.crs, plan.placed_by, plan.unit_m) == ("OGC:CRS84", "its CRS", None)
    assert plan.size_m == pytest.approx(zones_size(turned=True), abs=0.01)
    fgb = seen("garden.fgb").overview
    assert (fgb.crs, fgb.crs_name) == ("EPSG:32631", "WGS 84 / UTM zone 31N")


def test_a_plan_of_its_own_in_metres_written_to_a_decimetre():
    plan = seen("outlines.csv", Reading(crs="local")).overview
    assert (plan.crs_name, plan.placed_by, plan.unit_m) == ("", "nothing", 1.0)
    assert plan.size_m == pytest.approx(zones_size(turned=False), abs=1e-3)
    assert plan.step_m == pytest.approx(0.1)
    inches = seen("outlines.csv", Reading(crs="local", units="ft")).overview
    assert inches.step_m == pytest.approx(0.03048)


def test_a_drawing_in_millimetres():
    plan = seen("garden.dxf", Reading(layers=("LAWN=zone",))).overview
    assert plan.unit_m == 0.001
    assert plan.step_m == pytest.approx(0.001)
    assert plan.size_m == pytest.approx(zones_size(turned=False), abs=1e-3)


def test_the_seventh_decimal_of_a_degree_is_about_a_centimetre():
    # RFC 7946, section 11.2: six decimals are a precision of about 10 centimetres.
    plan = seen("garden.osm", Reading(layers=("lawns and grass",))).overview
    assert plan.step_m == pytest.approx(0.01, rel=0.12)


def test_a_tape_survey_says_how_well_corners_are_known():
    reply = seen("tape.csv")
    least, most = reply.overview.sigma_m
    assert 0.005 < least <= most < 0.05
    assert "Corners: known to ±0.0" in told(reply.changes, reply.overview)


@pytest.mark.parametrize(
    ("name", "reading", "by"),
    [("garden.png", SCAN, "control points"), ("garden.tif", None, "its own tags")],
)
def test_a_picture(name, reading, by):
    picture = seen(name, reading).overview.picture
    assert (picture.width, picture.height, picture.placed_by) == (660, 1040, by)
    assert picture.pixel_m == pytest.approx(0.055, rel=0.002)
    assert picture.turn_deg == pytest.approx(20, abs=0.1)


def test_a_picture_with_a_world_file(tmp_path):
    (tmp_path / "scan.png").write_bytes((PLANS / "garden.png").read_bytes())
    (tmp_path / "scan.pgw").write_text("0.05\n0\n0\n-0.05\n427000\n5917000\n", encoding="ascii")
    reply = read(tmp_path / "scan.png", Reading(crs="EPSG:32631"), dry_run=True)
    assert reply.overview.picture.placed_by == "the world file beside it"
    lines = told(reply.changes, reply.overview)
    assert "660 by 1,040 pixels of 5 cm" in lines
    assert "EPSG:32631" in lines


def test_heights(tmp_path):
    start(tmp_path / "site", title="x")
    read(PLANS / "lawns.geojson", into=tmp_path / "site")
    spots = seen("heights.csv", Reading(kind="height"), into=tmp_path / "site")
    assert (spots.overview.heights.count, spots.overview.heights.shape) == (267, None)
    cells = seen("heights.tif", into=tmp_path / "site").overview.heights
    assert cells.shape == (101, 70)
    assert cells.count == 6798
    assert 18 < cells.low_m < cells.high_m < 23
    assert "Heights: 267, 19.08 to 22.33 m" in told(spots.changes, spots.overview)


@pytest.mark.parametrize(
    ("name", "reading"),
    [("lawns.geojson", None), ("outlines.csv", Reading(crs="local")), ("garden.png", SCAN)],
)
def test_it_fits_eighty_columns(name, reading):
    reply = seen(name, reading)
    assert max(map(len, told(reply.changes, reply.overview).splitlines())) <= 80


def test_only_a_dry_run_looks_so_closely():
    assert read(PLANS / "lawns.geojson").overview is None
