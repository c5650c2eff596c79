"""Relations: whole, broken, told by their outlines, with roles that are wrong."""

import numpy as np
import pytest
from shapely.geometry import shape

from lawnmap.readers.osm import reader as osm
from tests.readers.osm_texts import SIDE, node, relation, source, square, way

OUTER = square(1)
INNER = square(2, west=SIDE / 4, south=SIDE / 4, side=SIDE / 2)
HOLED = pytest.approx(SIDE**2 * 3 / 4)


def read(*things, layer=None):
    return osm.read(source(*things), layer=layer)


def area(found):
    (feature,) = found.features
    return shape(feature.geometry).area


@pytest.mark.parametrize("roles", [("outer", "inner"), ("", ""), ("outline", "enclave")])
def test_a_hole_is_a_hole_whatever_its_role(roles):
    found = read(relation(3, zip((1, 2), roles, strict=True), landuse="grass"), OUTER, INNER)
    assert area(found) == HOLED
    assert found.warnings == ()


@pytest.mark.parametrize("roles", [("inner", "outer"), ("outer", "outer")])
def test_roles_that_are_wrong_are_said(roles):
    found = read(relation(3, zip((1, 2), roles, strict=True), landuse="grass"), OUTER, INNER)
    assert area(found) == HOLED
    assert found.warnings == (
        "Which rings are holes was told by where they lie, not by the roles they have: relation 3.",
    )


def test_members_that_are_nodes_and_a_way_named_twice_do_no_harm():
    members = [(1, "outer"), (1, "outer"), (2, "inner"), (10, "label", "node")]
    assert area(read(relation(3, members, landuse="grass"), OUTER, INNER)) == HOLED


LAWN = square(7, west=1.0, landuse="grass")


@pytest.mark.parametrize(
    ("members", "words"),
    [
        ([(1, "outer"), (99, "inner")], "cut off at the edge of the extract"),
        ([(1, "outer"), (4, "inner")], "its ways do not join into rings"),
        ([(1, "outer"), (5, "inner")], "drawn with too few nodes"),
        ([(1, "outer"), (6, "inner")], "cut off at the edge of the extract"),
        ([(1, "outer"), (8, "", "relation")], "a relation within the relation is not followed"),
        ([(10, "", "node")], "a relation without ways"),
        ([], "a relation without ways"),
    ],
)
def test_a_relation_that_is_not_whole_is_left_out_by_name(members, words):
    odd = [way(4, [10, 11, 12]), way(5, [10]), way(6, [10, 11, 98, 10])]
    found = read(relation(3, members, landuse="grass", name="Green"), OUTER, INNER, LAWN, *odd)
    assert found.warnings == (f'Left out, {words}: relation 3 "Green".',)
    assert [each.properties["osm"] for each in found.features] == ["way 7"]


def test_relations_that_hold_each_other_are_not_followed():
    rings = [relation(n, [(n % 9 + 1, "", "relation")], landuse="grass") for n in range(1, 10)]
    found = read(*rings, LAWN)
    assert "and 4 more" in found.warnings[0]
    assert len(found.features) == 1


def test_more_rings_than_an_area_has_are_left_out():
    many = [square(100 + n, west=n * 0.001) for n in range(501)]
    members = [(100 + n, "outer") for n in range(501)]
    found = read(relation(3, members, landuse="grass"), *many, LAWN)
    assert found.warnings == ("Left out, made of more than 500 rings: relation 3.",)
    assert len(read(relation(3, members[1:], landuse="grass"), *many).features) == 1


def test_an_outline_tagged_like_its_relation_is_read_once_with_the_hole():
    tagged = square(1, landuse="grass", name="Twice")
    assert area(
        read(relation(3, [(1, "outer"), (2, "inner")], landuse="grass"), tagged, INNER)
    ) == (HOLED)


def test_an_outline_with_another_meaning_keeps_it():
    fenced = square(1, barrier="fence")
    text = source(relation(3, [(1, "outer"), (2, "inner")], landuse="grass"), fenced, INNER)
    assert [each.name for each in osm.look(text)] == ["lawns and grass", "hedges, fences and walls"]


def test_a_relation_without_tags_is_what_its_outline_is():
    tagged = square(1, landuse="grass", name="Old")
    found = read(relation(3, [(1, "outer"), (2, "inner")]), tagged, INNER)
    assert area(found) == HOLED
    assert found.features[0].place == 'relation 3 "Old"'


def test_a_hole_with_tags_is_a_feature_of_its_own():
    bed = square(2, west=SIDE / 4, south=SIDE / 4, side=SIDE / 2, landuse="flowerbed")
    text = source(relation(3, [(1, "outer"), (2, "inner")], landuse="grass"), OUTER, bed)
    assert [each.name for each in osm.look(text)] == ["lawns and grass", "beds"]


def test_two_outlines_of_several_ways_are_one_feature():
    corners = {30: (0.0, 0.0), 31: (1.0, 0.0), 32: (1.0, 1.0), 33: (0.0, 1.0)}
    nodes = [node(number, *xy) for number, xy in corners.items()]
    halves = [way(1, [30, 31, 32]), way(2, [30, 33, 32])]
    far = square(4, west=5.0)
    found = read(
        relation(3, [(1, "outer"), (4, "outer"), (2, "outer")], landuse="grass"),
        *halves, *nodes, far,
    )  # fmt: skip
    assert found.features[0].geometry["type"] == "MultiPolygon"
    assert np.isclose(area(found), 1 + SIDE**2)


def test_of_what_is_not_read_the_commonest_kinds_are_named():
    keys = [
        "highway",
        "railway",
        "power",
        "shop",
        "office",
        "tourism",
        "historic",
        "craft",
        "place",
    ]
    keys += ["healthcare", "emergency", "route", "golf", "playground"]
    things = [node(200 + n, 2.0, 0.0, **{key: "yes"}) for n, key in enumerate(keys)]
    found = read(LAWN, *things, node(300, 2.0, 0.0, highway="stop"))
    (told,) = found.warnings
    assert told.startswith("Not read: 2 highway, 1 railway, ")
    assert told.endswith(", 1 route, 2 of other kinds.")
