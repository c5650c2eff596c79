"""Drawings that mean harm, or were damaged on the way: refused in words, by place, and soon."""

import time
from itertools import pairwise
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.readers.dxf import reader as dxf
from tests.hostile.drawings import bomb, grid, ring, tower
from tests.readers.drawings import LAWN, areas, new, simple, source, text, told
from tests.readers.mutants import outcomes

PLAN = Path(__file__).parents[2] / "sample_geo" / "plans" / "garden.dxf"
SOON_S = 20  # the slowest took 3 s when measured


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (bomb, "comes to 111,111,111 entities once its blocks are inserted"),
        (lambda: grid(empty=False), "comes to 1,800,000,000 entities"),
        (lambda: grid(empty=True), "comes to 900,000,000 entities"),
        (lambda: ring(1), "has blocks that insert each other: b0 in b0"),
        (lambda: ring(2), "has blocks that insert each other: b0 in b1 in b0"),
        (lambda: ring(50), "has blocks more than 8 deep in each other"),
        (lambda: tower(9), "has blocks more than 8 deep in each other"),
        (lambda: tower(3000), "has blocks more than 8 deep in each other"),
    ],
)
def test_blocks_are_counted_before_they_are_expanded(tmp_path, make, words):
    document = make()
    began = time.monotonic()
    with pytest.raises(InputRefused, match=words):
        told(document, tmp_path)
    assert time.monotonic() - began < SOON_S


def test_a_bomb_of_a_few_kilobytes_is_refused_through_the_child():
    began = time.monotonic()
    with pytest.raises(InputRefused, match="comes to 111,111,111 entities"):
        dxf.read(source(bomb()))
    assert time.monotonic() - began < SOON_S


def test_eight_deep_is_read(tmp_path):
    assert areas(told(tower(8), tmp_path)) == pytest.approx([41.2 * 28])


def changed(draw, new_number):
    document, model = new()
    draw(model, {"layer": "LAWN"})
    return text(document).replace("77.125", new_number)


DRAW = {
    "polyline": lambda m, a: m.add_lwpolyline([(0, 0), (77.125, 0), (9, 9)], dxfattribs=a),
    "line": lambda m, a: m.add_line((0, 0), (5, 77.125), dxfattribs=a),
    "circle": lambda m, a: m.add_circle((0, 0), 77.125, dxfattribs=a),
    "ellipse": lambda m, a: m.add_ellipse((0, 0), (77.125, 0), 0.5, dxfattribs=a),
    "spline": lambda m, a: m.add_spline([(0, 0), (5, 77.125), (9, 1), (4, 4)], dxfattribs=a),
    "point": lambda m, a: m.add_point((0, 77.125), dxfattribs=a),
    "solid": lambda m, a: m.add_solid([(0, 0), (77.125, 0), (9, 9)], dxfattribs=a),
    "hatch": lambda m, a: m.add_hatch(dxfattribs=a).paths.add_polyline_path(
        [(0, 0), (77.125, 0), (9, 9)]
    ),
}


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e400", "1e300", "1e13"])
@pytest.mark.parametrize("kind", DRAW)
def test_numbers_that_cannot_be_are_refused_by_place(tmp_path, kind, number):
    place = r"layer LAWN, entity [0-9A-F]+: "
    with pytest.raises(InputRefused, match=place):
        told(changed(DRAW[kind], number), tmp_path)


def test_a_bulge_without_measure_is_refused_by_place(tmp_path):
    document, model = new()
    ring = [(0, 0, 1e308), (20, 0, 0), (20, 10, 0)]
    model.add_lwpolyline(ring, "xyb", close=True, dxfattribs={"layer": "LAWN"})
    with pytest.raises(InputRefused, match=r"layer LAWN, entity 2F: a bulge of 1e\+308 is no arc"):
        told(document, tmp_path)


def test_a_scale_without_measure_is_refused_by_place(tmp_path):
    document, model = new()
    document.blocks.new("B").add_circle((1, 1), 1)
    model.add_blockref("B", (0, 0), dxfattribs={"xscale": 1e300})
    with pytest.raises(InputRefused, match=r"entity \w+ in block B: has a point at"):
        told(document, tmp_path)


def test_too_many_vertices_are_refused(tmp_path):
    entities = ["0", "LWPOLYLINE", "8", "0", "100", "AcDbEntity", "100", "AcDbPolyline"]
    corners = [each for n in range(SITE.vertices + 1) for each in (10, n % 500, 20, n // 500)]
    began = time.monotonic()
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        told(simple([*entities, 90, SITE.vertices + 1, 70, 0, *corners]), tmp_path)
    assert time.monotonic() - began < SOON_S
    document, model = new()
    document.blocks.new("POND").add_circle((0, 0), 1)
    many = {"row_count": 200, "column_count": 200, "row_spacing": 3, "column_spacing": 3}
    model.add_blockref("POND", (0, 0), dxfattribs=many)
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        told(document, tmp_path)


def test_a_spline_with_more_knots_than_vertices_is_refused(tmp_path):
    entities = ["0", "SPLINE", "8", "0", "100", "AcDbEntity", "100", "AcDbSpline", "71", "3"]
    entities += [each for n in range(30_000) for each in (10, n % 100, 20, n // 100)]
    began = time.monotonic()
    with pytest.raises(InputRefused, match="more than 200,000 vertices"):
        told(simple(entities), tmp_path)
    assert time.monotonic() - began < SOON_S


@pytest.mark.parametrize(
    "data",
    [
        b"0\nSECTION\n",
        b"0\nSECTION\n2\nENTITIES\n0\nLINE\n",
        b"0\nSECTION\nx\nENTITIES\n0\nENDSEC\n0\nEOF\n",
        b"AutoCAD Binary DXF\r\n\x1a\0\x00",
        simple([]).replace("AC1015", "AC9999").encode(),
        simple([]).replace("AC1015", "AC1002").encode(),
        text(new()[0]).encode()[:9000],
    ],
)
def test_what_is_no_whole_drawing_is_refused(tmp_path, data):
    with pytest.raises(InputRefused, match=r"is not a sound DXF drawing|holds no outlines"):
        told(data, tmp_path)


# Damage at random --------------------------------------------------------------------------------


def rich():
    """Return a small drawing with each kind of entity in it."""
    document, model = new(version="R2000")
    for index, draw in enumerate(DRAW.values()):
        draw(model, {"layer": f"L{index}"})
    model.add_lwpolyline([(0, 0, 1), (20, 0, 0), (20, 10, 0)], "xyb", close=True)
    path = model.add_hatch().paths.add_edge_path()
    path.add_arc((80, 50), 5, 0, 180)
    path.add_ellipse((80, 50), (5, 0), 0.5, 180, 360)
    block = document.blocks.new("B")
    block.add_lwpolyline(LAWN, close=True)
    block.add_attdef("NAME", (3, 3), "x")
    insert = model.add_blockref("B", (0, 0), dxfattribs={"row_count": 2, "row_spacing": 50})
    insert.add_attrib("NAME", "Herbs", (5, 5))
    model.add_polyline3d([(0, 0, 1), (9, 0, 1), (9, 4, 1)], close=True)
    model.add_text("Pré", dxfattribs={"insert": (5, 5)})
    model.add_mtext("{\\fArial|b1;Back} lawn", dxfattribs={"insert": (5, 6)})
    for start, end in pairwise(LAWN):
        model.add_line(start, end)
    return document


def drawing_part(document):
    """Return the blocks and entities alone: damage elsewhere says little."""
    parts = ["  0\nSECTION\n" + each for each in text(document).split("  0\nSECTION\n")[1:]]
    kept = [each for each in parts if each.split("\n")[3] in {"BLOCKS", "ENTITIES"}]
    head = simple([]).split("0\nSECTION\n2\nENTITIES")[0]
    return (head + "".join(kept) + "  0\nEOF\n").encode()


@pytest.mark.parametrize("part", [drawing_part, lambda _: PLAN.read_bytes()])
def test_damage_at_random_is_read_or_refused(tmp_path, part):
    data = part(rich())
    slowest = 0.0

    def read(mutant):
        nonlocal slowest
        began = time.monotonic()
        try:
            told(mutant, tmp_path, layer="0" if part is drawing_part else "LAWN", said_m=1.0)
        finally:
            slowest = max(slowest, time.monotonic() - began)

    read(data)
    counts = outcomes(read, data)
    assert counts["read"] > 0
    assert counts["refused"] > 0
    assert slowest < 5
