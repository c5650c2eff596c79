"""A zone divided by an area."""

import pytest
import shapely
from shapely.geometry import mapping, shape

from lawnmap.processing.editing.dividing import Side, divide, parts
from lawnmap.processing.editing.marking import OnMap

LAWN = shapely.Polygon([(0, 0), (20, 0), (20, 8), (8, 8), (8, 20), (0, 20)])
HALF = shapely.box(-1, -1, 10, 30)


SIDES = (Side("lawn shade", {"name": "Lawn, shade"}), Side("lawn sun", {"name": "Lawn, sun"}))


def zone(outline=LAWN, **facts):
    made = {"feature": "zone", "zone_id": "a", "name": "Lawn", "moss_rating": 3, **facts}
    return {"type": "Feature", "id": 7, "properties": made, "geometry": mapping(outline)}


def divided(feature, area=HALF):
    return divide(feature, "a", area, SIDES, {"a"})


def test_both_parts_keep_the_facts_and_say_where_they_came_from():
    made = divided(zone(came_from="b", private_note="x"))
    assert list(made) == ["lawn-shade", "lawn-sun"]
    for key, part in made.items():
        facts = part["properties"]
        assert (facts["zone_id"], facts["came_from"]) == (key, "a b")
        assert (facts["moss_rating"], facts["private_note"]) == (3, "x")
        assert "id" not in part
    assert [part["properties"]["name"] for part in made.values()] == ["Lawn, shade", "Lawn, sun"]


def test_nothing_is_lost_and_corners_stay_where_they_were():
    shade, rest = (shape(each["geometry"]) for each in divided(zone()).values())
    assert shade.area + rest.area == pytest.approx(LAWN.area, rel=1e-12)
    assert shade.intersection(rest).area == 0
    corners = {tuple(each) for each in shapely.get_coordinates([shade, rest])}
    assert {tuple(each) for each in shapely.get_coordinates(LAWN)} <= corners


def test_a_fact_may_be_other_or_gone_on_a_part():
    own = (Side("a", {"moss_rating": None}), Side("b", {"moss_rating": 1}))
    one, other = divide(zone(), "a", HALF, own, set()).values()
    assert "moss_rating" not in one["properties"]
    assert other["properties"]["moss_rating"] == 1


def test_ids_that_are_taken_are_not_used_again():
    own = (Side("Lawn, shade", {}), Side("Lawn, shade", {}))
    assert list(divide(zone(), "a", HALF, own, {"lawn-shade"})) == ["lawn-shade-2", "lawn-shade-3"]


def test_an_island_is_cut_out_of_what_is_round_it():
    island = shapely.Point(4, 4).buffer(2)
    within, without = parts(LAWN, island)
    assert within.equals(island)
    assert len(without.interiors) == 1


def test_a_part_of_nothing_is_refused():
    with pytest.raises(OnMap):
        divided(zone(), shapely.box(50, 50, 60, 60))
    with pytest.raises(ValueError, match="nothing on one side"):
        parts(LAWN, shapely.box(-9, -9, 90, 90))
