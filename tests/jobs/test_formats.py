"""The sample site gives the same areas in every format; differences only from rounding."""

from pathlib import Path

import pytest

from lawnmap.jobs.measure import measure
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading

SAMPLE = Path(__file__).parents[2] / "sample_geo"
ALL = "*"


def areas(name, **choices):
    reply = read(SAMPLE / name, Reading(**choices))
    return measure(reply.site).zones


@pytest.fixture(scope="module")
def truth():
    return areas("plan.geojson")


@pytest.mark.parametrize(
    ("name", "choices", "allowed_m2"),
    [
        ("plan.kml", {"layers": (ALL,)}, 1e-6),
        ("plan.kmz", {"layers": (ALL,)}, 1e-6),
        ("plan.csv", {"crs": "OGC:CRS84"}, 1e-6),
        ("plan.parquet", {}, 1e-6),
        # Through a projection and back: positions come back to a tenth of a millimetre or better.
        ("plan.gpkg", {"layers": (ALL,)}, 0.01),
        ("plan_shapefile.zip", {"layers": (ALL,)}, 0.01),
    ],
)
def test_every_format_gives_the_same_areas(truth, name, choices, allowed_m2):
    found = areas(name, **choices)
    assert sorted(found.index) == sorted(truth.index)
    for column in ("outline_area_m2", "plan_area_m2", "ground_area_m2", "obstacle_area_m2"):
        assert (found[column] - truth[column]).abs().max() <= allowed_m2, column
    for column in ("moss_rating", "moss_cover_pct", "thatch_mm", "slope_deg", "name"):
        assert found[column].reindex(truth.index).equals(truth[column]), column


def test_gpx_gives_the_outlines(truth):
    # Nine decimals of a degree are 0.1 mm, on edges of some tens of metres: under 0.01 m².
    found = areas("plan.gpx", layers=(ALL,), kind="zone")
    by_name = found.set_index("name")["outline_area_m2"]
    for name, area in truth.set_index("name")["outline_area_m2"].items():
        assert by_name[name] == pytest.approx(area, abs=0.01)


def test_loose_shapefile_gives_the_outlines(truth):
    found = areas("shapefile/zones.shp")
    assert (found["outline_area_m2"] - truth["outline_area_m2"]).abs().max() < 0.01


def test_the_sample_is_what_the_drawing_says():
    """A drawing that was changed and not written again would go unnoticed otherwise."""
    site, plan = (SAMPLE / name for name in ("site/site.geojson", "plan.geojson"))
    features = plan.read_text(encoding="utf-8").split("\n", 1)[1]
    assert site.read_text(encoding="utf-8").split("\n", 1)[1] == features
