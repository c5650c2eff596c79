"""How many cores: a first look, or what a margin asks for; and what those there can say."""

import geopandas as gpd
import pytest
import shapely

from lawnmap.processing.surveying.core_places import CHANCE, WALK, Layout, core_places
from lawnmap.processing.surveying.sampling import MOST, Asked, sampling, screening

LAWN = gpd.GeoSeries(
    [shapely.box(-1.5502, 53.8, -1.55, 53.8001), shapely.box(-1.5498, 53.8, -1.5497, 53.8002)],
    index=["a", "b"],
    crs="OGC:CRS84",
)


def row(taken=(), asked=None, *, area=400.0, turf="general lawn"):
    zones = gpd.GeoDataFrame({"ground_area_m2": [area]}, index=["a"])
    return sampling(zones, {"a": taken}, {"a": turf}, asked or Asked()).iloc[0]


def test_a_first_look():
    assert screening(99, "general lawn") == 3
    assert screening(101, "general lawn") == 5
    assert screening(50, "sports pitch") == 10
    assert row()["more"] == 5
    assert row([16, 15])["more"] == 3
    assert row([16] * 9)["more"] == 0


# Campbell Scientific, CS620 manual, appendix B: t 2.201, s 1.74 and a full width of 5 (± 2.5) give
# 2.35, "use 3". By Student's t of its own number 3 are too few (t 4.303 gives ± 4.3), and 5 enough.
def test_a_printed_sample_size_and_ours():
    assert 4 * 2.201**2 * 1.74**2 / 5**2 == pytest.approx(2.35, abs=0.005)
    assert row(asked=Asked(within_mm=2.5, spread_mm=1.74))["wanted"] == 5


# (t s / d)² iterated by hand for s 4.2 mm and d 2 mm: 17 by the normal, 20 by Student's t; for s 5
# and d 2: 27. With z alone the first gives 16.94.
@pytest.mark.parametrize(("spread", "within", "wanted"), [(4.2, 2, 20), (5, 2, 27)])
def test_the_number_holds_for_its_own_t(spread, within, wanted):
    assert row(asked=Asked(within, spread_mm=spread))["wanted"] == wanted


def test_a_wider_margin_never_asks_for_more():
    wanted = [row(asked=Asked(mm, spread_mm=4.0))["wanted"] for mm in (0.6, 1, 2, 4, 8)]
    assert wanted == sorted(wanted, reverse=True)


def test_the_spread_of_the_cores_there_is_used():
    found = row([14, 18, 22], Asked(within_mm=2))
    assert found["spread_mm"] == pytest.approx(4)
    assert found["more"] == found["wanted"] - 3
    assert found["rule"] == "cores_for_margin"


def test_without_a_spread_it_is_a_first_look_and_says_so():
    found = row([14], Asked(within_mm=2))
    assert found["rule"] == "cores_screening"
    assert "spread must be known" in found["remark"]


def test_nobody_takes_seven_thousand():
    found = row(asked=Asked(0.1, spread_mm=4.2))
    assert found["more"] == 5 < MOST
    assert "6,779 cores" in found["remark"]
    assert "ask for a wider margin" in found["remark"]


def test_what_few_cores_can_say():
    assert row()["says"] == "no core yet"
    assert "does not say how the zone varies" in row([16])["says"]
    # Student's t of 2 degrees of freedom is 4.303: 16 ± 4.303 × 2.8284 / √3, so 9 to 23.
    found = row([14, 14.5359, 19.4641])
    assert found["says"] == "mean 16 mm, could be 9 to 23 (3 cores)"
    assert row([1, 9])["low_mm"] == 0  # thatch is not below nothing


@pytest.mark.parametrize("kind", [WALK, CHANCE])
def test_places_are_numbered_on_their_lawn(kind):
    found = core_places(LAWN, {"a": 5, "b": 2}, Layout(kind))
    assert list(found["zone_id"]) == ["a"] * 5 + ["b"] * 2
    assert list(found["number"]) == [1, 2, 3, 4, 5, 1, 2]
    for zone_id, place in zip(found["zone_id"], found.geometry, strict=True):
        assert LAWN[zone_id].buffer(1e-9).contains(place)


def test_chance_is_a_zones_own_and_changes_with_the_seed():
    both = core_places(LAWN, {"a": 4, "b": 4}, Layout(CHANCE, seed=3))
    alone = core_places(LAWN, {"b": 4}, Layout(CHANCE, seed=3))
    assert list(both.geometry[both["zone_id"] == "b"]) == list(alone.geometry)
    other = core_places(LAWN, {"b": 4}, Layout(CHANCE, seed=4))
    assert list(other.geometry) != list(alone.geometry)


def test_no_places_wanted():
    assert core_places(LAWN, {"a": 0}, Layout()).empty
