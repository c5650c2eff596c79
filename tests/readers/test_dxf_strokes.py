"""Each kind of entity that encloses ground, against the exact formula of its area."""

import math

import numpy as np
import pytest
import shapely
from ezdxf.math import rational_bspline_from_arc

from tests.readers.drawings import areas, new, shapes, simple, told

WORST = 2e-4  # the most that any kind may be out, as a part of its area


def drawn(tmp_path, draw, **choices):
    document, model = new()
    draw(document, model)
    return told(document, tmp_path, **choices)


def bulged(_, model):
    model.add_lwpolyline([(0, 0, 1), (20, 0, 0), (20, 10, 0), (0, 10, 0)], "xyb", close=True)


def old_bulged(_, model):
    model.add_polyline2d([(0, 0, 1), (20, 0, 0), (20, 10, 0), (0, 10, 0)], "xyb", close=True)


def half_ellipse(_, model):
    model.add_ellipse((5, 5), (6, 0), 0.5, start_param=0, end_param=math.pi)
    model.add_line((-1, 5), (11, 5))


def rational(_, model):
    entity = model.add_spline()
    entity.apply_construction_tool(rational_bspline_from_arc(radius=3))
    entity.closed = True


def twice_rotated(document, model):
    block = document.blocks.new("BED", base_point=(1, 1))
    block.add_lwpolyline([(0, 0), (4, 0), (4, 4), (0, 4)], close=True)
    block.add_circle((20, 0), 2)
    for turn in (0, 33):
        model.add_blockref("BED", (50 + turn, 7), dxfattribs={"rotation": turn})


def nested_uneven(document, model):
    inner = document.blocks.new("INNER")
    inner.add_lwpolyline([(0, 0), (1, 0), (1, 1), (0, 1)], close=True)
    outer = document.blocks.new("OUTER")
    outer.add_blockref("INNER", (5, 5), dxfattribs={"rotation": 90, "xscale": 2})
    model.add_blockref("OUTER", (0, 0), dxfattribs={"xscale": -1, "yscale": 3, "rotation": 17})


def circle_uneven(document, model):
    document.blocks.new("POND").add_circle((3, 3), 2)
    model.add_blockref("POND", (0, 0), dxfattribs={"xscale": 3, "yscale": -0.5, "rotation": 20})


def hatch_with_hole(_, model):
    paths = model.add_hatch().paths
    paths.add_polyline_path([(0, 0), (10, 0), (10, 10), (0, 10)], flags=1)
    paths.add_polyline_path([(2, 2), (5, 2), (5, 5), (2, 5)], flags=16)


def hatch_of_edges(_, model):
    path = model.add_hatch().paths.add_edge_path()
    path.add_ellipse((50, 50), (5, 0), 0.5, 180, 360)
    path.add_arc((50, 50), 5, 0, 180)


def hatch_clockwise(_, model):
    path = model.add_hatch().paths.add_edge_path()
    path.add_arc((80, 50), 5, 0, 180, ccw=False)
    path.add_line((85, 50), (75, 50))


def hatch_of_a_spline(_, model):
    tool = rational_bspline_from_arc(radius=3)
    model.add_hatch().paths.add_edge_path().add_spline(
        control_points=[each.vec2 for each in tool.control_points],
        degree=tool.degree,
        knot_values=list(tool.knots()),
        weights=list(tool.weights()),
    )


def mirrored(_, model):
    model.add_lwpolyline(
        [(0, 0, 1), (20, 0, 0), (20, 10, 0), (0, 10, 0)],
        "xyb",
        close=True,
        dxfattribs={"extrusion": (0, 0, -1)},
    )


@pytest.mark.parametrize(
    ("draw", "true"),
    [
        (lambda _, m: m.add_lwpolyline([(0, 0), (9, 0), (9, 4)], close=True), [18]),
        (bulged, [200 + math.pi * 50]),
        (old_bulged, [200 + math.pi * 50]),
        (lambda _, m: m.add_circle((0, 0), 2), [math.pi * 4]),
        (lambda _, m: m.add_circle((430_000, 5_600_000), 2), [math.pi * 4]),
        (lambda _, m: m.add_ellipse((0, 0), (6, 0), 0.5), [math.pi * 18]),
        (half_ellipse, [math.pi * 9]),
        (rational, [math.pi * 9]),
        (twice_rotated, [16, math.pi * 4, 16, math.pi * 4]),
        (nested_uneven, [6]),
        (circle_uneven, [math.pi * 6]),
        (hatch_with_hole, [91]),
        (hatch_of_edges, [math.pi * 12.5 + math.pi * 6.25]),
        (hatch_clockwise, [math.pi * 12.5]),
        (hatch_of_a_spline, [math.pi * 9]),
        (mirrored, [200 + math.pi * 50]),
        (lambda _, m: m.add_solid([(0, 0), (9, 0), (0, 4), (9, 4)]), [36]),
        (lambda _, m: m.add_trace([(0, 0), (9, 0), (0, 4), (0, 4)]), [18]),
        (lambda _, m: m.add_polyline3d([(0, 0, 1), (9, 0, 1), (9, 4, 1)], close=True), [18]),
    ],
)
def test_the_area_of_each_kind(tmp_path, draw, true):
    assert areas(drawn(tmp_path, draw)) == pytest.approx(true, rel=WORST)
    assert areas(drawn(tmp_path, draw)) == pytest.approx(true, rel=1e-6)  # and far better still


def test_a_mirrored_entity_lies_on_the_other_side(tmp_path):
    """DXF reference, arbitrary axis: with extrusion 0, 0, -1 the x of the entity points west."""
    (shape,) = shapes(drawn(tmp_path, mirrored))
    assert shape.bounds == pytest.approx((-20, -10, 0, 10), abs=0.01)


def test_a_mirrored_insert_and_its_rotation(tmp_path):
    def draw(document, model):
        document.blocks.new("B").add_line((0, 0), (10, 5))
        model.add_blockref("B", (100, 0), dxfattribs={"extrusion": (0, 0, -1), "rotation": 90})

    (line,) = shapes(drawn(tmp_path, draw))
    # In the insert's plane (-5, 10) + (100, 0) = (95, 10); its x points west.
    assert np.array(line.coords) == pytest.approx(np.array([(-100, 0), (-95, 10)]))


def test_rows_and_columns_turn_with_the_insert_but_are_not_scaled(tmp_path):
    def draw(document, model):
        document.blocks.new("TUFT").add_point((0, 0))
        model.add_blockref(
            "TUFT",
            (10, 0),
            dxfattribs={
                "row_count": 2,
                "column_count": 3,
                "row_spacing": 4,
                "column_spacing": 7,
                "rotation": 90,
                "xscale": 5,
                "yscale": 5,
            },
        )

    found = {tuple(round(n, 9) for n in each.coords[0]) for each in shapes(drawn(tmp_path, draw))}
    assert found == {(10 - y, x) for x in (0, 7, 14) for y in (0, 4)}


def test_cells_that_fall_together_count_once(tmp_path):
    def draw(document, model):
        document.blocks.new("TUFT").add_circle((0, 0), 3)
        model.add_blockref("TUFT", (1, 1), dxfattribs={"row_count": 5, "column_count": 5})

    assert areas(drawn(tmp_path, draw)) == pytest.approx([math.pi * 9])


def test_a_polyline_in_the_air_is_taken_from_above_and_said(tmp_path):
    answer = drawn(
        tmp_path, lambda _, m: m.add_polyline3d([(0, 0, 1), (9, 0, 2), (9, 4, 3)], close=True)
    )
    assert areas(answer) == pytest.approx([18])
    assert answer["warnings"] == [
        "Seen from above, though its heights differ: 1 on layer 0.",
    ]


def test_what_stands_upright_is_left_out_and_said(tmp_path):
    def draw(_, model):
        model.add_circle((0, 0), 4, dxfattribs={"extrusion": (0, 1, 0)})
        model.add_circle((0, 0), 4)

    answer = drawn(tmp_path, draw)
    assert areas(answer) == pytest.approx([math.pi * 16])
    assert "Left out, as seen from above it has no area: 1 on layer 0." in answer["warnings"]


def test_points_lines_and_arcs_are_what_they_are(tmp_path):
    def draw(_, model):
        model.add_point((3, 4, 9))
        model.add_lwpolyline([(0, 0), (9, 0), (9, 4)])
        model.add_arc((50, 50), 5, 350, 10)

    line, arc, point = sorted(shapes(drawn(tmp_path, draw)), key=lambda s: -s.length)
    assert shapely.Point(3, 4) == point
    assert line.length == 13
    assert arc.length == pytest.approx(math.radians(20) * 5, rel=1e-3)
    assert arc.bounds[2] == pytest.approx(55, abs=0.01)


def test_a_curve_fitted_polyline_is_drawn_without_its_frame(tmp_path):
    def draw(_, model):
        line = model.add_polyline2d([(0, 0), (100, 100), (10, 0), (10, 5)], close=True)
        line.vertices[1].dxf.flags |= 16

    assert areas(drawn(tmp_path, draw)) == pytest.approx([25])


def test_the_nesting_of_loops_is_as_the_style_says(tmp_path):
    def draw(style):
        def of(_, model):
            hatch = model.add_hatch(dxfattribs={"hatch_style": style})
            for size in (5, 2, 4):  # in no order
                ring = [(-size, -size), (size, -size), (size, size), (-size, size)]
                hatch.paths.add_polyline_path(ring)
            box = [(4.2, 4.2), (4.8, 4.2), (4.8, 4.8), (4.2, 4.8)]
            hatch.paths.add_polyline_path(box, flags=8)  # kept free for a text

        return of

    # Loops are ordered by size of the square: 100, 64, 16.
    assert sorted(areas(drawn(tmp_path, draw(0)))) == pytest.approx([16, 36])
    assert areas(drawn(tmp_path, draw(1))) == pytest.approx([36])
    assert areas(drawn(tmp_path, draw(2))) == pytest.approx([100])


def hatch_of_lines(*ends):
    def draw(_, model):
        path = model.add_hatch().paths.add_edge_path()
        for start, end in ends:
            path.add_line(start, end)

    return draw


def test_the_first_edge_of_a_hatch_is_turned_round_like_the_others(tmp_path):
    draw = hatch_of_lines(((9, 0), (0, 0)), ((9, 0), (9, 4)), ((0, 0), (9, 4)))
    assert areas(drawn(tmp_path, draw)) == pytest.approx([18])


def test_a_hatch_bounded_by_a_curve_through_points(tmp_path):
    def draw(_, model):
        path = model.add_hatch().paths.add_edge_path()
        path.add_line((0, 0), (20, 0))
        path.add_spline(fit_points=[(20, 0), (20, 10), (0, 10), (0, 0)])

    (area,) = areas(drawn(tmp_path, draw))
    assert 200 < area < 400  # the curve swings out of the rectangle of its points


def test_loops_of_a_hatch_that_enclose_nothing_are_left_out(tmp_path):
    def draw(_, model):
        paths = model.add_hatch().paths
        paths.add_polyline_path([(0, 0), (9, 0), (9, 4)])
        paths.add_polyline_path([(1, 1), (2, 2), (3, 3)])
        paths.add_polyline_path([])
        paths.add_edge_path()

    answer = drawn(tmp_path, draw)
    assert areas(answer) == pytest.approx([18])
    assert "as seen from above it has no area" in answer["warnings"][0]


def test_lines_without_a_length_or_without_points_are_nothing(tmp_path):
    def draw(_, model):
        model.add_line((5, 5, 0), (5, 5, 3))
        model.add_polyline2d([])
        model.add_circle((0, 0), 2)

    answer = drawn(tmp_path, draw)
    assert areas(answer) == pytest.approx([math.pi * 4], rel=WORST)
    assert not any("eft out" in each for each in answer["warnings"])


def test_a_polyline_that_says_it_has_no_corners_is_nothing(tmp_path):
    empty = ["0", "LWPOLYLINE", "8", "0", "100", "AcDbEntity", "100", "AcDbPolyline", 90, 0, 70, 1]
    circle = [
        "0",
        "CIRCLE",
        "8",
        "0",
        "100",
        "AcDbEntity",
        "100",
        "AcDbCircle",
        10,
        0,
        20,
        0,
        40,
        2,
    ]
    answer = told(simple([*empty, *circle]), tmp_path)
    assert areas(answer) == pytest.approx([math.pi * 4], rel=WORST)
    assert answer["warnings"] == []
