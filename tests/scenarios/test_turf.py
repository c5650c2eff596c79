"""What the turf itself decides: a square, a lawn that needs nothing, and whether it worked."""

import datetime as dt
import json
import math
import shutil

import pytest

from lawnmap.jobs.compare import compare
from lawnmap.jobs.survey import survey

HITS = {"west": (108, 20), "east": (99, 92)}  # of 225 points, before and after


def test_a_cricket_square_is_never_crossed(scenario):
    made = scenario("cricket_square")
    zone = made.zone("square")
    # Groundsmen act from 10 mm in the surface; 12 mm is taken down in stages, and not hollowed.
    assert (zone["verdict"], zone["verdict_rule"]) == ("renovate", "renovate_fine")
    assert zone["crossing"] == "one direction only"
    assert "never across on a square" in made.reason("crossing_rule", "square")
    assert "right angles" not in made.step("scarifying", "square")["remark"]


def test_a_cricket_square_is_taken_down_in_stages(scenario):
    zone = scenario("cricket_square").zone("square")
    # 8.5 to 12.7 mm (half an inch): Northern Cricket Union, autumn guidelines of 2010.
    assert (zone["depth_low_mm"], zone["depth_high_mm"]) == (8.5, 12.7)
    assert zone["depth_high_mm"] == pytest.approx(25.4 / 2)


def test_a_lawn_with_little_moss_and_thatch_is_left_alone(scenario):
    made = scenario("leave_it_alone")
    assert made.zone()["verdict"] == "leave it alone"
    assert made.operations() == ["leave it alone"]
    assert "raise the cut, and feed in spring" in made.why("leave it alone")
    assert made.plan.totals.empty
    assert made.plan.dates.visits == ()


@pytest.fixture
def surveyed(scenarios, tmp_path):
    """Return the site counted in August, and counted again a year later."""
    folder = tmp_path / "resurvey"
    shutil.copytree(scenarios / "resurvey", folder)
    survey(folder, day=dt.date(2026, 8, 10))
    path = folder / "site.geojson"
    site = json.loads(path.read_text(encoding="utf-8"))
    after = json.loads((folder / "after.geojson").read_text(encoding="utf-8"))["features"]
    zones = [each for each in site["features"] if each["properties"]["feature"] == "zone"]
    path.write_text(json.dumps({**site, "features": [*zones, *after]}), encoding="utf-8")
    return compare(folder)


def wilson(hits, points):
    """Return Wilson's 95 % interval (1927) in %, written out here from the formula."""
    z, share = 1.959964, hits / points
    middle = (share + z * z / (2 * points)) / (1 + z * z / points)
    half = z * math.sqrt(share * (1 - share) / points + z * z / (4 * points**2))
    half /= 1 + z * z / points
    return 100 * (middle - half), 100 * (middle + half)


@pytest.mark.parametrize(("zone_id", "worked"), [("west", True), ("east", False)])
def test_it_worked_means_outside_the_noise(surveyed, zone_id, worked):
    (zone,) = (each for each in surveyed.zones if each.zone_id == zone_id)
    moss = next(each for each in zone.said if each.startswith("moss cover"))
    before, after = (wilson(hits, 225) for hits in HITS[zone_id])
    assert (after[1] < before[0]) == worked
    assert moss.startswith("moss cover: it worked" if worked else "moss cover: cannot be told")
    assert "({:.0f} to {:.0f} %, 225 points)".format(*before) in moss
    assert "({:.0f} to {:.0f} %, 225 points)".format(*after) in moss
