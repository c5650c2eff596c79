"""Before and after: what is better, what is worse, and what nobody can tell."""

import math
import time

import pandas as pd
import pytest

from lawnmap.agronomy.change import share_change
from lawnmap.processing.surveying.compare import NOISE, UNLIKE, compare
from lawnmap.processing.surveying.compare_words import sentence
from tests.processing.sites import EMPTY, box, lonlat


def zone(zone_id="a", west=0, **facts):
    return {
        "type": "Feature",
        "properties": {"feature": "zone", "zone_id": zone_id, **facts},
        "geometry": box(west, 0, west + 20, 10),
    }


def core(x=5, **facts):
    return {
        "type": "Feature",
        "properties": {"feature": "core", **facts},
        "geometry": {"type": "Point", "coordinates": lonlat((x, 5))[0]},
    }


def frames(*hits, points=100, x=5, **facts):
    return [core(x, moss_hits=each, moss_points=points, **facts) for each in hits]


def thatch(*taken, **facts):
    return [core(thatch_mm=each, **facts) for each in taken]


def row(before, after, measure="moss cover", zone_id="a"):
    table = compare(EMPTY.with_features(before), EMPTY.with_features(after))
    found = table[(table["zone_id"] == zone_id) & (table["measure"] == measure)]
    assert len(found) == 1
    return found.iloc[0]


def test_it_worked():
    found = row([zone(), *frames(60)], [zone(), *frames(30)])
    assert found["verdict"] == "better"
    assert (found["before"], found["after"], found["change"]) == (60, 30, pytest.approx(-30))
    # Newcombe's method 10 on 60 and 30 of 100, checked in tests/agronomy/test_change.py.
    wanted = share_change((60, 100), (30, 100))
    assert found["change_low"] == pytest.approx(100 * wanted.low)
    assert found["change_high"] == pytest.approx(100 * wanted.high)
    # Wilson intervals: 60 of 100 is 0.5020 to 0.6906 (Newcombe 1998, method 3, by hand).
    assert found["before_low"] == pytest.approx(50.20, abs=0.02)
    assert found["before_high"] == pytest.approx(69.06, abs=0.02)
    assert found["before_samples"] == 100


def test_the_other_way_round_is_worse():
    assert row([zone(), *frames(30)], [zone(), *frames(60)])["verdict"] == "worse"


def test_ten_points_of_moss_on_a_hundred_points_are_noise():
    found = row([zone(), *frames(40)], [zone(), *frames(30)])
    assert found["verdict"] == NOISE
    assert found["change_low"] < 0 < found["change_high"]
    # the same on ten times the points stands out
    assert (
        row([zone(), *frames(400, points=1000)], [zone(), *frames(300, points=1000)])["verdict"]
        == "better"
    )


def test_thatch_by_its_cores():
    found = row([zone(), *thatch(18, 20, 22)], [zone(), *thatch(9, 10, 11)], "thatch")
    assert found["verdict"] == "better"
    assert (found["before"], found["after"], found["change"]) == (20, 10, -10)
    assert found["unit"] == "mm"
    wide = row([zone(), *thatch(8, 20, 32)], [zone(), *thatch(2, 10, 18)], "thatch")
    assert (wide["verdict"], wide["change"]) == (NOISE, -10)


@pytest.mark.parametrize(
    ("before", "after", "measure", "reason"),
    [
        ([zone(moss_rating=4)], [zone(moss_rating=2)], "moss cover", "rated by eye both times"),
        ([zone(moss_rating=4)], [zone(), *frames(10)], "moss cover",
         "rated by eye before, counted on points after"),
        ([zone(moss_cover_pct=60)], [zone(moss_cover_pct=20)], "moss cover", "one figure both"),
        ([zone(), *frames(60)], [zone()], "moss cover", "not looked at after"),
        ([zone()], [zone()], "thatch", "not looked at before and after"),
        ([zone(), *thatch(20)], [zone(), *thatch(9, 10)], "thatch", "a single core"),
        ([zone(), *frames(60)], [zone(), zone("b", 30), *frames(30)], "thatch", "not looked at"),
    ],
)  # fmt: skip
def test_not_measured_alike(before, after, measure, reason):
    found = row(before, after, measure)
    assert found["verdict"] == UNLIKE
    assert reason in found["reason"]
    assert pd.isna(found["change"])
    assert reason in sentence(found)


def test_a_rating_is_shown_as_its_band():
    found = row([zone(moss_rating=3)], [zone(moss_rating=2)])
    assert pd.isna(found["before"])
    assert (found["before_low"], found["before_high"]) == (25, 50)
    worst = row([zone(thatch_rating=4)], [zone()], "thatch")  # over 25 mm, however much
    assert worst["before_low"] == 25
    assert pd.isna(worst["before_high"])


def test_zones_that_came_and_went():
    before, after = [zone("a"), zone("b", 30)], [zone("c", 60), zone("a")]
    table = compare(EMPTY.with_features(before), EMPTY.with_features(after))
    assert list(dict.fromkeys(table["zone_id"])) == ["c", "a", "b"]
    assert row(before, after, zone_id="c")["reason"] == "the zone is new"
    assert row(before, after, zone_id="b")["reason"] == "the zone is no longer there"


def test_another_outline_is_other_ground():
    moved = [zone(west=10), *frames(30, zone_id="a")]
    found = row([zone(), *frames(60)], moved)
    assert found["reason"] == "its outline changed: 50 % of the ground is the same"
    unplaced = EMPTY.with_features([zone(), *frames(60)]).with_header(placed=False)
    table = compare(unplaced, EMPTY.with_features(moved))
    assert table["verdict"].iloc[0] == "better"


def star(points, step):
    """Return an outline that crosses itself at every side; mending 101 points took 47 s."""
    turns = [2 * math.pi * n * step / points for n in [*range(points), 0]]
    ring = lonlat(*[(10 + 9 * math.cos(turn), 10 + 9 * math.sin(turn)) for turn in turns])
    return {**zone(), "geometry": {"type": "Polygon", "coordinates": [ring]}}


def test_an_outline_that_crosses_itself_is_never_mended_to_compare():
    began = time.monotonic()
    found = row([star(101, 50), *frames(60)], [star(101, 49), *frames(30)])
    assert found["reason"] == "its outline is not valid and changed"
    same = row([star(101, 50), *frames(60)], [star(101, 50), *frames(30)])
    assert "outline" not in same["reason"]
    assert time.monotonic() - began < 5


def test_an_old_core_is_not_a_new_one():
    old = frames(60)
    alone = row([zone(), *old], [zone(), *old])
    assert alone["reason"] == "not looked at after"
    # and not when the site was placed in between, so that the core lies elsewhere
    unplaced = EMPTY.with_features([zone(), *old]).with_header(placed=False)
    placed = EMPTY.with_features([zone(west=50), *frames(60, x=55)])
    assert compare(unplaced, placed)["reason"].iloc[0] == "not looked at after"
    both = row([zone(), *old], [zone(), *old, *frames(30, x=8)])
    assert (both["after"], both["after_samples"]) == (30, 100)


def test_a_frame_counted_wrongly_is_left_out():
    found = row([zone(), *frames(60), *frames(9, points=5)], [zone(), *frames(30)])
    assert found["before_samples"] == 100


def test_a_core_belongs_to_the_zone_it_names():
    found = row([zone(), *frames(60, x=500, zone_id="a")], [zone(), *frames(30)])
    assert found["before"] == 60


def test_the_same_survey_twice_is_the_same_table():
    before = EMPTY.with_features([zone(), *frames(60), *thatch(18, 20)])
    after = EMPTY.with_features([zone(), *frames(31, x=6), *thatch(11, 9)])
    pd.testing.assert_frame_equal(compare(before, after), compare(before, after))


def test_how_many_more_would_tell():
    found = row([zone(), *frames(40)], [zone(), *frames(30)])
    # By hand: lower 0.3 - 0.4 = -0.1; upper arm √((0.4-0.309)² + (0.341-0.3)²) = 0.0999 at 500.
    assert (found["more"], found["more_frames"]) == (400, 4)
    cores = row([zone(), *thatch(19, 20, 20, 21)], [zone(), *thatch(16, 20, x=8)], "thatch")
    assert cores["more"] == 10
    assert pd.isna(cores["more_frames"])
    assert pd.isna(row([zone(), *frames(60)], [zone(), *frames(30)])["more"])
    assert pd.isna(row([zone(), *frames(40)], [zone(), *frames(39)])["more"])


def test_nothing_to_compare():
    assert compare(EMPTY, EMPTY).empty
