"""What is a projection, and what is not; worked examples are in tests/published."""

import numpy as np
import pyproj
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry import crs


def test_lonlat_is_left_as_it_is():
    shapes = np.array([shapely.Point(-1.55, 53.8)])
    for code in ("OGC:CRS84", "EPSG:4326"):
        assert crs.to_lonlat(shapes, code) is shapes


@pytest.mark.parametrize(
    "text",
    [
        "",
        "EPSG:999999",
        "nonsense",
        "http://example.org/crs",
        "/etc/passwd",
        "+proj=longlat",
        "EPSG:4978",
        "EPSG:5703",
    ],
)
def test_what_is_no_crs_for_a_plan(text):
    with pytest.raises(InputRefused):
        crs.known(text)


def test_the_horizontal_part_of_a_compound_crs():
    assert crs.known("EPSG:27700+5701").to_authority() == ("EPSG", "27700")


def test_a_missing_grid_is_told():
    assert crs.uncertain_by_metres("EPSG:27700")
    assert not crs.uncertain_by_metres("EPSG:4326")


def test_coordinates_off_the_earth_are_refused():
    with pytest.raises(InputRefused, match="no place"):
        crs.to_lonlat(np.array([shapely.Point(1e30, 1e30)]), "EPSG:27700")


def test_a_projection_that_proj_has_no_formula_for_is_refused():
    wkt = pyproj.CRS("EPSG:27700").to_wkt().replace("Transverse Mercator", "No Such Method")
    wkt = wkt.replace('ID["EPSG",9807]', 'ID["EPSG",99999]')
    square = np.array([shapely.box(0, 0, 1, 1)], dtype=object)
    for ask in (crs.uncertain_by_metres, lambda text: crs.to_lonlat(square, text)):
        with pytest.raises(InputRefused, match="no way from"):
            ask(wkt)
