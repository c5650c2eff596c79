"""Any ring is answered soon, mended or not: what no repair could end is told by counting first."""

from __future__ import annotations

import json
import os
import time

import numpy as np
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.files.admit import Source
from lawnmap.geometry import sides, validity
from lawnmap.jobs import features
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from tests.geometry import hard_rings as hard
from tests.readers.mutants import LONG

POINTS = 2_000
LONGEST_S = 5.0  # of the processor, the child's counted: a busy machine is not what is asked about
STARS = {
    f"star {count}/{step}": hard.star(count, step)
    for count in ((51, 101, 201, 401, 1001, 1999) if LONG else (101, 1999))
    for step in sorted({2, 3, 7, count // 4, count // 3, count // 2})
}
FAMILIES = {
    "comb 280": hard.comb(280),  # as often crossed as is mended at most
    **STARS,
    **{
        f"{name} {count}": getattr(hard, name)(count)
        for count in ((150, 400, 1000, POINTS - 1) if LONG else (400, POINTS - 1))
        for name in (
            "comb", "spiral", "walk", "scribble", "grid_walk", "twice_round", "near_twice_round",
            "zigzag", "gear",
        )
    },
}  # fmt: skip


def plan(corners, **properties):
    """Return a plan with one outline, in metres laid about a place on the earth."""
    ring = (corners * [1 / 65_000, 1 / 111_200] + [-1.5, 53.8]).tolist()
    geometry = {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}
    feature = {"type": "Feature", "properties": properties, "geometry": geometry}
    return Source("plan.geojson", json.dumps(feature).encode(), "geojson")


def answered(source, *, repair):
    """Return the reply or the refusal, and the seconds of the processor that it took."""
    before = os.times()
    try:
        answer = read(source, Reading(repair=repair))
    except InputRefused as error:
        answer = error
    after = os.times()
    return answer, sum(after[:4]) - sum(before[:4])


def test_every_hard_ring_of_2000_points_is_answered(figure):
    slowest, asked, mended, refused = ("", 0.0), 0, 0, 0
    for name, corners in FAMILIES.items():
        walked = {"outline_source": "gps"}
        for repair in (False, True):
            for properties in ({}, walked) if LONG or name.startswith("walk") else ({},):
                answer, took = answered(plan(corners, **properties), repair=repair)
                asked += 1
                slowest = max(
                    slowest, (f"{name}{' --repair' * repair}", took), key=lambda each: each[1]
                )
                if isinstance(answer, InputRefused):
                    refused += 1
                    assert answer.place == "feature 1"
                    assert "could not be read" not in answer.problem
                else:
                    (change,) = answer.changes
                    assert change.area_m2 > 0
                    mended += any("mended" in each for each in answer.warnings)
    assert min(mended, refused) > len(FAMILIES) / 5
    assert slowest[1] < LONGEST_S
    figure(
        24,
        f"{asked} times a ring of up to {POINTS:,} points ({mended} mended, {refused} refused): "
        f"{slowest[1]:.1f} s at most of the processor ({slowest[0]})",
    )


def test_an_outline_of_200_000_vertices_is_answered(figure):
    angle = 2 * np.pi * np.arange(199_999) / 199_999
    reach = 50 + 5 * np.sin(40 * angle)
    wave = np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
    sound, took = answered(plan(wave), repair=True)
    assert not any("mended" in each for each in sound.warnings)
    # Of r = 50 + 5 sin(40 t) the area is π (50² + 5²/2); degrees were scaled by eye above.
    scale = shapely.Polygon(wave).area / (np.pi * (50**2 + 5**2 / 2))
    assert scale == pytest.approx(1, rel=1e-6)
    tangled, until_told = answered(plan(hard.scribble(199_999)), repair=True)
    assert "too many sides" in tangled.problem
    assert max(took, until_told) < 3 * 2.5
    figure(
        24, f"200,000 vertices: {took:.1f} s when sound, {until_told:.1f} s until a tangle is told"
    )


@pytest.mark.parametrize(
    "corners",
    [
        hard.star(15, 7), hard.star(40, 3), hard.comb(60), hard.spiral(200), hard.walk(300),
        hard.scribble(120), hard.near_twice_round(150), hard.zigzag(80), hard.gear(100),
    ],
)  # fmt: skip
def test_crossings_are_those_that_a_look_at_every_pair_finds(corners):
    outline = shapely.Polygon(corners)
    ring = shapely.get_coordinates(outline)
    # Of the pairs each is met twice, each side meets itself, and the one before and behind it.
    pairs = (sides.meetings(ring, ring, 10**9) - 3 * (len(ring) - 1)) // 2
    assert sides.crossings(outline, 10**9) == pairs
    if pairs:
        assert sides.crossings(outline, pairs - 1) > pairs - 1


def test_crossings_of_parts_and_holes_count_as_well():
    square, moved = shapely.box(0, 0, 4, 4), shapely.box(2, 2, 6, 6)
    assert sides.crossings(square, 9) == 0
    assert sides.crossings(shapely.MultiPolygon([square, moved]), 9) == 2
    assert sides.crossings(shapely.Polygon(square.exterior, [moved.exterior]), 9) == 2
    assert sides.crossings(shapely.Polygon(), 9) == 0


def test_what_would_be_too_long_to_count_is_more_than_was_asked(monkeypatch):
    monkeypatch.setattr(sides, "MOST_LOOKED", 1_000)
    assert sides.crossings(shapely.Polygon(hard.gear(2_000)), 50) == 51


def test_a_plan_gets_so_much_mending_and_no_more(monkeypatch):
    monkeypatch.setattr(features, "MOST_IN_ALL", 3)
    mender = features.Mender(3)
    tie = shapely.Polygon([(0, 0), (20, 30), (20, 0), (0, 30)])
    assert [mender(tie).area for _ in range(3)] == pytest.approx([300] * 3)
    with pytest.raises(InputRefused, match="more than 3 times in all"):
        mender(tie)


def test_what_crosses_itself_without_end_is_not_mended():
    with pytest.raises(InputRefused, match="more than 20,000 times"):
        features.Mender()(shapely.Polygon(hard.star(401, 200)))


def test_many_crossings_are_mended_in_the_child_as_they_are_here():
    outline = shapely.Polygon(hard.star(101, 50))
    assert features.FEW < sides.crossings(outline, 10**6) < validity.MOST_CROSSINGS
    assert features.Mender()(outline).equals(validity.repair(outline))


def test_only_large_outlines_are_counted_before_they_are_checked(monkeypatch):
    began = time.process_time()
    assert not validity.is_tangled(shapely.Polygon(hard.star(1999, 999)))
    assert time.process_time() - began < 1
    monkeypatch.setattr(validity, "MANY", 1_000)
    assert validity.is_tangled(shapely.Polygon(hard.star(1999, 999)))
    assert not validity.is_tangled(shapely.Polygon(hard.walk(1_500)))


def boxes(count, step):
    """Return square rings, each so much within the one before it (or beside it, for 0)."""
    return [
        shapely.box(each * step, each * step, 200 - each * step, 200 - each * step).exterior
        if step
        else shapely.box(
            each % 100 * 2, each // 100 * 2, each % 100 * 2 + 1, each // 100 * 2 + 1
        ).exterior
        for each in range(count)
    ]


def test_rings_within_rings_are_counted_before_they_are_checked():
    # GEOS takes a minute for 15,000 of them.
    outer = shapely.box(-1, -1, 300, 300).exterior
    wound = shapely.Polygon(outer, boxes(3_000, 0.01))
    assert sides.nested(wound, 10**9) == 3_000 * 3_001 // 2
    assert validity.is_tangled(wound)
    beside = shapely.Polygon(outer, boxes(3_000, 0))
    assert sides.nested(beside, 10**9) == 3_000
    assert not validity.is_tangled(beside)
    assert validity.flaw(beside) is None
