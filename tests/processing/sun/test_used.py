"""Which hours a plan goes by, and what is told."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point, box

from lawnmap.light import Sunlight, ZoneSun
from lawnmap.processing.sun.facts import facts_of
from lawnmap.processing.sun.used import used
from tests.processing.sun.garden import SEASON, feature, plane_heights, site, tree, zone


def garden(*more, seen=None, **oak):
    facts = {} if seen is None else {"sun_hours_seen": seen}
    return site(zone(box(0, 0, 9, 9), "a", **facts), tree(3, 3, name="Oak", **oak), *more)


def light(made, mean=3.0, **changes):
    kept = Sunlight(
        SEASON.first, SEASON.last, season=True, step_m=0.5, latitude=53.8, open_h=15.0,
        zones={"a": ZoneSun(mean, 2.0, 5.0, 300)},
        facts=facts_of(made.zones, made.features, made.heights),
    )  # fmt: skip
    return replace(kept, **changes)


def use(made, *kept):
    found = used(made.zones, made.features, made.heights, kept)
    return found, found.zones.loc["a"]


def test_worked_out_hours_stand_in_for_what_nobody_saw():
    made = garden()
    found, row = use(made, light(made))
    assert (row["sun_used_h"], row["sun_source"], row["sun_hours"]) == (3.0, "worked out", 3.0)
    assert (row["sun_low_h"], row["sun_high_h"]) == (2.0, 5.0)
    assert found.told == ()


def test_what_was_seen_wins_and_a_difference_is_told():
    made = garden(seen=6)
    found, row = use(made, light(made))
    assert (row["sun_used_h"], row["sun_source"], row["sun_hours"]) == (6.0, "seen", 3.0)
    assert "a (6 h seen, 3.0 h worked out)" in found.told[0]
    assert use(made, light(made, mean=5.0))[0].told == ()


def test_without_any_hours_the_columns_are_there_and_empty():
    found, row = use(garden())
    assert np.isnan(row["sun_used_h"])
    assert np.isnan(row["sun_hours"])
    assert (row["sun_source"], found.told, found.sunlight) == ("", (), None)


@pytest.mark.parametrize(
    ("now", "part"),
    [
        (garden(height_m=15), "trees, hedges, fences or buildings"),
        (garden(feature(Point(50, 50), feature="tree", height_m=3)), "trees, hedges"),
        (garden(feature(box(1, 1, 2, 2), feature="bed")), "beds, paving or water"),
        (replace(garden(), heights=plane_heights(5, 0)), "heights of the ground"),
        (site(zone(box(0, 0, 9, 8)), tree(3, 3, name="Oak")), "outlines of zones"),
    ],
)
def test_hours_of_other_facts_are_not_used_and_it_is_told_which(now, part):
    found, row = use(now, light(garden()))
    assert np.isnan(row["sun_hours"])
    assert part in found.told[0]
    assert "lawnmap sun again" in found.told[0]


def test_facts_that_throw_no_shadow_change_nothing():
    made = garden()
    named = garden(feature(Point(5, 5), feature="supply", supply_kind="tap"), seen=3)
    assert use(named, light(made))[1]["sun_hours"] == 3.0


def test_only_the_growing_season_counts():
    """A day in December must not make a lawn look too dark for grass."""
    made = garden()
    found, row = use(made, light(made, mean=0.2, season=False))
    assert np.isnan(row["sun_hours"])
    assert found.told == ()


def test_of_several_the_finest_is_used():
    made = garden()
    _, row = use(made, light(made, mean=3.5, step_m=1.0), light(made, step_m=0.3))
    assert row["sun_hours"] == 3.0
