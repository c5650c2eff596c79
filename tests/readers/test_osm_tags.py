"""What tags mean: facts of the OpenStreetMap wiki, page "Map features" (from memory)."""

import pytest

from lawnmap import schema
from lawnmap.readers.osm import facts as osm_facts
from lawnmap.readers.osm import reader as osm
from lawnmap.readers.osm import tags as osm_tags
from lawnmap.readers.osm.facts import length
from tests.readers.osm_texts import node, source, square, way


def layer_and_feature(thing):
    layers = osm.look(source(thing))
    if not layers:
        return None
    feature = osm.read(source(thing), layer=layers[0].name).features[0]
    return layers[0].name, feature.properties["feature"], feature.geometry["type"]


@pytest.mark.parametrize(
    ("tags", "expected"),
    [
        ({"landuse": "grass"}, ("lawns and grass", "zone")),
        ({"landuse": "grass", "surface": "artificial_turf"}, None),
        ({"landuse": "grass", "area": "no"}, None),
        ({"landuse": "village_green"}, ("lawns and grass", "zone")),
        ({"landcover": "grass"}, ("lawns and grass", "zone")),
        ({"landuse": "meadow"}, ("meadows", "zone")),
        ({"natural": "grassland"}, ("meadows", "zone")),
        ({"landuse": "recreation_ground"}, ("parks and gardens", "zone")),
        ({"leisure": "garden"}, ("parks and gardens", "zone")),
        ({"leisure": "park"}, ("parks and gardens", "zone")),
        ({"leisure": "garden", "garden:style": "flower_garden"}, ("beds", "bed")),
        ({"landuse": "flowerbed"}, ("beds", "bed")),
        ({"natural": "shrubbery"}, ("beds", "bed")),
        ({"leisure": "pitch"}, ("pitches", "zone")),
        ({"leisure": "pitch", "sport": "soccer", "surface": "grass"}, ("pitches", "zone")),
        ({"leisure": "pitch", "sport": "tennis"}, None),
        ({"leisure": "pitch", "sport": "tennis", "surface": "grass"}, ("pitches", "zone")),
        ({"leisure": "pitch", "surface": "artificial_turf"}, None),
        ({"leisure": "pitch", "surface": "asphalt"}, ("paving", "paving")),
        ({"natural": "water"}, ("water", "water")),
        ({"amenity": "fountain"}, ("water", "water")),
        ({"waterway": "riverbank"}, ("water", "water")),
        ({"building": "yes"}, ("buildings", "building")),
        ({"building": "no"}, None),
        ({"building": "yes", "location": "underground"}, None),
        ({"highway": "pedestrian", "area": "yes"}, ("paving", "paving")),
        ({"highway": "footway", "area": "yes", "surface": "grass"}, None),
        ({"highway": "footway"}, None),
        ({"area:highway": "footway"}, ("paving", "paving")),
        ({"amenity": "parking"}, ("paving", "paving")),
        ({"amenity": "parking", "parking": "underground"}, None),
        ({"surface": "sett", "area": "yes"}, ("paving", "paving")),
        ({"surface": "sett"}, None),
        ({"barrier": "hedge", "area": "yes"}, ("hedges, fences and walls", "hedge")),
    ],
)
def test_a_closed_way_that_is_an_area(tags, expected):
    told = layer_and_feature(square(1, **{key.replace(":", "__"): v for key, v in tags.items()}))
    assert told == (expected and (*expected, "Polygon"))


@pytest.mark.parametrize(
    ("tags", "expected"),
    [
        ({"barrier": "hedge"}, ("hedges, fences and walls", "hedge")),
        ({"barrier": "fence"}, ("hedges, fences and walls", "fence")),
        ({"barrier": "wall"}, ("hedges, fences and walls", "fence")),
        ({"natural": "tree_row"}, ("hedges, fences and walls", "hedge")),
        ({"waterway": "stream"}, ("water", "water")),
        ({"waterway": "ditch"}, ("water", "water")),
        ({"waterway": "drain"}, ("drains and covers", "drain")),
    ],
)
def test_a_line_that_is_closed_or_not(tags, expected):
    assert layer_and_feature(square(1, **tags)) == (*expected, "LineString")
    ends = node(1, 0.0, 0.0) + node(2, 0.0, 1e-4)
    assert layer_and_feature(way(1, [1, 2], **tags) + ends) == (*expected, "LineString")


@pytest.mark.parametrize(
    ("tags", "expected", "facts"),
    [
        ({"natural": "tree"}, ("trees", "tree"), {}),
        ({"natural": "spring"}, ("water", "water"), {"water_kind": "spring"}),
        ({"man_made": "water_well"}, ("water", "water"), {"water_kind": "well"}),
        ({"man_made": "water_tap"}, ("taps", "supply"), {"supply_kind": "tap"}),
        ({"man_made": "manhole"}, ("drains and covers", "drain"), {"drain_kind": "manhole"}),
        ({"man_made": "manhole", "manhole": "telecom"}, ("drains and covers", "hidden"),
         {"hidden_kind": "cover"}),
        ({"inlet": "grate"}, ("drains and covers", "drain"), {"drain_kind": "gully"}),
        ({"barrier": "gate", "width": "1.2 m"}, ("gates", "access"), {"width_m": 1.2}),
    ],
)  # fmt: skip
def test_a_node(tags, expected, facts):
    thing = node(1, 0.0, 0.0, **tags)
    assert layer_and_feature(thing) == (*expected, "Point")
    assert osm.read(source(thing)).features[0].properties.items() >= facts.items()


@pytest.mark.parametrize(
    ("tags", "turf"),
    [
        ({"sport": "soccer"}, "sports pitch"),
        ({"surface": "grass", "sport": "basketball"}, "sports pitch"),
        ({"sport": "bowls"}, "bowls/croquet/tennis"),
        ({"sport": "tennis", "surface": "grass"}, "bowls/croquet/tennis"),
    ],
)
def test_a_pitch_has_its_kind_of_turf(tags, turf):
    found = osm.read(source(square(1, leisure="pitch", **tags)))
    assert found.features[0].properties["turf_type"] == turf


def test_every_rule_keeps_to_the_schema():
    facts = {column.name: column for column in (*schema.facts("zones"), *schema.facts("features"))}
    for rule in (*osm_tags.GROUNDS, *osm_tags.BOUNDS):
        assert rule.layer in osm_tags.LAYERS
        assert rule.feature in schema.FEATURES
        assert all(value in facts[name].words for name, value in rule.facts.items())
    assert {rule.layer for rule in (*osm_tags.GROUNDS, *osm_tags.BOUNDS)} == set(osm_tags.LAYERS)
    assert set(osm_facts.WATER.values()) <= set(facts["water_kind"].words)


def test_tree_rows_are_said_to_be_taken_for_hedges():
    row = way(1, [1, 2], natural="tree_row", height="8") + node(1, 0.0, 0.0) + node(2, 1.0, 0.0)
    found = osm.read(source(row))
    assert found.warnings == ("Rows of trees are taken for hedges: way 1.",)
    assert found.features[0].properties["height_m"] == 8


# Lengths -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("2", 2.0),
        (" 2.5 ", 2.5),
        ("2 m", 2.0),
        ("2m", 2.0),
        ("6'", 1.8288),  # the foot of 1959 is 0.3048 m
        ("6'4\"", 1.9304),
        ("6' 4\"", 1.9304),
    ],
)
def test_lengths_in_the_forms_of_the_wiki(text, metres):
    assert length(text) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["2,5", "about 2", "2-3", "2 km", "200 cm", "6 ft", "-1", "nan", "inf", "1e400", "", "m", "٢",
     "2  m", "2 m m", '4"', "'"],
)  # fmt: skip
def test_other_lengths_are_none(text):
    assert length(text) is None


def test_a_length_that_cannot_be_is_left_out_and_said():
    trees = [
        node(1, 0.0, 0.0, natural="tree", height="7,5", name="Oak"),
        node(2, 0.0, 1.0, natural="tree", height="400", diameter_crown="6"),
        node(3, 0.0, 2.0, natural="tree", height="7.5", leaf_cycle="semi_deciduous"),
    ]
    found = osm.read(source(*trees))
    assert found.warnings == (
        "Left out, the tag height: it is no length in metres or feet that can be: "
        'node 1 "Oak", node 2.',
    )
    assert [each.properties.get("height_m") for each in found.features] == [None, None, 7.5]
    assert found.features[1].properties["crown_radius_m"] == 3.0
    assert "leaf" not in found.features[2].properties


def test_tags_that_are_called_like_columns_of_ours_are_not_taken_for_them():
    found = osm.read(source(node(1, 0.0, 0.0, barrier="gate", steps="yes", date="old", phone="1")))
    assert set(found.features[0].properties) == {"feature", "osm", "osm_tag"}
