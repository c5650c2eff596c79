"""Layers, names, units, what is drawn twice and what is not read, on whole drawings."""

import shutil
from pathlib import Path

import ezdxf
import pytest
from ezdxf.math import Vec2

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.readers.dxf import told as dxf_told
from tests.readers.drawings import LAWN, areas, names, new, shapes, simple, text, told

SQUARE = [(2, 2), (6, 2), (6, 6), (2, 6)]


def add(space, ring, layer="0", **attributes):
    return space.add_lwpolyline(ring, close=True, dxfattribs={"layer": layer, **attributes})


def layers(document, tmp_path):
    file = tmp_path / "plan.dxf"
    file.write_text(text(document), encoding="utf-8")
    return dxf_told.layers(str(file))


# Layers ------------------------------------------------------------------------------------------


def test_layers_are_listed_with_counts_kinds_and_areas(tmp_path):
    document, model = new(units=5)
    add(model, [(100 * x, 100 * y) for x, y in LAWN], "LAWN")
    model.add_point((3, 3), dxfattribs={"layer": "TREE"})
    model.add_text("only words", dxfattribs={"layer": "TEXT"})
    assert layers(document, tmp_path) == [
        ["LAWN", 1, ["Polygon"], pytest.approx(41.2 * 28)],
        ["TREE", 1, ["Point"], None],
    ]
    document.header["$INSUNITS"] = 0
    assert layers(document, tmp_path)[0][3] is None
    with pytest.raises(LayerNeeded, match=r'"LAWN" \(1\), "TREE" \(1\)'):
        told(document, tmp_path)


def test_layer_0_in_a_block_is_the_layer_of_the_insert_nested_too(tmp_path):
    document, model = new()
    inner = document.blocks.new("INNER")
    add(inner, SQUARE)
    add(inner, [(x + 10, y) for x, y in SQUARE], "OWN")
    outer = document.blocks.new("OUTER")
    outer.add_blockref("INNER", (0, 0))  # on layer 0 itself
    outer.add_blockref("INNER", (0, 20), dxfattribs={"layer": "MIDDLE"})
    model.add_blockref("OUTER", (0, 0), dxfattribs={"layer": "LAWN"})
    found = [(name, count) for name, count, _, _ in layers(document, tmp_path)]
    assert found == [("LAWN", 1), ("OWN", 2), ("MIDDLE", 1)]


def test_the_spelling_of_a_layer_is_that_of_the_table(tmp_path):
    document, model = new()
    document.layers.add("Lawn")
    add(model, LAWN, "LAWN")
    add(model, [(x + 100, y) for x, y in LAWN], "lawn")
    assert [each[:2] for each in layers(document, tmp_path)] == [["Lawn", 2]]


def test_what_is_off_frozen_or_invisible_is_left_out_and_said(tmp_path):
    document, model = new()
    document.layers.add("OFF").off()
    document.layers.add("COLD").freeze()
    block = document.blocks.new("B")
    add(block, SQUARE, "LAWN")
    add(block, [(x, y + 10) for x, y in SQUARE])
    add(model, LAWN, "LAWN")
    add(model, LAWN, "OFF")
    add(model, [(x + 100, y) for x, y in LAWN], "LAWN", invisible=1)
    model.add_blockref("B", (200, 0), dxfattribs={"layer": "COLD"})
    model.add_blockref("B", (300, 0), dxfattribs={"layer": "OFF"})
    answer = told(document, tmp_path)
    assert sorted(areas(answer)) == pytest.approx([16, 41.2 * 28])
    assert answer["warnings"] == [
        "Left out, on layers that are off or frozen: OFF (2), LAWN (1), COLD (1)."
    ]


def test_paper_space_is_not_the_plan(tmp_path):
    document, model = new()
    add(model, LAWN)
    add(document.paperspace(), SQUARE)
    assert areas(told(document, tmp_path)) == pytest.approx([41.2 * 28])


def test_what_is_not_read_is_counted_and_named(tmp_path):
    document, model = new()
    add(model, LAWN)
    for _ in range(3):
        model.add_linear_dim(base=(0, 40), p1=(0, 0), p2=(41, 0)).render()
    model.add_image(document.add_image_def("photo.png", (10, 10)), (0, 0), (1, 1))
    model.add_polyface()
    document.add_xref_def("C:\\jobs\\survey.dwg", "SURVEY")
    model.add_blockref("SURVEY", (0, 0))
    model.add_blockref("LOST", (0, 0))
    assert told(document, tmp_path)["warnings"] == [
        "Not read: 3 dimensions, 1 image, 1 POLYLINE.",
        "Other drawings that this one refers to are not read: survey.dwg.",
        "Blocks that are inserted but not in the drawing: LOST.",
    ]


def test_a_drawing_of_nothing_is_refused_and_says_what_is_in_it(tmp_path):
    document, model = new()
    model.add_image(document.add_image_def("photo.png", (10, 10)), (0, 0), (1, 1))
    with pytest.raises(InputRefused, match=r"holds no outlines.*Not read: 1 image\."):
        told(document, tmp_path)


# Twice -------------------------------------------------------------------------------------------


def test_a_hatch_and_its_edges_on_one_layer_are_one_piece_of_ground(tmp_path):
    document, model = new()
    hatch = model.add_hatch()
    hatch.paths.add_polyline_path(LAWN, flags=1)
    hatch.paths.add_polyline_path(SQUARE, flags=16)
    add(model, LAWN)
    add(model, SQUARE)
    answer = told(document, tmp_path)
    assert areas(answer) == pytest.approx([41.2 * 28 - 16])
    assert answer["warnings"] == [
        "Drawn twice on layer 0 (as a hatch and its edge, or one on the other): 2 left out."
    ]
    model.add_lwpolyline(LAWN, close=True, dxfattribs={"layer": "EDGE"})
    assert areas(told(document, tmp_path, "EDGE")) == pytest.approx([41.2 * 28])


@pytest.mark.parametrize("filling_first", [False, True])
def test_a_hatch_that_fills_the_hole_of_another_is_ground_of_its_own(tmp_path, filling_first):
    document, model = new()
    hatches = [(LAWN, SQUARE), (SQUARE,)]
    for outline, *holes in hatches[::-1] if filling_first else hatches:
        hatch = model.add_hatch()
        hatch.paths.add_polyline_path(outline, flags=1)
        for hole in holes:
            hatch.paths.add_polyline_path(hole, flags=16)
    answer = told(document, tmp_path)
    assert sorted(areas(answer)) == pytest.approx([16, 41.2 * 28 - 16])
    assert not any("Drawn twice" in each for each in answer["warnings"])


def test_the_two_halves_of_a_square_are_not_the_same_ground(tmp_path):
    document, model = new()
    add(model, [(0, 0), (9, 0), (9, 9)])
    add(model, [(0, 0), (9, 9), (0, 9)])
    add(model, [(0, 9), (0, 0), (9, 9)])  # the second again, from another corner
    assert areas(told(document, tmp_path)) == pytest.approx([40.5, 40.5])


def test_what_holds_another_outline_comes_last_and_is_told(tmp_path):
    document, model = new()
    add(model, LAWN)
    add(model, SQUARE)
    answer = told(document, tmp_path)
    assert areas(answer) == pytest.approx([16, 41.2 * 28])
    (said,) = answer["warnings"]
    assert said.startswith("layer 0, entity ")
    assert said.endswith("holds other outlines of its layer: ground they share is counted once.")


# Names -------------------------------------------------------------------------------------------


def test_a_text_names_the_smallest_outline_it_lies_in_on_whatever_layer(tmp_path):
    document, model = new()
    add(model, LAWN, "LAWN")
    add(model, SQUARE, "BED")
    model.add_text("Rose bed", dxfattribs={"layer": "TEXT", "insert": (3, 3)})
    model.add_text("Outside", dxfattribs={"insert": (-3, 3)})
    assert names(told(document, tmp_path, "BED")) == ["Rose bed"]
    assert names(told(document, tmp_path, "LAWN")) == [None]
    model.add_mtext("{\\fArial|b1;Back} lawn\\Pby the été", dxfattribs={"insert": (20, 20)})
    assert names(told(document, tmp_path, "LAWN")) == ["Back lawn by the été"]


def test_of_several_texts_the_tallest_is_the_name_and_the_others_are_told(tmp_path):
    document, model = new()
    add(model, LAWN)
    model.add_text("1,154 m²", height=0.5, dxfattribs={"insert": (20, 20)})
    model.add_text("Back lawn", height=2, dxfattribs={"insert": (9, 20)})
    answer = told(document, tmp_path)
    assert names(answer) == ["Back lawn"]
    (said,) = answer["warnings"]
    assert said.endswith('is called "Back lawn"; also written in it: 1,154 m².')


def test_an_attribute_of_a_block_names_its_outline_and_centred_text_counts_at_its_middle(tmp_path):
    document, model = new()
    block = document.blocks.new("BED")
    add(block, SQUARE)
    block.add_attdef("NAME", (3, 3), "never shown")
    insert = model.add_blockref("BED", (100, 0), dxfattribs={"xscale": 2})
    insert.add_attrib("NAME", "Herbs", (105, 3))
    add(model, LAWN)
    wide = model.add_text("A long name", height=9)
    wide.set_placement((20, 14), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER)
    wide.dxf.insert = Vec2(-30, 14)
    assert names(told(document, tmp_path)) == ["Herbs", "A long name"]


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010"])
@pytest.mark.parametrize("encoding", ["cp1252", "utf-8"])
def test_accents_are_read_whatever_the_bytes_are_called(tmp_path, version, encoding):
    document, model = new(version=version)
    model.add_polyline2d(LAWN, close=True, dxfattribs={"layer": "0"})
    model.add_text("Pré carré %%d", dxfattribs={"insert": (5, 5)})
    model.add_text("\\U+010Cern\\U+00FD", height=0.1, dxfattribs={"insert": (6, 5)})
    answer = told(text(document).encode(encoding), tmp_path, said_m=1.0)
    assert names(answer) == ["Pré carré °"]
    assert any("Černý" in said for said in answer["warnings"])


def test_binary_drawings_are_read(tmp_path):
    document, model = new()
    add(model, LAWN)
    model.add_text("été", dxfattribs={"insert": (5, 5)})
    document.saveas(tmp_path / "binary.dxf", fmt="bin")
    answer = told((tmp_path / "binary.dxf").read_bytes(), tmp_path)
    assert (names(answer), areas(answer)) == (["été"], [pytest.approx(41.2 * 28)])


# Units -------------------------------------------------------------------------------------------


def test_the_header_s_unit_is_handed_on_and_the_numbers_are_left(tmp_path):
    document, model = new(units=2)
    add(model, LAWN)
    answer = told(document, tmp_path)
    assert answer["unit_m"] == 0.3048
    assert shapes(answer)[0].bounds == (0, 0, 41.2, 28)
    assert told(simple(["0", "LINE", "8", "0", 10, 0, 20, 0, 11, 9, 21, 9], 21), tmp_path)[
        "unit_m"
    ] == pytest.approx(0.3048006096, abs=1e-10)  # the US survey foot, 1200/3937 m


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_without_a_unit_it_is_asked_for_with_the_size_in_each(tmp_path, version):
    document, model = new(units=0, version=version)
    model.add_polyline2d([(1000 * x, 1000 * y) for x, y in LAWN], close=True)
    with pytest.raises(InputRefused) as refusal:
        told(document, tmp_path)
    words = str(refusal.value)
    assert "does not say in which unit it is drawn" in words
    assert "as m 41,200 x 28,000 m; as cm 412 x 280 m; as mm 41.2 x 28 m; as ft 12,558" in words
    assert "Say which with --units" in words
    assert told(document, tmp_path, said_m=0.001)["unit_m"] == 0.001


@pytest.mark.parametrize(
    ("units", "factor", "words"),
    [
        (4, 1, r"drawn in mm, and then it would be 0.0412 m across"),
        (6, 1000, r"drawn in m, and then it would be 41,200 m across"),
        (5, 4, r"drawn in cm, and then it would be 1.65 m across"),
        (6, 40, r"drawn in m, and then its largest outline would have 185 ha"),
        (7, 1, r"drawn in km, and then it would be 41,200 m across"),
        (18, 1, r"drawn in units of 1.49598e\+11 m"),
    ],
)
def test_a_unit_that_cannot_be_is_asked_about(tmp_path, units, factor, words):
    document, model = new(units=units)
    add(model, [(factor * x, factor * y) for x, y in LAWN])
    if units == 5:
        words = "largest outline would have"
        document.modelspace().delete_all_entities()
        add(model, [(factor * x, factor * y / 10) for x, y in LAWN])
    with pytest.raises(InputRefused, match=words):
        told(document, tmp_path)


def test_the_person_overrules_the_header_and_is_told(tmp_path):
    document, model = new(units=4)
    add(model, LAWN)
    answer = told(document, tmp_path, said_m=1.0)
    assert answer["unit_m"] == 1.0
    assert answer["warnings"] == ["Taken as m, as you said; the drawing says mm."]


# A place on the earth ----------------------------------------------------------------------------


def geodata(model, code, reference, north=(0, 1)):
    data = model.new_geodata()
    data.setup_local_grid(
        design_point=(0, 0), reference_point=reference, north_direction=north, crs=GRID % code
    )


GRID = """<Dictionary version="1.0" xmlns="http://www.osgeo.org/mapguide/coordinatesystem">
<Alias id="%s" type="CoordinateSystem"><ObjectId>X</ObjectId><Namespace>EPSG Code</Namespace>
</Alias><Axis uom="METER"><CoordinateSystemAxis><AxisOrder>1</AxisOrder>
<AxisAbbreviation>E</AxisAbbreviation></CoordinateSystemAxis></Axis></Dictionary>"""


def test_a_stated_place_is_used(tmp_path):
    document, model = new()
    add(model, LAWN)
    geodata(model, 27700, (430_000, 433_000))
    answer = told(document, tmp_path)
    assert (answer["crs"], answer["unit_m"], answer["warnings"]) == ("EPSG:27700", None, [])
    assert shapes(answer)[0].bounds == pytest.approx((430_000, 433_000, 430_041.2, 433_028))


@pytest.mark.parametrize(
    ("code", "reference", "words"),
    [
        (27700, (9e6, 9e6), "it lies"),
        (4326, (1, 53), "is not in metres"),
        (999999, (430_000, 433_000), "is not known"),
        ("x", (430_000, 433_000), "it has no usable EPSG code"),
        (2263, (1_000_000, 200_000), "is not in metres"),
        ('1"><!-- -->', (430_000, 433_000), "it is not plain"),
    ],
)
def test_a_place_that_cannot_be_is_not_used(tmp_path, code, reference, words):
    document, model = new()
    add(model, LAWN)
    geodata(model, code, reference)
    answer = told(document, tmp_path)
    assert (answer["crs"], answer["unit_m"]) == (None, 1.0)
    (said,) = answer["warnings"]
    assert said.startswith("What the drawing says of its place on the earth is not used")
    assert words in said
    assert told(document, tmp_path, said_m=1.0)["warnings"] == []


@pytest.mark.parametrize(
    ("changes", "reference", "words"),
    [
        ({"horizontal_unit_scale": 2.0, "vertical_unit_scale": 1.0}, (430_000, 433_000), "scales"),
        ({"horizontal_unit_scale": -1.0, "vertical_unit_scale": -1.0}, (430_000, 433_000), "scale"),
        ({}, (1e30, 1e30), "it lies nowhere in OSGB36 / British National Grid"),
    ],
)
def test_a_place_of_odd_numbers_is_not_used(tmp_path, changes, reference, words):
    document, model = new()
    add(model, LAWN)
    geodata(model, 27700, reference)
    data = model.get_geodata()
    for name, value in changes.items():
        data.dxf.set(name, value)
    (said,) = told(document, tmp_path)["warnings"]
    assert said.startswith("What the drawing says of its place on the earth is not used")
    assert words in said


def test_a_copy_elsewhere_reads_the_same(tmp_path):
    document, model = new()
    add(model, LAWN)
    first = told(document, tmp_path)
    shutil.copy(tmp_path / "plan.dxf", tmp_path / "other.dxf")
    assert dxf_told.features(str(Path(tmp_path, "other.dxf")), None, None) == first


# What goes wrong below us ------------------------------------------------------------------------


def test_whatever_a_damaged_drawing_makes_the_library_raise_is_told(tmp_path, monkeypatch):
    document, model = new()
    add(model, LAWN)

    def fails(_):
        raise AttributeError("no such thing")

    monkeypatch.setattr("lawnmap.readers.dxf.count.check", fails)
    with pytest.raises(InputRefused, match=r"not a sound DXF drawing \(AttributeError\)"):
        told(document, tmp_path)


def test_want_of_memory_is_not_told_as_a_damaged_drawing(tmp_path, monkeypatch):
    document, model = new()
    add(model, LAWN)
    data = text(document)

    def fails(_):
        raise MemoryError

    monkeypatch.setattr("ezdxf.read", fails)
    with pytest.raises(MemoryError):
        told(data, tmp_path)
