"""OpenStreetMap XML: the garden read back, whole files, and everything that can be wrong in one."""

import contextlib
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import shape

from lawnmap.errors import InputRefused, LawnmapError, LayerNeeded
from lawnmap.files.admit import Source, admit
from lawnmap.files.kind import kind_of
from lawnmap.found import Layer
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.readers.osm import document as osm_document
from lawnmap.readers.osm import reader as osm
from lawnmap.readers.osm.document import Document
from tests.readers.map_data import PLANS, maker, truth
from tests.readers.mutants import outcomes
from tests.readers.osm_texts import node, relation, source, square, way

PLAN = PLANS / "garden.osm"

# Rounding to 7 decimals spreads evenly over 1e-7°, which is 11.1 mm of latitude and 6.7 mm of
# longitude at 53° north (geo.md 2.6): its standard error is a square root of twelfth of that. The
# larger of the two is taken for both.
ROUNDING_M = 0.0111 / math.sqrt(12)


# The garden --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", maker.ZONES)
def test_the_garden_s_lawns_have_their_true_areas(name):
    found = osm.read(admit(PLAN), layer="lawns and grass")
    (lawn,) = [each for each in found.features if each.properties["name"] == name]
    outline = np.array([shape(lawn.geometry)], dtype=object)
    (sigma,) = area_sigmas(outline, np.array([ROUNDING_M]))
    assert areas(outline)[0] == pytest.approx(truth(name), abs=1.96 * sigma)
    assert sigma < 0.1  # m²: so the test above says something
    assert lawn.properties["outline_source"] == "drawn"


def test_the_garden_s_layers_are_listed():
    assert osm.look(admit(PLAN)) == [
        Layer("lawns and grass", 3, ("Polygon",)),
        Layer("beds", 1, ("Polygon",)),
        Layer("water", 1, ("Polygon",)),
        Layer("paving", 1, ("Polygon",)),
        Layer("buildings", 1, ("Polygon",)),
        Layer("trees", 2, ("Point",)),
        Layer("hedges, fences and walls", 1, ("LineString",)),
    ]
    with pytest.raises(LayerNeeded, match=r'"lawns and grass" \(3\), "beds" \(1\)'):
        osm.read(admit(PLAN))


def test_the_garden_s_other_things_have_their_columns():
    def of(layer):
        found = osm.read(admit(PLAN), layer=layer)
        assert found.warnings == ("Not read: 1 highway.",)
        assert found.crs == "OGC:CRS84"
        return [each.properties for each in found.features]

    trees = of("trees")
    assert [each["height_m"] for each in trees] == [height for _, _, height, _ in maker.TREES]
    assert [each["leaf"] for each in trees] == ["deciduous", "evergreen"]
    assert of("buildings")[0]["height_m"] == 6.5
    assert of("water")[0] == {
        "feature": "water",
        "water_kind": "pond",
        "name": "Pond",
        "osm": "way -69",
        "osm_tag": "natural=water",
    }
    assert of("hedges, fences and walls")[0]["height_m"] == 1.8


# Whole files -------------------------------------------------------------------------------------


def read(*things, **choices):
    return osm.read(source(*things), **choices)


def names(found):
    return [each.properties["osm"] for each in found.features]


def test_ways_may_come_before_their_nodes_and_numbers_be_negative():
    nodes = [node(-1, 0.0, 50.0), node(-2, 1e-4, 50.0), node(-3, 0.0, 50.0001)]
    found = read(way(-9, [-1, -2, -3, -1], landuse="grass", name="Lawn"), *nodes)
    assert found.features[0].geometry["coordinates"] == [
        [[0.0, 50.0], [1e-4, 50.0], [0.0, 50.0001], [0.0, 50.0]]
    ]
    assert found.features[0].place == 'way -9 "Lawn"'
    assert found.warnings == ()


def test_what_was_deleted_is_left_out():
    gone = square(2, west=1.0, landuse="grass").replace("<way ", '<way action="delete" ')
    hidden = '<node id="77" visible="false" version="3"/><way id="5" visible="false"/>'
    assert names(read(square(1, landuse="grass"), gone, hidden)) == ["way 1"]


def test_bounds_notes_and_more_are_passed_over_and_the_owner_is_said():
    extra = '<note>The data belong to the mappers.</note><meta osm_base="x"/><bounds minlat="x"/>'
    found = read(extra, square(1, landuse="grass"))
    assert found.warnings == (
        'The file says of its data: "The data belong to the mappers.". '
        "Name them wherever you share it.",
    )
    head = '<osm version="0.6" copyright="A and others">'
    assert '"A and others"' in osm.read(source(square(1, landuse="grass"), head=head)).warnings[0]


def test_everything_else_is_counted_in_one_sentence():
    lamps = [node(n, 0.0, 0.0, highway="street_lamp") for n in range(1_000, 1_014)]
    poles = [node(n, 0.0, 0.0, power="pole") for n in (2_000, 2_001)]
    door = node(3_000, 0.0, 0.0, addr__housenumber="3")
    odd = node(3_001, 0.0, 0.0, colour="blue")
    route = relation(9, [(1, "")], type="route", route="bus")
    found = read(square(1, landuse="grass"), *lamps, *poles, door, odd, route)
    assert found.warnings == ("Not read: 14 highway, 2 power, 1 route, 1 address, 1 others.",)
    with pytest.raises(
        InputRefused, match=r"nothing of what matters to a lawn\. Not read: 2 power"
    ):
        read(*poles)
    assert osm.look(source(*poles)) == []
    with pytest.raises(InputRefused, match=r"only what had to be left out \(1\)"):
        read(way(2, [10, 11, 99, 10], landuse="grass"))


def test_a_way_cut_at_the_edge_is_left_out_by_name():
    cut = way(2, [10, 11, 99, 10], landuse="grass", name="Verge")
    found = read(square(1, landuse="grass"), cut)
    assert names(found) == ["way 1"]
    assert found.warnings == ('Left out, cut off at the edge of the extract: way 2 "Verge".',)
    assert osm.look(source(square(1, landuse="grass"), cut))[0].count == 1


def test_a_layer_with_nothing_whole_is_not_listed_and_still_told_of():
    cut = way(2, [10, 11, 99, 10], leisure="pitch")
    assert [each.name for each in osm.look(source(square(1, landuse="grass"), cut))] == [
        "lawns and grass"
    ]
    assert "way 2" in read(square(1, landuse="grass"), cut).warnings[0]


def test_what_is_drawn_in_a_form_its_kind_cannot_have_is_left_out_by_name():
    line = way(2, [10, 11], landuse="grass")
    point = node(500, 0.0, 0.0, leisure="park", name="Green")
    found = read(square(1, landuse="grass"), line, point)
    assert found.warnings == (
        "Left out, an open line with a tag of lawns and grass: way 2.",
        'Left out, a point with a tag of parks and gardens: node 500 "Green".',
    )


@pytest.mark.parametrize("refs", [[10, 11, 10], [10, 10], [10]])
def test_too_few_nodes_are_told(refs):
    found = read(square(1, landuse="grass"), way(2, refs, landuse="grass"))
    assert names(found) == ["way 1"]
    assert found.warnings[0].startswith("Left out, ")


def test_another_crs_cannot_be_asked_for():
    with pytest.raises(InputRefused, match="is in OGC:CRS84, and --crs says 'EPSG:27700'"):
        read(square(1, landuse="grass"), crs="EPSG:27700")


def test_a_zone_that_holds_others_is_told_and_stands_after_them():
    park = square(1, side=3 * SIDE, leisure="park", name="Park")
    garden_ = square(2, west=SIDE, south=SIDE, leisure="garden")
    lawn = square(3, west=SIDE / 10, south=SIDE / 10, side=SIDE / 2, landuse="grass")
    found = read(park, garden_, lawn, layer="parks and gardens")
    assert names(found) == ["way 2", "way 1"]
    (told,) = found.warnings
    assert told.startswith("Holds other zones of this file; ground they share is counted once")
    assert told.endswith(': way 1 "Park".')
    assert read(park, garden_, lawn, layer="lawns and grass").warnings == ()


def test_a_lawn_with_a_fence_on_its_line_is_both():
    text = source(square(1, landuse="grass", barrier="fence", height="1.2"))
    assert [each.name for each in osm.look(text)] == ["lawns and grass", "hedges, fences and walls"]
    fence = osm.read(text, layer="hedges, fences and walls").features[0]
    assert fence.geometry["type"] == "LineString"
    assert fence.properties["height_m"] == 1.2
    assert "height_m" not in osm.read(text, layer="lawns and grass").features[0].properties


SIDE = 1e-4
coordinate = st.floats(-1, 1).map(lambda value: round(value, 7))


@given(st.lists(st.lists(st.tuples(coordinate, coordinate), min_size=3, max_size=9), min_size=1,
                max_size=6))  # fmt: skip
def test_any_closed_ways_come_back_exactly(rings):
    things = []
    for number, ring in enumerate(rings, 1):
        ids = [number * 100 + each for each in range(len(ring))]
        things.append(way(number, [*ids, ids[0]], landuse="grass"))
        things += [node(each, *xy) for each, xy in zip(ids, ring, strict=True)]
    found = osm.read(source(*things))
    back = {each.place: each.geometry["coordinates"][0] for each in found.features}
    assert back == {
        f"way {number}": [[*xy] for xy in (*ring, ring[0])] for number, ring in enumerate(rings, 1)
    }


# Bad files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("thing", "words"),
    [
        (node(1, math.nan, 0.0), r"node 1 \(line 1\): longitude: 'nan' is not a number"),
        (node(1, 0.0, math.inf), "latitude: 'inf' is not a number"),
        (node(1, 0.0, 90.5), "latitude 90.5 is out of range"),
        (node(1, 430_000.0, 0.0), "longitude 430000 is out of range"),
        ('<node id="1" lat="53,5" lon="0"/>', "latitude: '53,5' has a decimal comma"),
        ('<node id="1" lat="53"/>', "longitude: '' is not a number"),
        ('<node lat="53" lon="0"/>', "id '' of <node> is not a whole number"),
        ('<way id="1.5"/>', "id '1.5' of <way>"),
        ('<way id="1"><nd/></way>', r"way 1 \(line 1\): ref '' of <nd>"),
        ('<relation id="1"><member type="way" ref="x"/></relation>', "ref 'x' of <member>"),
        (node(1, 0.0, 0.0, a="1").replace("</node>", '<tag k="a" v="2"/></node>'),
         "the tag 'a' stands twice"),
        (node(7, 0.0, 0.0) + node(7, 0.0, 1.0), "node 7 .* stands twice"),
        (way(7, [1, 2]) + way(7, [2, 1]), "way 7 .* stands twice"),
        (node(7, 0.0, 0.0, a="1") + node(7, 0.0, 0.0, a="2"), "node 7 .* stands twice"),
    ],
)  # fmt: skip
def test_what_is_not_sound_is_refused_by_place(thing, words):
    with pytest.raises(InputRefused, match=words) as caught:
        read(square(1, landuse="grass"), thing)
    assert caught.value.remedy


def test_a_repeat_that_says_nothing_new_is_passed_over():
    twice = [node(7, 0.0, 0.0), node(7, 0.0, 0.0, natural="tree"), node(7, 0.0, 0.0)]
    assert names(read(*twice)) == ["node 7"]
    assert names(read(*twice[1:])) == ["node 7"]


@pytest.mark.parametrize(
    "head", ["<osm>", '<osm version="0.5">', '<osm version="0.6" xmlns="http://example.org/">']
)
def test_another_version_is_refused(head):
    with pytest.raises(InputRefused, match=r"not OpenStreetMap XML 0.6"):
        osm.look(source(square(1, landuse="grass"), head=head))


def test_a_doctype_is_refused_before_it_can_swell():
    lol = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    head = f'<!DOCTYPE osm [<!ENTITY l0 "lol">{lol}]><osm version="0.6">'
    text = source(node(1, 0.0, 0.0, natural="tree", name="x").replace('"x"', '"&l9;"'), head=head)
    for function in (osm.look, osm.read):
        with pytest.raises(InputRefused, match="has a DOCTYPE"):
            function(text)


def test_elements_nested_deep_are_refused():
    with pytest.raises(InputRefused, match="nested more than 64 deep"):
        read("<relation>" * 20_000 + "</relation>" * 20_000)


def test_more_vertices_than_a_site_has_are_refused():
    corners = [node(1, 0.0, 0.0), node(2, 1.0, 0.0), node(3, 1.0, 1.0)]
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        read(*corners, way(1, [1, 2, 3] * 100_000 + [1], landuse="grass"))
    with pytest.raises(InputRefused, match="more than 1,000,000 elements"):
        read(*corners, way(1, [1, 2, 3] * 350_000 + [1], landuse="grass"))


@pytest.mark.slow
def test_one_large_way_in_many_relations_does_not_swell():
    count = 60_000
    nodes = [node(n, n * 1e-6, math.sin(n)) for n in range(count)]
    halves = [way(1, range(count // 2)), way(2, [*range(count // 2 - 1, count), 0])]
    many = [relation(n, [(1, "outer"), (2, "outer")], leisure="park") for n in range(1, 4_000)]
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        read(*nodes, *halves, *many)


GOOD = source(
    square(1, landuse="grass", name="Lawn"),
    square(2, west=SIDE / 4, south=SIDE / 4, side=SIDE / 4, landuse="flowerbed"),
    relation(3, [(1, "outer"), (2, "inner")], leisure="park"),
    node(900, 0.0, 0.0, natural="tree", height="6'"),
).data


def all_layers(data):
    """Read every layer without the net, which is for what nobody thought of."""
    text = Source("plan.osm", data, kind_of(data, "plan.osm"))
    for layer in osm.look.__wrapped__(text):
        for feature in osm.read.__wrapped__(text, layer=layer.name).features:
            coordinates = shapely.get_coordinates(shape(feature.geometry))
            assert np.isfinite(coordinates).all()
            assert all(each is not None for each in feature.properties.values())


@pytest.mark.parametrize("data", [GOOD, PLAN.read_bytes()], ids=["small", "garden"])
def test_changed_bytes_are_read_or_refused(data):
    all_layers(data)
    counts = outcomes(all_layers, data)
    assert min(counts.values()) > 5


def test_the_sample_is_what_its_maker_writes():
    assert maker.osm() == PLAN.read_text(encoding="utf-8")


def test_the_line_of_the_garden_s_fence_is_where_it_was_drawn():
    fence = osm.read(admit(PLAN), layer="hedges, fences and walls").features[0]
    ends = Frame(*maker.ANCHOR).to_metres(np.array(fence.geometry["coordinates"]))
    drawn = np.array([maker.turned(-6.0, 12.0), maker.turned(-7.0, 30.0)])
    assert np.abs(ends - drawn).max() < 0.0111 / 2 + 1e-4  # half a last digit of latitude


ids = st.integers(1, 6).map(str)
tagged = st.dictionaries(
    st.sampled_from(["landuse", "leisure", "type", "area", "natural", "barrier", "height", "name"]),
    st.sampled_from(["grass", "park", "multipolygon", "yes", "no", "tree", "hedge", "3 m", ""]),
    max_size=4,
)
position = st.sampled_from([0.0, 1.0, 2.0, 90.0])
members = st.lists(st.tuples(ids, st.sampled_from(["", "outer", "inner"])), max_size=4)
things = st.one_of(
    st.builds(lambda said, *body: node(*body, **said), tagged, ids, position, position),
    st.builds(lambda said, *body: way(*body, **said), tagged, ids, st.lists(ids, max_size=6)),
    st.builds(lambda said, *body: relation(*body, **said), tagged, ids, members),
)


@given(st.lists(things, max_size=12))
def test_any_things_at_all_are_read_or_refused(some):
    with contextlib.suppress(LawnmapError):
        all_layers(source(*some).data)
    assert isinstance(osm_document.parse(source(*some[:1]).data, name=""), Document)
