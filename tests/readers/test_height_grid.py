"""Grids of heights as TIFF: every mode that Pillow has for them, gaps, and files that lie."""

import base64
import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, TiffImagePlugin

from lawnmap.errors import InputRefused
from lawnmap.files import child
from lawnmap.readers.height_grid import MOST_CELLS, NODATA, check_size, read, unpack
from tests.readers.mutants import outcomes
from tests.readers.pictures import tiff

GRID = [0.5, 0.0, 1000.0, 0.0, -0.5, 2000.0]
CELLS = np.arange(20, dtype=np.float32).reshape(4, 5) + 100


def heights_tiff(cells, nodata=None, **options):
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    if nodata is not None:
        tags[NODATA] = nodata
    stream = io.BytesIO()
    Image.fromarray(cells).save(stream, "TIFF", tiffinfo=tags, **options)
    return stream.getvalue()


@pytest.fixture
def taken(tmp_path):
    def take(data, grid=GRID):
        path = tmp_path / "plan.tiff"
        path.write_bytes(data)
        answer = read(str(path), grid)
        return unpack(answer, grid), answer["warnings"]

    return take


def test_heights_stand_in_the_middle_of_their_cells(taken):
    found, warnings = taken(heights_tiff(CELLS))
    assert warnings == []
    assert found.shape == (4, 5)
    assert found.points[0].tolist() == [1000.25, 1999.75, 100]
    assert found.points[6].tolist() == [1000.75, 1999.25, 106]  # row by row
    assert found.points[-1].tolist() == [1002.25, 1998.25, 119]


def test_a_turned_grid_is_followed(taken):
    found, _ = taken(heights_tiff(CELLS), [0.0, 2.0, 10.0, 3.0, 0.0, 20.0])
    assert found.points[1].tolist() == [11, 24.5, 101]  # a column on is 3 north


@pytest.mark.parametrize("dtype", [np.float32, np.int32, np.uint16, ">f4", ">u2", np.int16])
@pytest.mark.parametrize("compression", [None, "tiff_deflate", "tiff_lzw"])
def test_every_mode_of_numbers(taken, dtype, compression):
    cells = CELLS.astype(np.int32).astype(dtype)
    try:
        data = heights_tiff(cells, compression=compression)
    except (TypeError, OSError, KeyError, SystemError):
        pytest.skip("Pillow does not write it so")
    found, _ = taken(data)
    assert found.points[:, 2].tolist() == CELLS.ravel().tolist()


@pytest.mark.parametrize("marker", ["-9999", "-9999.0", "-9999\0", " -9.999e3 "])
def test_marked_cells_are_empty(taken, marker):
    cells = CELLS.copy()
    cells[1, 2] = -9999
    found, warnings = taken(heights_tiff(cells, marker))
    assert np.flatnonzero(np.isnan(found.points[:, 2])).tolist() == [7]
    assert np.isfinite(found.points[:, :2]).all()
    assert warnings == []


def test_a_marker_that_no_float_holds_is_known_by_its_nearest(taken):
    cells = CELLS.copy()
    cells[0, 0], cells[1, 1] = np.float32(-3.4028234663852886e38), np.float32(0.1)
    for marker, place in (("-3.4028234663852886e+38", 0), ("0.1", 6)):
        found, warnings = taken(heights_tiff(cells, marker))
        assert np.isnan(found.points[place, 2])
        assert bool(warnings) == (place == 6)  # the other one is left over, and strange


@pytest.mark.parametrize("strange", [np.inf, -np.inf, 1e38, -32768, 12_001])
def test_what_no_ground_has_is_empty_and_told(taken, strange):
    cells = CELLS.copy()
    cells[2, 2] = strange
    found, (told,) = taken(heights_tiff(cells))
    assert np.isnan(found.points[12, 2])
    assert told == "1 cells hold no height on earth and were taken as empty."


@pytest.mark.parametrize("marker", ["nan", "", "none", "1e999", "x" * 5000])
def test_a_marker_that_is_no_number_is_passed_over(taken, marker):
    cells = CELLS.copy()
    cells[3, 3] = np.nan
    found, warnings = taken(heights_tiff(cells, marker))
    assert np.isnan(found.points[18, 2])
    assert warnings == []


@pytest.mark.parametrize("cells", [np.full((4, 4), -9999, np.float32), np.full((4, 4), np.nan)])
def test_nothing_but_empty_cells_is_refused(taken, cells):
    with pytest.raises(InputRefused, match="holds no height"):
        taken(heights_tiff(cells.astype(np.float32), "-9999"))


def test_a_grid_without_a_place_is_refused(taken):
    with pytest.raises(InputRefused, match="do not say where they lie"):
        taken(heights_tiff(CELLS), None)


def test_a_picture_is_no_grid_of_heights(taken):
    with pytest.raises(InputRefused, match="is a picture"):
        taken(heights_tiff(np.zeros((4, 4), np.uint8)))


@pytest.mark.parametrize("cells", [np.zeros((2, 9), np.float32), np.zeros((9, 1), np.float32)])
def test_too_few_to_tell_a_slope(taken, cells):
    with pytest.raises(InputRefused, match="too few to tell a slope"):
        taken(heights_tiff(cells))


def test_too_many_are_refused_by_the_header(taken):
    check_size(2000, 2000)
    with pytest.raises(InputRefused, match="At most 4,000,000"):
        check_size(2001, 2000)
    with pytest.raises(InputRefused, match=r"has 2,500 by 2,500|too many|pixels"):
        taken(tiff(2500, 2500))
    assert MOST_CELLS == 4_000_000


def packed(cells):
    return base64.b64encode(np.asarray(cells, "<f4").tobytes()).decode()


@pytest.mark.parametrize(
    "answer",
    [
        {},
        {"shape": [4, 5]},
        {"shape": [4], "heights": packed(CELLS)},
        {"shape": [5, 5], "heights": packed(CELLS)},
        {"shape": [-4, -5], "heights": packed(CELLS)},
        {"shape": ["a", 5], "heights": packed(CELLS)},
        {"shape": [4, 5], "heights": packed(CELLS)[:-1]},
        {"shape": [4, 5], "heights": "?"},
        {"shape": [4, 5], "heights": 7},
        {"shape": [4, 5], "heights": packed(np.full((4, 5), np.inf))},
        {"shape": [10**9, 10**9], "heights": ""},
        {"shape": [1e400, 5], "heights": packed(CELLS)},
    ],
)
def test_an_answer_out_of_form_is_refused(answer):
    with pytest.raises(InputRefused):
        unpack(answer, GRID)


@pytest.mark.parametrize("grid", [[0.0] * 6, [1, 2, 0, 1, 2, 0], [np.nan] * 6, [1e308] * 6, [1, 2]])
def test_a_place_that_cannot_be_is_refused(grid):
    with pytest.raises(InputRefused):
        unpack({"shape": [4, 5], "heights": packed(CELLS)}, grid)


def test_through_the_guarded_child(tmp_path):
    data = (Path(__file__).parents[2] / "sample_geo/plans/heights.tif").read_bytes()
    answer = child.run(
        "lawnmap.readers.height_grid:read", {"plan.tiff": data}, {"file": "plan.tiff", "grid": GRID}
    )
    found = unpack(answer, GRID)
    empty = np.isnan(found.points[:, 2]).reshape(found.shape)
    assert empty[:20, :20].all()
    assert empty.sum() == 400


def test_the_largest_grid_passes_the_child():
    cells = np.random.default_rng(1).normal(50, 1, (2000, 2000)).astype(np.float32)
    answer = child.run(
        "lawnmap.readers.height_grid:read",
        {"plan.tiff": heights_tiff(cells)},
        {"file": "plan.tiff", "grid": GRID},
    )
    assert np.array_equal(unpack(answer, GRID).points[:, 2], cells.ravel().astype(float))


@pytest.mark.parametrize("compression", [None, "tiff_deflate"])
def test_mutants_are_read_or_refused(taken, compression):
    found = outcomes(taken, heights_tiff(CELLS, "-9999", compression=compression))
    assert found["refused"] > 0
    assert found["read"] > 0
