"""Pixels to longitude and latitude, and how well a place picked in a picture is known."""

import numpy as np
import pyproj
import pytest

from lawnmap.files import json_text
from lawnmap.geometry import fit
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.grid import Grid
from lawnmap.processing.position import pixels
from lawnmap.processing.position.control import Agreement, Control, ControlPoint
from lawnmap.processing.position.pixels import PixelMap

UTM = Grid(0.05, 0.01, 426_841.0, 0.01, -0.05, 5_917_363.0)
PLACES = np.array([[0.0, 0], [660, 0], [100.5, 900.25]])
SIZE = (660, 1040)


class Upside(Agreement):
    """A fit from pixels whose rows go down."""

    def to_lonlat(self, xy):
        return self.frame.to_lonlat(self.fit.apply(xy * [1, -1]))


def agreement(noise_m=0.0, points=4, kind="similarity"):
    places = np.array([[0.0, 0], [1000, 0], [1000, 800], [0, 800], [400, 300]])[:points]
    metres = places * [0.05, -0.05] + noise_m * np.random.default_rng(5).normal(size=(points, 2))
    frame = Frame(1.9, 53.4)
    lonlat = frame.to_lonlat(metres)
    named = [ControlPoint("p", *xy, *at) for xy, at in zip(places, lonlat, strict=True)]
    return Upside(
        Control(tuple(named), kind),
        frame,
        fit.similarity(places * [1, -1], frame.to_metres(lonlat)),
    )


def test_a_grid_in_a_crs_goes_where_proj_says():
    proj = pyproj.Transformer.from_crs("EPSG:32631", "OGC:CRS84", always_xy=True)
    expected = np.column_stack(proj.transform(*UTM.apply(PLACES).T))
    assert PixelMap(UTM, *SIZE, crs="EPSG:32631").to_lonlat(PLACES) == pytest.approx(
        expected, abs=1e-12
    )


def test_a_fit_is_kept_as_a_grid_to_the_last_micron():
    made = pixels.from_agreement(agreement(0.02), *SIZE)
    metres = made.frame.to_metres
    expected = agreement(0.02).to_lonlat(PLACES)
    assert metres(made.to_lonlat(PLACES)) == pytest.approx(metres(expected), abs=1e-6)


def test_a_picked_place_is_as_sure_as_fit_and_finger_together():
    exact = pixels.from_agreement(agreement(), *SIZE)
    assert exact.pixel_m == pytest.approx(0.05)
    assert exact.sigma_m == pytest.approx(0.025)
    noisy = agreement(0.1, points=5)
    assert noisy.sigma_m is not None
    made = pixels.from_agreement(noisy, *SIZE)
    assert made.sigma_m == pytest.approx(np.hypot(noisy.sigma_m, 0.5 * made.pixel_m))
    assert made.scale_sigma == noisy.scale_sigma > 0


def test_a_fit_without_a_check_is_not_taken_as_perfect():
    made = pixels.from_agreement(agreement(points=2), *SIZE)
    assert made.sigma_m == pytest.approx(np.sqrt(2) * 0.5 * made.pixel_m)


@pytest.mark.parametrize(
    "made",
    [PixelMap(UTM, *SIZE, crs="EPSG:32631"), pixels.from_agreement(agreement(0.02), *SIZE)],
)
def test_it_is_the_same_after_a_file(made):
    facts = json_text.loads(json_text.dumps(made.facts()).encode(), name="")
    assert pixels.from_facts(facts, *SIZE) == made


def test_moved_with_the_site_it_goes_where_the_site_goes():
    old, new = Frame(0.0, 0.0), Frame(-1.55, 53.8)
    similarity = fit.similarity(
        np.array([[0.0, 0], [50, 0], [0, 50]]), np.array([[3.0, 4], [3, 56], [-49, 4]])
    )

    def apply(lonlat):
        return new.to_lonlat(similarity.apply(old.to_metres(lonlat)))

    made = PixelMap(Grid(0.05, 0, -20, 0, -0.05, 20), *SIZE, frame=old, fit_sigma_m=0.1)
    moved = made.moved(apply)
    found = new.to_metres(moved.to_lonlat(PLACES))
    assert found == pytest.approx(new.to_metres(apply(made.to_lonlat(PLACES))), abs=1e-5)
    assert moved.fit_sigma_m == pytest.approx(0.1 * 1.04, rel=1e-3)
