"""Holes where the ground is hard or wet."""

import math

import pytest
import shapely

HARD = {"compaction": "will not go in"}


def test_only_where_it_is_asked_for(lawn):
    assert "aerating" not in lawn.work(lawn.zones(), lawn.choices()).operations()
    for zone in (HARD, {"drainage": "stands wet"}, {"thatch_rating": 3}):
        assert "aerating" in lawn.work(lawn.zones(zone), lawn.choices()).operations()


def test_small_ground_by_fork_and_large_by_machine(lawn):
    small = lawn.work(lawn.zones({**HARD, "ground_area_m2": 80.0}), lawn.choices())
    row = small.step("aerating")
    assert (row["machine"], row["rule"]) == ("garden fork", "aerate_spike")
    assert math.isnan(row["amount"])
    row = lawn.work(lawn.zones(HARD), lawn.choices()).step("aerating")
    # A hole of 12 mm, 75 mm deep, every 75 mm: 177.8 holes × 8.482 ml on each m² = 1.508 l/m².
    assert row["amount"] == pytest.approx(180 * 1.508, rel=1e-3)
    assert row["machine"] == "hollow-tine machine"


@pytest.mark.parametrize(("depth", "flagged"), [(50, True), (300, False), (None, True)])
def test_tines_keep_off_what_is_hidden(lawn, depth, flagged):
    pipe = {"feature": "hidden", "hidden_kind": "irrigation", "depth_mm": depth,
            "geometry": shapely.Point(1e-4, 53.80005)}  # fmt: skip
    row = lawn.work(lawn.zones(HARD), lawn.choices(), lawn.features(pipe)).step("aerating")
    assert ("Keep tines off" in row["flag"]) == flagged
