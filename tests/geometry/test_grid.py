"""A picture's grid: against GDAL's example, Pillow's own turning, and pyproj's Web Mercator."""

import itertools

import numpy as np
import pyproj
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from lawnmap.geometry import grid as grids
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.grid import Grid

SKEW = Grid(0.31, -0.12, 430_100.5, -0.14, -0.33, 281_900.25)
PLACES = np.array([[0.0, 0], [10, 0], [0, 20], [123.4, 567.8]])


def test_the_example_of_the_gdal_documentation():
    # GDAL, raster driver WLD: these six numbers put the outer corner at 440720, 3751320.
    grid = grids.from_world_file((60, 0, 0, -60, 440750, 3751290))
    assert grid.apply(np.array([[0.0, 0], [0.5, 0.5]])).tolist() == [
        [440720, 3751320],
        [440750, 3751290],
    ]


def test_the_order_of_a_world_file_is_a_d_b_e_c_f():
    grid = grids.from_world_file((1, 2, 3, 4, 5, 6))
    # X = A·col + B·row + C from the middle of the first pixel.
    assert grid.apply(np.array([[1.5, 2.5]])).tolist() == [[1 + 3 * 2 + 5, 2 + 4 * 2 + 6]]


def test_a_tie_and_a_matrix_say_the_same():
    # OGC 19-008r4, 7.4: the matrix of a scale and a tie point at column 10, row 20.
    tied = grids.from_tie((2.0, 3.0), (10, 20, 500_000, 4_000_000))
    matrix = (2, 0, 0, 500_000 - 20, 0, -3, 0, 4_000_000 + 60, 0, 0, 0, 0, 0, 0, 0, 1)
    assert tied == grids.from_matrix(matrix)
    assert tied.apply(np.array([[10.0, 20]])).tolist() == [[500_000, 4_000_000]]


def test_one_grid_after_another():
    first = Grid(0, 1, 5, -1, 0, 7)
    assert SKEW.after(first).apply(PLACES) == pytest.approx(SKEW.apply(first.apply(PLACES)))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_held_any_way_is_found_where_pillow_shows_it(orientation):
    stored = Image.new("L", (5, 3))
    stored.putdata([*range(15)])
    exif = stored.getexif()
    exif[274] = orientation
    stored.info["exif"] = exif.tobytes()
    shown = ImageOps.exif_transpose(stored)
    way = grids.upright(orientation, 5, 3)
    for column, row in itertools.product(range(shown.width), range(shown.height)):
        at = way.apply(np.array([[column + 0.5, row + 0.5]]))[0]
        assert stored.getpixel(tuple(int(each) for each in at)) == shown.getpixel((column, row))


@pytest.mark.parametrize(
    ("grid", "sound"),
    [
        (SKEW, True),
        (Grid(1e-7, 0, 1.9, 0, -1e-7, 53.4), True),  # a centimetre in degrees
        (Grid(0, 0, 1, 0, 0, 1), False),
        (Grid(1, 2, 0, 2, 4, 0), False),
        (Grid(1, 0, float("nan"), 0, -1, 0), False),
        (Grid(1, 0, 0, 0, float("inf"), 0), False),
    ],
)
def test_a_grid_spans_a_plane_or_is_not_sound(grid, sound):
    assert grid.sound == sound


def test_a_picture_seen_from_behind_is_known():
    assert not SKEW.mirrored
    assert Grid(1, 0, 0, 0, 1, 0).mirrored


def test_web_mercator_is_that_of_proj():
    lonlat = np.array([[-1.55, 53.8], [3.0, 55.0], [179.9, -84.9], [0.0, 0.0]])
    proj = pyproj.Transformer.from_crs("OGC:CRS84", "EPSG:3857", always_xy=True)
    expected = np.column_stack(proj.transform(*lonlat.T))
    assert grids.to_mercator(lonlat) == pytest.approx(expected, abs=1e-6)
    assert grids.from_mercator(expected) == pytest.approx(lonlat, abs=1e-12)


def british(column_row):
    proj = pyproj.Transformer.from_crs("EPSG:27700", "EPSG:3857", always_xy=True)
    return np.column_stack(proj.transform(*SKEW.apply(column_row).T))


def test_the_way_back_through_a_curve_is_found():
    # 20 km of British grid on Web Mercator: some 20 m from straight, found to a hundredth pixel.
    places = np.array([[0.0, 0], [60_000, 0], [60_000, 60_000], [12_345, 6_789], [-500, 61_000]])
    found = grids.sought(british, british(places), 60_000, 60_000)
    assert found == pytest.approx(places, abs=0.01)
    straight = grids.fitted(british, 60_000, 60_000)
    assert np.abs(straight.apply(places) - british(places)).max() > 1


def test_a_straight_way_is_fitted_exactly():
    assert np.array(grids.fitted(SKEW.apply, 1000, 700)) == pytest.approx(SKEW, abs=1e-8)


def test_a_mesh_ends_at_the_corners_of_its_box():
    straight = Grid(2, 0, 100, 0, -2, 500)
    rows, columns = grids.meetings(50), grids.meetings(40)
    mesh = grids.mesh(straight.apply, (100, 400, 180, 500), columns, rows, (40, 50))
    assert mesh.shape == (len(rows), len(columns), 2)
    assert mesh[0, 0] == pytest.approx([0, 0], abs=1e-9)
    assert mesh[-1, -1] == pytest.approx([40, 50])
    assert mesh[0, 3] == pytest.approx([columns[3], 0], abs=1e-9)


@pytest.mark.parametrize("length", [1, 2, 31, 32, 33, 2500])
def test_pieces_meet_at_whole_pixels_without_gap(length):
    places = grids.meetings(length)
    assert places[0] == 0
    assert places[-1] == length
    assert sorted(set(places)) == places
    assert len(places) == min(length, 32) + 1


def test_the_edge_goes_round_once():
    edge = grids.edge(60, 40)
    steps = np.abs(np.diff(np.vstack([edge, edge[:1]]), axis=0)).sum()
    assert steps == pytest.approx(200)
    assert len(np.unique(edge, axis=0)) == len(edge)
    assert grids.box_of(edge) == (0, 0, 60, 40)


@given(
    st.floats(0, 360),
    st.floats(0.001, 5),
    st.floats(-80, 80),
    st.tuples(st.integers(1, 20_000), st.integers(1, 20_000)),
)
def test_any_picture_is_found_again_under_its_map(degrees, pixel_m, latitude, size):
    turn, middle = np.radians(degrees), Frame(3.0, latitude)
    along, up = float(np.cos(turn) * pixel_m), float(np.sin(turn) * pixel_m)
    grid = Grid(along, up, 0.0, up, -along, 0.0)
    if pixel_m * max(size) > 20_000:
        return

    def forward(column_row):
        return grids.to_mercator(middle.to_lonlat(grid.apply(column_row)))

    places = grids.lattice(*size, 3).reshape(-1, 2)
    assert grids.sought(forward, forward(places), *size) == pytest.approx(places, abs=0.05)
