"""What comes off."""

import pytest


def test_by_class(lawn):
    """agronomy.md 7: the middle class starts at 600 l on 100 m², so 180 m² give 1,080 l."""
    row = lawn.work(lawn.zones(), lawn.choices()).step("clearing")
    assert (row["amount_low"], row["amount"]) == (1080, 2340)
    assert (row["unit"], row["rule"]) == ("l", "arisings_by_class")
    # 1,080 l are 4.5 wheeled bins of 240 l (practice.md, change 19).
    assert "5 to 10 bins of 240 l" in row["remark"]
    assert (row["hours_low"], row["hours"]) == (1.8, pytest.approx(11.7))


def test_by_depth(lawn):
    zone = {"moss_depth_mm": 10, "moss_cover_pct": 50}
    row = lawn.work(lawn.zones(zone), lawn.choices(lawn.iron)).step("clearing")
    # 180 m² × 10 mm × 50 % = 900 l in place; × 0.75 × 2 and × 1 × 4.
    assert (row["amount_low"], row["amount"]) == (1350, 3600)
    assert row["rule"] == "arisings_by_depth"


def test_ones_own_bags(lawn):
    row = lawn.work(
        lawn.zones(), lawn.choices(bags={"bag_l": 100, "bin_l": 1100})
    ).step("clearing")  # fmt: skip
    assert "11 to 24 bags of 100 l" in row["remark"]
