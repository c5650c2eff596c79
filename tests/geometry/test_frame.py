"""The local frame against pyproj's transverse Mercator."""

import numpy as np
import pyproj
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.frame import Frame, about, flats


@pytest.mark.parametrize("latitude", [-70, -33.9, 0, 30, 53.8, 70])
@pytest.mark.parametrize(("reach", "allowed_m"), [(100, 1e-6), (1000, 1e-4), (5000, 0.02)])
def test_frame_is_pyprojs_transverse_mercator(latitude, reach, allowed_m):
    # Reference: PROJ's tmerc about the same anchor (Poder/Engsager, to nanometres).
    frame = Frame(12.5, latitude)
    tmerc = pyproj.Transformer.from_crs(
        "OGC:CRS84", f"+proj=tmerc +lat_0={latitude} +lon_0=12.5 +k=1 +ellps=WGS84", always_xy=True
    )
    angle = np.linspace(0, 2 * np.pi, 17)
    metres = reach * np.column_stack([np.cos(angle), np.sin(angle)])
    truth = np.column_stack(tmerc.transform(*frame.to_lonlat(metres).T))
    assert np.abs(truth - metres).max() < allowed_m


@given(st.floats(-179.9, 179.9), st.floats(-75, 75), st.floats(-2000, 2000), st.floats(-2000, 2000))
def test_there_and_back(lon, lat, east, north):
    frame = Frame(lon, lat)
    there = frame.to_lonlat(np.array([[east, north]]))
    assert frame.to_metres(there)[0] == pytest.approx([east, north], abs=1e-6)


def test_across_the_antimeridian_it_stays_small():
    frame = Frame(179.9999, -17.0)
    assert np.abs(frame.to_metres(np.array([[-179.9999, -17.0]]))).max() < 30


def test_shapes_go_there_and_back():
    lawn = shapely.box(-1.551, 53.799, -1.549, 53.801)
    frame = about(lawn)
    flat = frame.flat(np.array([lawn]))
    assert shapely.get_coordinates(frame.round(flat)) == pytest.approx(
        shapely.get_coordinates(lawn), abs=1e-12
    )


def test_many_shapes_each_about_its_own_middle():
    rng = np.random.default_rng(3)
    middles = np.column_stack([rng.uniform(-180, 180, 40), rng.uniform(-70, 70, 40)])
    shapes = shapely.buffer(shapely.points(middles), 1e-4, quad_segs=3)
    shapes[7] = shapely.difference(shapes[7], shapely.buffer(shapes[7], -5e-5))
    shapes[8] = shapely.Polygon()
    found = flats(shapes)
    assert found[8].is_empty
    for place in set(range(40)) - {8}:
        one = about(shapes[place]).flat(shapes[[place]])
        assert shapely.equals_exact(found[place], one[0], tolerance=1e-9)
    assert shapely.get_coordinates(shapes[0]).max() > 1  # what was given is left as it was
