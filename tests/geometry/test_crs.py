"""Projections against the worked examples of EPSG and Ordnance Survey."""

import numpy as np
import pyproj
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry import crs


def dms(degrees, minutes, seconds):
    sign = -1 if degrees < 0 else 1
    return sign * (abs(degrees) + minutes / 60 + seconds / 3600)


@pytest.mark.parametrize(
    ("code", "east", "north", "lon", "lat", "allowed_deg"),
    [
        # IOGP Guidance Note 7-2, method 9820: 50 N 5 E.
        ("EPSG:3035", 3962799.45, 2999718.85, 5.0, 50.0, 2e-7),
        # IOGP Guidance Note 7-2, method 1024.
        ("EPSG:3857", -11169055.58, 2800000.00, -dms(100, 20, 0), dms(24, 22, 54.433), 2e-7),
        # Irish Transverse Mercator: its origin (OSi/OSNI).
        ("EPSG:2157", 600000.0, 750000.0, -8.0, 53.5, 1e-9),
        # Ordnance Survey, A guide to coordinate systems in Great Britain, annexe C: the Caister
        # water tower, through the 7-parameter shift (good to about 5 m).
        ("EPSG:27700", 651409.903, 313177.270, dms(1, 42, 57.787), dms(52, 39, 28.723), 5e-5),
    ],
)
def test_worked_examples(code, east, north, lon, lat, allowed_deg):
    (point,) = crs.to_lonlat(np.array([shapely.Point(east, north)]), code)
    assert (point.x, point.y) == pytest.approx((lon, lat), abs=allowed_deg)


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
