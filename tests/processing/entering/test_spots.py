"""Points with a height: which column, which unit, and what is no surface."""

import numpy as np
import pytest

from lawnmap.errors import InputRefused
from lawnmap.found import Feature
from lawnmap.processing.entering import spots


def points(*rows, **more):
    return tuple(
        Feature(
            {"type": "Point", "coordinates": [1.0 * place, 2.0]}, {**row, **more}, f"row {place}"
        )
        for place, row in enumerate(rows)
    )


@pytest.mark.parametrize(
    ("name", "units", "metres"),
    [
        ("height_m", None, 10),
        ("height", None, 10),
        ("z", "ft", 3.048),
        ("H", "cm", 0.1),
        (" Elevation ", "m", 10),
        ("Level", None, 10),
        ("height ft", None, 3.048),
        ("height_ft", "m", 3.048),
        ("height_m", "ft", 10),
    ],
)
def test_the_name_of_a_column_goes_before_what_was_said(name, units, metres):
    found = spots.heights_in(points({name: 10}, {name: "10.0"}), units)
    assert found.shape is None
    assert found.points.tolist() == pytest.approx(np.array([[0, 2, metres], [1, 2, metres]]))


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([{"name": "a"}], "has no column of heights"),
        ([{"z": 1, "height": 1}], "several columns could be the height: 'height', 'z'"),
        ([{"z": 1}, {"z": None}], "row 1: has no z"),
        ([{"z": 1}, {}], "row 1: has no z"),
        ([{"z": True}], "row 0: has no z"),
        ([{"z": "12,5"}], "row 0: z: '12,5' has a decimal comma"),
        ([{"z": "high"}], "row 0: z: 'high' is not a number"),
        ([{"z": float("nan")}], "row 0: z: 'nan' is not a number"),
        ([{"z": float("inf")}], "row 0: z: 'inf' is not a number"),
        ([{"z": 1e308}], "row 0: z is 1e+308 m"),
        ([{"z": "1e999"}], "row 0: z: '1e999' is not a finite number"),
        ([{"z": 12_001}], "row 0: z is 12001 m"),
    ],
)
def test_no_height_is_told_with_its_place(rows, told):
    with pytest.raises(InputRefused) as caught:
        spots.heights_in(points(*rows), None)
    assert str(caught.value).startswith(told)


def test_a_unit_that_is_none():
    with pytest.raises(InputRefused, match="--units is 'rods'"):
        spots.heights_in(points({"z": 1}), "rods")


def test_an_outline_is_no_height():
    ring = Feature({"type": "Polygon", "coordinates": [[]]}, {"z": 3}, "lines 2 to 5")
    with pytest.raises(InputRefused, match="lines 2 to 5: is no point"):
        spots.heights_in((ring,), None)


def test_heights_at_one_place_become_their_mean():
    lonlat = np.array([[0, 0, 5.0], [1, 0, 3.0], [0, 0, 5.04], [2, 0, 1.0]])
    single, (told,) = spots.once(lonlat, lonlat[:, :2])
    assert single == pytest.approx(np.array([[0, 0, 5.02], [1, 0, 3], [2, 0, 1]]))
    assert told == "1 places have more than one height; the mean was taken."
    lonlat[2, 2] = 6.0
    _, (told,) = spots.once(lonlat, lonlat[:, :2])
    assert "differ by up to 0.50 m" in told


def test_heights_apart_are_left_as_they_are():
    lonlat = np.random.default_rng(5).uniform(0, 9, (50, 3))
    single, told = spots.once(lonlat, lonlat[:, :2])
    assert np.array_equal(single, lonlat)
    assert told == []


@pytest.mark.parametrize(
    ("metres", "told"),
    [
        ([[0, 0, 1]], "holds heights at 1 places"),
        ([[0, 0, 1], [1, 1, 1]], "holds heights at 2 places"),
        ([[0, 0, 1], [1, 1, 1], [2, 2, 1]], "on one line"),
        ([[0, 0, 1], [9, 0, 1], [0, 9, 502]], "501 m apart"),
        ([[0, 0, 0], [9, 0, 0], [0, 9, 9.5]], "47° steep over all"),
    ],
)
def test_what_is_no_surface_of_a_lawn(metres, told):
    with pytest.raises(InputRefused, match=told):
        spots.check(np.array(metres, dtype=float))


def test_a_steep_bank_is_one():
    rows = np.array([[0, 0, 0], [9, 0, 0], [0, 9, 8.0]])
    assert spots.check(rows) is None
