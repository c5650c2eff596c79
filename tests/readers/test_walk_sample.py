"""The invented garden walked round: each area within the error that its walk claims."""

import runpy
import sys
from pathlib import Path

import numpy as np
import pytest

from lawnmap.errors import InputRefused
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading

SAMPLE = Path(__file__).parents[2] / "sample_geo"
sys.path.insert(0, str(SAMPLE))
import garden  # noqa: E402 - it lies beside the plans

MAKER = runpy.run_path(str(SAMPLE / "plans" / "make_walk.py"))
EVERY = Reading(layers=("*",), kind="zone")
FILES = {"walk.gpx": EVERY, "walk10.gpx": EVERY, "walk.csv": Reading(kind="zone")}


@pytest.mark.parametrize("name", FILES)
def test_areas_lie_within_the_error_claimed(name):
    zones = read(SAMPLE / "plans" / name, FILES[name]).site.zones
    shapes = np.asarray(zones.geometry.array, dtype=object)
    sigmas = area_sigmas(shapes, zones["outline_sigma_m"].to_numpy(dtype=float))
    assert list(zones["name"]) == list(garden.ZONES)
    assert set(zones["outline_source"]) == {"gps"}
    for zone, area, sigma in zip(zones["name"], areas(shapes), sigmas, strict=True):
        true = garden.area(garden.ZONES[zone])
        assert abs(area - true) < 1.96 * sigma
        assert abs(area - true) < 0.2 * true  # the walks are better than any walk may claim


def test_both_versions_say_the_same():
    one, other = (read(SAMPLE / "plans" / name, EVERY) for name in ("walk.gpx", "walk10.gpx"))
    assert one.site.document["features"] == other.site.document["features"]
    assert one.warnings == other.warnings


def test_what_is_told():
    told = "\n".join(read(SAMPLE / "plans" / "walk.gpx", EVERY).warnings)
    for part in (
        "track Back lawn: 30 points where the walker stood and 1 spike left out of 102 points.",
        "track Back lawn: the walk goes on past where it began; 3.4 m were cut off",
        "track Front lawn: closed with a straight side of 2.4 m (45.5 m were walked), 5 % of",
        "track Side strip was broken off: it is in 2 segments.",
        "track Side strip: 2 pieces joined in order by straight lines of 6.1 m.",
        "Side strip: 55 m² ± 186 m² (95 %): a phone's fixes are too coarse",
    ):
        assert part in told


def test_a_broken_walk_is_not_joined_unasked():
    plan = SAMPLE / "plans" / "walk.gpx"
    with pytest.raises(InputRefused, match="is a MultiLineString and the file does not say"):
        read(plan, Reading(layers=("track Side strip",)))
    told = read(plan, Reading(layers=("track Side strip=zone",))).warnings
    assert "track Side strip: 2 pieces joined in order by straight lines of 6.1 m." in told


def test_the_files_are_what_the_maker_writes():
    for name, text in (
        ("walk.gpx", MAKER["gpx"]("1.1")),
        ("walk10.gpx", MAKER["gpx"]("1.0")),
        ("walk.csv", MAKER["table"]()),
    ):
        assert (SAMPLE / "plans" / name).read_text(encoding="utf-8") == text
